//! What an Open Aligner Record is.
