//! Text for people: counts with their nouns, wrapped lines, tables, and names shown so that no character of them acts.

pub(crate) mod counted;
#[cfg(feature = "report")]
pub(crate) mod csv;
pub(crate) mod visible;
#[cfg(feature = "report")]
mod wrap;

pub use counted::counted;
pub use visible::{readable, shown, shown_path, visible};
#[cfg(feature = "report")]
pub use wrap::wrapped;
