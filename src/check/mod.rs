//! The check of a record: reading it, the rules, and what they find.
//!
//! The modules, each using only those before it: words of findings ([`args`], [`path`], [`parts`], [`rule`], [`page`],
//! [`finding`]), what rules ask of a record (`case`) and keep of it ([`cohort`]), the [`rules`], the [`settings`] that
//! say which of them run, the [`Checker`], and the iterators over a file
//! ([`Records`], [`Findings`]).

pub mod args;
pub(crate) mod case;
mod checker;
pub mod cohort;
mod cross_record;
mod excerpt;
mod files;
pub mod finding;
#[cfg(feature = "report")]
pub mod fingerprint;
mod found;
mod guess;
mod levels;
mod locate;
pub mod marks;
pub(crate) mod notation;
pub mod page;
pub mod partial;
pub mod parts;
pub mod path;
mod plain;
#[cfg(feature = "serde")]
mod records;
pub mod rule;
pub mod rules;
pub mod settings;
pub(crate) mod shape;
pub(crate) mod systems;
pub(crate) mod work;

pub use checker::{Checked, Checker, ReadError};
pub use files::Findings;
#[cfg(feature = "serde")]
pub use records::Records;
