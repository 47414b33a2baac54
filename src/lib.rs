//! Checks records of clear aligner treatment in the Open Aligner Record format.

pub mod case;
pub mod finding;
mod nearest;
pub mod page;
pub mod rule;
pub mod rules;
pub mod zones;
