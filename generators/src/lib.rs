//! Synthetic cohorts of Open Aligner Records.
//!
//! The crate is the place where cohorts will be made; it holds nothing yet.
