//! Checks records of clear aligner treatment.
