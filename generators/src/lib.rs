//! Synthetic cohorts of Open Aligner Records.
//!
//! A [`recipe`] describes a clinic and its patients. The simulation runs one day at a time and writes what such a clinic would
//! have on record. Nothing is drawn at random that can be caused.

pub mod cohort;
pub mod course;
pub mod derived;
pub mod faults;
pub mod key;
pub mod layers;
pub mod maths;
pub mod mouth;
pub mod output;
pub mod random;
pub mod recipe;
pub mod samplers;
