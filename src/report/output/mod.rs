//! Outputs: findings as text for people and as data for other programs.
//!
//! A [`Printer`] takes the events of a run and writes them to one stream. Several can listen to one run.

mod brief;
mod github;
mod gitlab;
pub(crate) mod jsonl;
mod junit;
mod line;
pub(crate) mod overview;
mod paint;
mod path;
mod repeats;
mod sarif;
mod text;
mod totals;

pub use crate::text::{shown, shown_path, visible, wrapped};
pub use totals::line as totals_line;

use std::io::{self, Write};

use oar_schema::options;
use oar_schema::parse::from_text;

use crate::report::event::Event;

/// The formats in which findings are written.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Hash)]
#[non_exhaustive]
pub enum OutputFormat {
    /// Each finding with its source line, for people.
    Text,
    /// One line for each finding.
    Brief,
    /// One JSON object a line, for programs.
    Jsonl,
    /// SARIF 2.1.0.
    Sarif,
    /// `JUnit` XML.
    Junit,
    /// Workflow commands of GitHub Actions.
    Github,
    /// A Code Quality report of GitLab.
    Gitlab,
    /// Counts by rule, file and system, for people.
    Overview,
    /// The same counts as one JSON object.
    OverviewJson,
    /// The same counts as a table.
    OverviewCsv,
}

impl OutputFormat {
    /// All formats with their names and what they are for.
    pub const ALL: &[(Self, &'static str, &'static str)] = &[
        (Self::Text, "text", "each finding with its source line, for people"),
        (Self::Brief, "brief", "one line for each finding"),
        (Self::Jsonl, "jsonl", "one JSON object a line, for programs"),
        (Self::Sarif, "sarif", "SARIF 2.1.0, for code scanning and editors"),
        (Self::Junit, "junit", "JUnit XML, for reports of test runs"),
        (Self::Github, "github", "annotations in GitHub Actions"),
        (Self::Gitlab, "gitlab", "Code Quality report for GitLab"),
        (Self::Overview, "overview", "counts by rule, file and system, for people"),
        (Self::OverviewJson, "overview-json", "the same counts as one JSON object"),
        (Self::OverviewCsv, "overview-csv", "the same counts as a table"),
    ];

    /// Its name.
    pub const fn as_str(self) -> &'static str {
        Self::ALL[self as usize].1
    }

    /// Whether it contains the totals of the run.
    pub const fn has_totals(self) -> bool {
        matches!(self, Self::Text | Self::Jsonl | Self::Overview | Self::OverviewJson)
    }

    /// Whether it contains source lines.
    pub const fn has_excerpts(self) -> bool {
        matches!(self, Self::Text)
    }

    /// A printer of this format.
    pub fn printer(self, style: Style) -> Box<dyn Printer> {
        match self {
            Self::Text => Box::new(text::TextPrinter::new(style)),
            Self::Brief => Box::new(brief::Brief::new(style)),
            Self::Jsonl => Box::new(jsonl::Jsonl::default()),
            Self::Sarif => Box::new(sarif::Sarif::new(style.rule_pages)),
            Self::Junit => Box::new(junit::Junit::default()),
            Self::Github => Box::new(github::Github::new(style)),
            Self::Gitlab => Box::new(gitlab::Gitlab::default()),
            Self::Overview => Box::new(overview::Overview::new(overview::text)),
            Self::OverviewJson => Box::new(overview::Overview::new(overview::json)),
            Self::OverviewCsv => Box::new(overview::Overview::new(overview::csv)),
        }
    }
}

from_text!(names OutputFormat, "an output format", Self::ALL.iter().map(|(format, ..)| *format));

/// The default address of a rule's page while the project has no host: a reserved one (RFC 2606), like those of the schemas.
pub const RULE_PAGES: &str = "https://open-aligner-record.example.org/rules/{rule}";

options! {
    /// What is shown, and how.
    #[derive(Copy)]
    #[allow(clippy::struct_excessive_bools, reason = "each is an option that is on or off")]
    Style {
        /// Whether colours are used.
        colour: bool = false,
        /// The maximum number of findings in `text` and `brief`; totals always count all.
        most: u64 = u64::MAX,
        /// Whether `text`, `brief` and `github` show only the first few of the findings of one rule at the same kind of place in
        /// one file, and count the others.
        folds: bool = false,
        /// Whether `text` and `brief` also show accepted findings.
        accepted: bool = false,
        /// Whether `text` and `brief` end with totals.
        totals: bool = true,
        /// The maximum width of a line of `text`, except source lines and locations.
        width: usize = 100,
        /// The address of a rule's page in `sarif`, with `{rule}` for the name of the rule.
        rule_pages: &'static str = RULE_PAGES,
    }
}

/// Writes the events of a run.
pub trait Printer {
    /// Writes what an event asks for. The first is [`Event::Begin`], the last [`Event::End`]. Why a file could not be read is
    /// reported by the command too.
    fn event(&mut self, out: &mut dyn Write, event: &Event<'_>) -> io::Result<()>;
}
