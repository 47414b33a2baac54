//! The conformance kit: records for testing other software, the expected results, and the scoring of answers.
//!
//! [`make`] writes the files of a kit; they depend on version, seed and size alone. Every case is checked before it is
//! written: a case to be accepted has no finding, and any other case has exactly the finding in the manifest. [`answers`] are
//! read from the lines that a reader wrote, and a [`score::Score`] compares them with the [`Manifest`].

pub mod answers;
mod builder;
mod clean_records;
mod derived_values;
mod edge;
mod edits;
mod faulty;
mod make;
mod manifest;
pub mod score;
mod score_text;
mod spelling;
mod upgrade;

pub use derived_values::{DerivedValue, VALUES};
pub use make::make;
pub use manifest::{CaseKind, Expected, KitCase, Manifest, Without};
pub use score_text::text;
