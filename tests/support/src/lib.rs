//! What the tests share: records, edits of them, runs of the command, and files that the code writes.

#![expect(clippy::unwrap_used, reason = "a test stops where its own files are not as it takes them to be")]

pub mod command;
pub mod markup;
pub mod page;
pub mod records;
pub mod repository;
pub mod schema;
pub mod single_edits;
pub mod slips;

pub use command::{Folder, Told};
pub use records::{BACKWARDS, BASE, DEMO, right, wrong};

/// Whether tests try all that they can, which takes minutes: the environment has `THOROUGH`.
pub fn is_thorough() -> bool {
    std::env::var_os("THOROUGH").is_some()
}
