//! Reading: from paths to records' bytes, in bounded memory.
//!
//! - [`inputs`]: which files a command line means;
//! - [`stream`]: one file's bytes, decompressed;
//! - [`frames`]: pieces of it that hold whole records;
//! - [`names`]: which names are those of records, and of what a run is writing;
//! - `layout`: whether it holds one document or a record a line.

pub mod frames;
pub mod inputs;
pub(crate) mod layout;
pub mod names;
pub mod stream;
