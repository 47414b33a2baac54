//! Checks records of clear aligner treatment in the Open Aligner Record format.

pub mod case;
mod checker;
mod excerpt;
pub mod finding;
pub mod fingerprint;
mod guess;
pub mod json;
mod locate;
mod nearest;
pub mod output;
pub mod page;
mod plain;
pub mod read;
pub mod rule;
pub mod rules;
pub mod run;
pub mod schema;
mod shape;
pub mod zones;

pub use checker::Checker;
