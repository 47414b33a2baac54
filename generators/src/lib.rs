//! Synthetic cohorts of Open Aligner Records.
//!
//! A [`recipe`] says what a clinic and its patients are like; the simulation goes through their days and writes down what such a
//! clinic would have on record. Nothing is drawn that can be caused.

pub mod cohort;
pub mod course;
pub mod derived;
pub mod faults;
pub mod json_objects;
pub mod key;
pub mod layers;
pub mod maths;
pub mod mouth;
pub mod output;
pub mod random;
pub mod recipe;
pub mod samplers;
