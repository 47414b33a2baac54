//! What nearly every rule uses: the record as rules see it, its marks, and what a finding is made of.

pub(crate) use crate::check::args::args;
pub(crate) use crate::check::case::Case;
pub(crate) use crate::check::found::Found;
pub(crate) use crate::check::marks::Mark;
pub(crate) use crate::check::path::{Path, at};
