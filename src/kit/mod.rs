//! The conformance kit: records by which any other software can be tested, what is expected of it, and its answers scored.
//!
//! [`make`] writes the files of a kit; they depend on version, seed and size alone. Every case is checked before it is
//! written: what is to be accepted has no finding, and what is not has the one finding that the manifest tells.
//! [`answers`] are read from the lines that a reader wrote, and a [`score::Score`] holds them against the [`Manifest`].

pub mod answers;
mod edge;
mod edits;
mod faulty;
mod making;
mod manifest;
pub mod schema;
pub mod score;
mod source;
mod spelling;
mod text;
mod upgrade;
mod values;

pub use making::make;
pub use manifest::{Case, Expected, Kind, Manifest, Without};
pub use text::text;
pub use values::{VALUES, Value};
