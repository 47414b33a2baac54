//! Checks records of clear aligner treatment in the Open Aligner Record format.

pub mod case;
mod checker;
mod days;
mod excerpt;
pub mod finding;
mod guess;
pub mod json;
mod locate;
mod nearest;
pub mod page;
mod plain;
pub mod rule;
pub mod rules;
mod shape;
pub mod zones;

pub use checker::Checker;
