//! The file `oar.toml`: settings and what belongs to a run, from their text.
//!
//! ```
//! use open_aligner_record::{Checker, config};
//!
//! let text = "[levels]\nmoves_too_fast = \"off\"\n\n[limits]\noldest_years = 95\n";
//! let config = config::read(text, "oar.toml").expect("nothing is wrong in it");
//! let checker = Checker::with_settings(&config.settings);
//! # assert_eq!(checker.limits().oldest_years, 95);
//!
//! let mistakes = config::read("[limits]\noldest_year = 95\n", "oar.toml").unwrap_err();
//! assert_eq!(
//!     mistakes[0].to_string(),
//!     "oar.toml:2:1: no limit is called oldest_year; perhaps oldest_years is meant"
//! );
//! ```

mod schema;
mod walk;

use std::fmt;
use std::sync::Arc;

use crate::check::settings::{Origin, Settings};
use crate::report::summary::FailOn;
use crate::review::Ranks;

pub use schema::schema;

/// A configuration file to begin with: it changes nothing until a `#` is taken away.
pub const STARTER: &str = include_str!("starter.toml");

/// The name of the file.
pub const NAME: &str = "oar.toml";

/// Something that is said on a line of the file.
pub type Said<T> = (T, Origin);

/// What a file says.
#[derive(Clone, Debug, Default)]
pub struct Config {
    /// How records are checked; the edition stands in it too.
    pub settings: Settings,
    /// The line of the edition.
    pub edition: Option<Said<u32>>,
    /// What makes the run fail.
    pub fail_level: Option<Said<FailOn>>,
    /// The baseline of a check: the way from the folder of this file on, in which or below which it lies.
    pub baseline: Option<Said<String>>,
    /// The waivers of a check, named like the baseline.
    pub waivers: Option<Said<String>>,
    /// Where a check writes findings, as `FORMAT` or `FORMAT=FILE`, with files named like the baseline.
    pub output: Vec<Said<String>>,
    /// The address of the page of a rule, with `{rule}` for its name.
    pub rule_pages: Option<Said<String>>,
    /// Names of files that are checked in folders too, though they are not those of records; `*` stands for any text.
    pub include: Vec<Said<String>>,
    /// Names of files and folders that are left out in folders; `*` stands for any text.
    pub exclude: Vec<Said<String>>,
    /// The ranks of signals in a review.
    pub ranks: Ranks,
}

/// Something that is wrong in the file.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Mistake {
    /// The file, as it was named.
    pub file: Arc<str>,
    /// The line, from 1.
    pub line: u64,
    /// The column, from 1, in Unicode code points.
    pub column: u64,
    /// What is wrong, and how to mend it.
    pub text: String,
}

impl fmt::Display for Mistake {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        write!(f, "{}:{}:{}: {}", self.file, self.line, self.column, self.text)
    }
}

impl std::error::Error for Mistake {}

/// Reads the text of a file that is called `file`.
///
/// # Errors
/// Everything that is wrong in it, in the order of the text.
pub fn read(text: &str, file: &str) -> Result<Config, Vec<Mistake>> {
    walk::config(text, file)
}
