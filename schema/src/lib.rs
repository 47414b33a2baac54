//! What an Open Aligner Record is.

pub mod teeth;
