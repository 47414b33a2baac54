//! Reading: from paths to records' bytes, in bounded memory.
//!
//! - [`inputs`]: which files a command line means;
//! - [`stream`]: one file's bytes, decompressed;
//! - [`frames`]: pieces of it that hold whole records;
//! - `layout`: whether it holds one document or a record a line.

pub mod frames;
pub mod inputs;
pub(crate) mod layout;
pub(crate) mod names;
pub mod stream;
