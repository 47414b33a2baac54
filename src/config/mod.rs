//! The file `oar.toml`: settings of records and of a run.
//!
//! ```
//! use open_aligner_record::{Checker, config};
//!
//! let text = "[levels]\nmoves_too_fast = \"off\"\n\n[limits]\noldest_years = 95\n";
//! let config = config::read(text, "oar.toml").expect("it is valid");
//! let checker = Checker::with_settings(&config.settings);
//! # assert_eq!(checker.limits().oldest_years, 95);
//!
//! let mistakes = config::read("[limits]\noldest_year = 95\n", "oar.toml").unwrap_err();
//! assert_eq!(
//!     mistakes[0].to_string(),
//!     "oar.toml:2:1: unknown limit oldest_year (did you mean oldest_years?)"
//! );
//! ```

mod schema;
mod walk;

use crate::check::settings::{Origin, Settings};
use crate::report::summary::FailOn;
use crate::review::Priorities;

pub use crate::report::toml_file::Mistake;
pub use schema::schema;

/// A starter configuration file: it changes nothing until a `#` is removed.
pub const STARTER: &str = include_str!("starter.toml");

/// The name of the file.
pub const NAME: &str = "oar.toml";

/// A value and the line that sets it.
pub type Given<T> = (T, Origin);

/// The content of a file.
#[derive(Clone, Debug, Default)]
pub struct Config {
    /// How records are checked, the edition included.
    pub settings: Settings,
    /// The line of the edition.
    pub edition: Option<Given<u32>>,
    /// What makes the run fail.
    pub fail_level: Option<Given<FailOn>>,
    /// The baseline of a check, relative to the folder of this file, in which or below which it lies.
    pub baseline: Option<Given<String>>,
    /// The waivers of a check, with a path like that of the baseline.
    pub waivers: Option<Given<String>>,
    /// Where a check writes findings, as `FORMAT` or `FORMAT=FILE`, with paths like that of the baseline.
    pub output: Vec<Given<String>>,
    /// The address of the page of a rule, with `{rule}` for its name.
    pub rule_pages: Option<Given<String>>,
    /// Names of files that are checked in folders too, although they do not end like record files; `*` matches any text.
    pub include: Vec<Given<String>>,
    /// Names of files and folders that are skipped in folders; `*` matches any text.
    pub exclude: Vec<Given<String>>,
    /// The priorities of signals in a review.
    pub priorities: Priorities,
}

/// Reads the text of a file that is called `file`.
///
/// # Errors
/// All mistakes in it, in the order of the text.
pub fn read(text: &str, file: &str) -> Result<Config, Vec<Mistake>> {
    walk::config(text, file)
}
