//! Reading: from paths to records' bytes, in bounded memory.
//!
//! - [`inputs`]: which files a command line means;
//! - [`stream`]: one file's bytes, decompressed;
//! - [`frames`]: pieces of it that hold whole records.

pub mod frames;
pub mod inputs;
pub mod stream;
