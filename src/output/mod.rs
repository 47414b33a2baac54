//! Outputs: findings as text for people, as data for other programs.
//!
//! A [`Printer`] is told what happens in order and writes it to one stream. Several can listen to one run.

mod brief;
mod github;
mod gitlab;
mod jsonl;
mod junit;
mod line;
mod overview;
mod paint;
mod path;
mod repeats;
mod sarif;
mod text;
mod totals;
mod visible;
mod wrap;

pub use totals::line as totals_line;
pub use visible::{shown, shown_path, visible};
pub use wrap::wrapped;

use std::io::{self, Write};

use crate::acceptance::Accepted;
use crate::finding::Finding;
use crate::partial::Partial;
use crate::rule::Level;

/// The forms in which findings are written.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub enum Format {
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

impl Format {
    /// All forms with their names and what they are for.
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

    /// The form of that name.
    pub fn named(name: &str) -> Option<Self> {
        Self::ALL.iter().find(|(_, known, _)| *known == name).map(|(format, ..)| *format)
    }

    /// Whether the totals of the run are in it.
    pub const fn has_totals(self) -> bool {
        matches!(self, Self::Text | Self::Jsonl | Self::Overview | Self::OverviewJson)
    }

    /// Whether source lines are in it.
    pub const fn has_excerpts(self) -> bool {
        matches!(self, Self::Text)
    }

    /// A printer of this form.
    pub fn printer(self, style: Style) -> Box<dyn Printer> {
        match self {
            Self::Text => Box::new(text::Text::new(style)),
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

/// How much is shown, and how.
#[derive(Clone, Copy, Debug)]
pub struct Style {
    /// Whether colours are used.
    pub colour: bool,
    /// How many findings are shown at most, in `text` and `brief`; totals always count all.
    pub most: u64,
    /// Whether `text`, `brief` and `github` show only the first few of the findings of one rule at the same kind of place in one
    /// file, and count the others.
    pub folds: bool,
    /// Whether `text` and `brief` show findings that are accepted too.
    pub accepted: bool,
    /// The columns that a line of `text` takes at most, but for source lines and places.
    pub width: usize,
    /// The address of a rule's page in `sarif`, with `{rule}` for the name of the rule.
    pub rule_pages: &'static str,
}

/// The address of a rule's page while the project has no host: one that leads nowhere (RFC 2606), as those of the schemas do.
pub const RULE_PAGES: &str = "https://open-aligner-record.example.org/rules/{rule}";

impl Default for Style {
    fn default() -> Self {
        Self { colour: false, most: u64::MAX, folds: false, accepted: false, width: 100, rule_pages: RULE_PAGES }
    }
}

/// One finding and where it was found.
#[derive(Clone, Copy, Debug)]
pub struct Item<'a> {
    /// The file, relative to the working folder where it can be; `-` is standard input.
    pub file: &'a str,
    /// The place of the record in the file, from 1; 0 for a finding about the file as a whole.
    pub record: u64,
    /// The finding.
    pub finding: &'a Finding,
}

/// The words for [`FailOn`], for messages.
pub const FAIL_LEVELS: &str = "error, warning, note, or one of them with \",partial\" after it";

/// What makes a run fail.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct FailOn {
    /// Findings from this level on.
    pub level: Level,
    /// Records that could be checked in part only.
    pub partial: bool,
}

impl FailOn {
    /// All of them by name, as `--fail-level` takes them.
    pub const NAMES: [&str; 6] = ["error", "warning", "note", "error,partial", "warning,partial", "note,partial"];

    /// The one of that name.
    pub fn named(name: &str) -> Option<Self> {
        let (level, partial) = name.split_once(',').map_or((name, false), |(level, rest)| (level, rest == "partial"));
        let level = [Level::Error, Level::Warning, Level::Note].into_iter().find(|known| known.as_str() == level)?;
        Self::NAMES.contains(&name).then_some(Self { level, partial })
    }

    /// Its name.
    pub const fn as_str(self) -> &'static str {
        match (self.level, self.partial) {
            (Level::Error, false) => "error",
            (Level::Warning, false) => "warning",
            (Level::Note, false) => "note",
            (Level::Error, true) => "error,partial",
            (Level::Warning, true) => "warning,partial",
            (Level::Note, true) => "note,partial",
        }
    }
}

impl Default for FailOn {
    fn default() -> Self {
        Self { level: Level::Error, partial: false }
    }
}

/// What a run came to.
#[derive(Clone, Debug, Default, PartialEq, Eq)]
pub struct Summary {
    /// Files that were read, at least in part.
    pub files: u64,
    /// Paths that could not be read, or not to their end.
    pub unreadable: u64,
    /// JSON files in folders that were passed over, because their names are not those of records.
    pub passed_over: u64,
    /// Records that were checked.
    pub records: u64,
    /// Records with at least one finding.
    pub records_with_findings: u64,
    /// Bytes that were read, after decompression.
    pub bytes: u64,
    /// Findings by level.
    pub errors: u64,
    /// Findings by level.
    pub warnings: u64,
    /// Findings by level.
    pub notes: u64,
    /// Those of the findings by level that a repair takes away; none when it was not tried out.
    pub mendable: Option<u64>,
    /// Findings that a waiver holds; they are not among those by level.
    pub waived: u64,
    /// Findings that are in the baseline; they are not among those by level.
    pub in_baseline: u64,
    /// Findings of the baseline that are not found any more.
    pub gone: u64,
    /// Records that could be checked in part only, because something in them cannot be read.
    pub records_in_part: u64,
    /// Those of them of which no finding that counts says so: it is waived, in the baseline, or its rule is off.
    pub in_part_unreported: u64,
    /// Rules that were not applied to them, each counted for every record.
    pub rules_not_applied: u64,
    /// How often each rule was broken, by name.
    pub by_rule: std::collections::BTreeMap<&'static str, u64>,
}

impl Summary {
    /// Counts a finding.
    pub fn count(&mut self, finding: &Finding) {
        match finding.level() {
            Level::Error => self.errors += 1,
            Level::Warning => self.warnings += 1,
            Level::Note => self.notes += 1,
        }
        *self.by_rule.entry(finding.rule.name).or_default() += 1;
        if let Some(mendable) = &mut self.mendable {
            *mendable += u64::from(finding.mendable);
        }
    }

    /// Counts a record that could be checked in part only.
    pub fn count_partial(&mut self, partial: &Partial) {
        self.records_in_part += 1;
        self.in_part_unreported += u64::from(!partial.reported);
        self.rules_not_applied += partial.rules.len() as u64;
    }

    /// Whether a run that came to this fails.
    pub fn fails(&self, on: FailOn) -> bool {
        self.at_least(on.level) > 0 || (on.partial && self.records_in_part > 0)
    }

    /// Findings of that level or above.
    pub fn at_least(&self, level: Level) -> u64 {
        match level {
            Level::Error => self.errors,
            Level::Warning => self.errors + self.warnings,
            Level::Note => self.errors + self.warnings + self.notes,
        }
    }
}

/// Writes what a run finds.
pub trait Printer {
    /// The run begins.
    fn begin(&mut self, _out: &mut dyn Write) -> io::Result<()> {
        Ok(())
    }

    /// A file was opened.
    fn file(&mut self, _out: &mut dyn Write, _file: &str) -> io::Result<()> {
        Ok(())
    }

    /// Something was found.
    fn finding(&mut self, out: &mut dyn Write, item: &Item<'_>) -> io::Result<()>;

    /// Something was found that is accepted, and so does not count.
    fn accepted(&mut self, _out: &mut dyn Write, _item: &Item<'_>, _why: &Accepted<'_>) -> io::Result<()> {
        Ok(())
    }

    /// A record could be checked in part only. Its findings have been told.
    fn partial(&mut self, _out: &mut dyn Write, _file: &str, _record: u64, _partial: &Partial) -> io::Result<()> {
        Ok(())
    }

    /// So many more records of the file come from that system.
    fn records(&mut self, _system: &str, _records: u64) {}

    /// All files were told; the findings that follow are those across records.
    fn across(&mut self, _out: &mut dyn Write) -> io::Result<()> {
        Ok(())
    }

    /// A file was read to its end; so many records were in it.
    fn file_end(&mut self, _out: &mut dyn Write, _file: &str, _records: u64) -> io::Result<()> {
        Ok(())
    }

    /// A file could not be read, or not to its end. Why is told by the command too.
    fn unreadable(&mut self, _out: &mut dyn Write, _file: &str, _error: &io::Error) -> io::Result<()> {
        Ok(())
    }

    /// The run is over.
    fn end(&mut self, _out: &mut dyn Write, _summary: &Summary) -> io::Result<()> {
        Ok(())
    }
}
