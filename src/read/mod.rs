//! Reading: from paths to the bytes of records, in bounded memory.
//!
//! - [`inputs`]: the files that a command line names;
//! - [`stream`]: the bytes of one file, decompressed;
//! - [`frames`]: pieces of it that hold whole records;
//! - `pieces`: the frames of many inputs, one after the other;
//! - [`names`]: the names of record files, and of files that a run is writing;
//! - `layout`: whether a file holds one document or one record per line.

mod decoders;
pub mod frames;
pub mod inputs;
pub(crate) mod layout;
pub mod names;
pub(crate) mod pieces;
pub mod stream;
