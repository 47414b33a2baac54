//! Checks records of clear aligner treatment.

pub mod json;
