//! A run over many files, and everything that is written about it.
//!
//! The modules, each using only those before it: the totals of a run ([`summary`]), TOML files that people write, accepted findings ([`waivers`],
//! [`baseline`], [`acceptance`]), the [`event`]s of a run, the [`output`] formats, the [`run`] itself, and comparisons of two runs ([`compare`],
//! [`edition_changes`]).

pub mod acceptance;
pub mod baseline;
pub mod compare;
pub mod edition_changes;
pub mod event;
pub mod output;
pub mod run;
pub mod summary;
pub(crate) mod toml_file;
pub mod waivers;
