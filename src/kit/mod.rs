//! The conformance kit: records for testing other software, the expected results, and the scoring of answers.
//!
//! [`make`] writes the files of a kit; they depend on version, seed and size alone. Every case is checked before it is
//! written: a case to be accepted has no finding, and any other case has exactly the finding in the manifest. [`answers`] are
//! read from the lines that a reader wrote, and a [`score::Score`] compares them with the [`Manifest`].

pub mod answers;
mod builder;
mod edge;
mod edits;
mod faulty;
mod make;
mod manifest;
pub mod schema;
pub mod score;
mod source;
mod spelling;
mod text;
mod upgrade;
mod values;

pub use make::make;
pub use manifest::{Case, Expected, Kind, Manifest, Without};
pub use text::text;
pub use values::{VALUES, Value};
