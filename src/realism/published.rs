//! Published statistics, from `datasets/references/published.csv`.

use std::fmt;

use serde::{Deserialize, Serialize};

use super::cohort::Asked;

/// The table that comes with this crate.
pub const TABLE: &str = include_str!("../../datasets/references/published.csv");

/// The text for authors who are not known.
const NOT_NOTED: &str = "authors not noted";

/// How a number was obtained.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Serialize, Deserialize)]
#[serde(rename_all = "snake_case")]
#[cfg_attr(feature = "schemas", derive(schemars::JsonSchema))]
pub enum Tag {
    /// Read in the source or its abstract.
    Verified,
    /// Read in a text that repeats the source.
    Secondary,
    /// By arithmetic from numbers that were read.
    Derived,
    /// From memory, with high confidence.
    MemoryHigh,
    /// From memory, with medium confidence.
    MemoryMedium,
    /// From memory, with low confidence.
    MemoryLow,
    /// Common practice, without a source.
    Practice,
}

/// Whether records can be compared with it.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Serialize, Deserialize)]
#[serde(rename_all = "snake_case")]
#[cfg_attr(feature = "schemas", derive(schemars::JsonSchema))]
pub enum Comparable {
    /// They contain the same thing.
    Yes,
    /// They contain nearly the same thing; the note says what differs.
    Caution,
    /// They cannot; the note says why.
    No,
}

/// One published statistic: a row of the table. Numbers are in `unit`.
#[derive(Clone, Debug, PartialEq, Deserialize)]
pub struct Published {
    /// Its id.
    pub id: String,
    /// Its theme.
    pub theme: String,
    /// Its subject.
    pub what: String,
    /// Its population.
    pub population: String,
    /// The statistic of a cohort that is compared with it; empty when there is none.
    pub statistic: String,
    /// The published value; empty when only a direction is published.
    pub value: Option<f64>,
    /// The unit.
    pub unit: String,
    /// What `spread` is: `sd`, `iqr`, `iqr_width`, `ci`, `range`; empty when none is published.
    pub spread_kind: String,
    /// The published spread, as printed.
    pub spread: String,
    /// The count.
    pub n: Option<u64>,
    /// What is counted.
    pub n_of: String,
    /// The lower end of the interval with which a cohort is compared; empty when it is open.
    pub low: Option<f64>,
    /// The upper end.
    pub high: Option<f64>,
    /// How that interval was made: see the page beside the table.
    pub interval_from: String,
    /// Rows of one family can agree with each other; rows of different families conflict.
    pub family: String,
    /// The data that several publications share; empty when a study has its own.
    pub data_set: String,
    /// Authors.
    pub authors: String,
    /// Journal, volume and pages.
    pub journal: String,
    /// Year.
    pub year: String,
    /// Digital object identifier, if known.
    pub doi: String,
    /// Where in the source.
    pub place: String,
    /// How the number was obtained.
    pub tag: Tag,
    /// Whether records can be compared with it.
    pub comparable: Comparable,
    /// What differs, or why not.
    pub note: String,
    /// The subject in which a cohort must not be outside; empty for other rows.
    pub matters: String,
    /// The recipes that were tuned on it, separated by spaces.
    pub tuned_in: String,
}

impl Published {
    /// Authors and year, short; the journal if the authors are not noted.
    pub fn short(&self) -> String {
        if self.authors == NOT_NOTED {
            let words =
                self.journal.split(' ').take_while(|word| !word.contains(|letter: char| letter.is_ascii_digit()));
            let journal = words.collect::<Vec<_>>().join(" ");
            let journal = if journal.is_empty() { &self.journal } else { journal.trim_end_matches(',') };
            return format!("{journal} {}", self.year).trim_end().to_owned();
        }
        let mut names = self.authors.split(", ");
        let first = names.next().unwrap_or_default();
        let others = if names.next().is_some() { " et al." } else { "" };
        format!("{first}{others} {}", self.year).trim_end().to_owned()
    }

    /// The data set of the row: the shared one, or that of the study, by the id's first author and year.
    pub fn data(&self) -> &str {
        if !self.data_set.is_empty() {
            return &self.data_set;
        }
        let year = |word: &str| word.len() == 4 && word.bytes().all(|byte| byte.is_ascii_digit());
        let mut end = 0;
        for word in self.id.split('_') {
            end += word.len();
            if year(word) {
                return &self.id[..end];
            }
            end += 1;
        }
        &self.id
    }

    /// The statistic as written; the id if nothing can be computed.
    pub fn what_is_computed(&self) -> &str {
        if self.statistic.is_empty() { &self.id } else { &self.statistic }
    }

    /// The computed statistic without the group of patients.
    pub fn measured(&self) -> String {
        let without_group = |word: &str| word.split('@').next().unwrap_or_default().to_owned();
        self.what_is_computed().split(' ').map(without_group).collect::<Vec<_>>().join(" ")
    }

    /// The statistic, if it can be computed.
    pub fn statistic(&self) -> Option<Statistic> {
        Statistic::parse(&self.statistic)
    }
}

/// Reads a table of published statistics.
///
/// # Errors
/// When it is not a table with these columns.
pub fn read(table: &str) -> Result<Vec<Published>, csv::Error> {
    csv::Reader::from_reader(table.as_bytes()).deserialize().collect()
}

/// The operation on a measure.
#[derive(Clone, Copy, Debug, PartialEq)]
pub enum How {
    /// The mean of a value of patients, or of sums over patients.
    Mean,
    /// The standard deviation of a value.
    Sd,
    /// The quantile of a value.
    Quantile(f64),
    /// The width between the quartiles.
    QuartileWidth,
    /// The share of patients in percent.
    Share,
    /// The ratio of two sums.
    Ratio,
    /// The ratio of two sums in percent.
    Percent,
    /// The mean of one value minus that of another.
    Difference,
    /// The share of one divided by that of another.
    ShareRatio,
    /// The odds of one divided by those of another.
    OddsRatio,
    /// The slope of a line.
    Slope,
    /// The share with an event by a day, in percent (Kaplan–Meier).
    ByDay(i32),
    /// The rank of the first among all that follow it, 1 being the highest.
    RankHighest,
    /// The rank of the first among all that follow it, 1 being the lowest.
    RankLowest,
    /// The number of the day that has the highest mean.
    PeakDay,
}

/// A statistic of a cohort, written as in `difference visits@remote visits@in_person`.
#[derive(Clone, Debug, PartialEq)]
pub struct Statistic {
    /// The operation.
    pub how: How,
    /// Its operands.
    pub of: Vec<Asked>,
}

impl Statistic {
    /// Reads a statistic; none when the text is not one.
    pub fn parse(text: &str) -> Option<Self> {
        let mut words = text.split_whitespace();
        let how = how(words.next()?)?;
        let of: Vec<Asked> = words.map(Asked::parse).collect();
        let wanted = match how {
            How::Difference | How::ShareRatio | How::OddsRatio => of.len() == 2,
            How::RankHighest | How::RankLowest => of.len() >= 2,
            _ => of.len() == 1,
        };
        wanted.then_some(Self { how, of })
    }
}

fn how(word: &str) -> Option<How> {
    if let Some(day) = word.strip_prefix("by_day_") {
        return day.parse().ok().map(How::ByDay);
    }
    Some(match word {
        "mean" => How::Mean,
        "sd" => How::Sd,
        "median" => How::Quantile(0.5),
        "quartile_1" => How::Quantile(0.25),
        "quartile_3" => How::Quantile(0.75),
        "quartile_width" => How::QuartileWidth,
        "share" => How::Share,
        "ratio" => How::Ratio,
        "percent" => How::Percent,
        "difference" => How::Difference,
        "share_ratio" => How::ShareRatio,
        "odds_ratio" => How::OddsRatio,
        "slope" => How::Slope,
        "rank_highest" => How::RankHighest,
        "rank_lowest" => How::RankLowest,
        "peak_day" => How::PeakDay,
        _ => return None,
    })
}

impl fmt::Display for Tag {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.write_str(match self {
            Self::Verified => "read in the source",
            Self::Secondary => "read in a text that repeats it",
            Self::Derived => "derived from what was read",
            Self::MemoryHigh => "from memory, high confidence",
            Self::MemoryMedium => "from memory, medium confidence",
            Self::MemoryLow => "from memory, low confidence",
            Self::Practice => "common practice, no source",
        })
    }
}
