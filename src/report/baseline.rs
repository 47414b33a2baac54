//! Baselines: the findings of an earlier run, so that later runs fail on new findings only.
//!
//! A baseline is JSON Lines, described by `schema/baseline/v1/baseline.schema.json`: a header, then for each kind of finding
//! its rule, its [`Key`] and its count, in the order of rules and keys. It contains no line number, no text of a record and no
//! identifier.

use std::collections::BTreeMap;
use std::fmt;
use std::io::{self, BufRead, Write};

use serde::{Deserialize, Serialize};

use crate::check::fingerprint::Key;
#[cfg(feature = "schemas")]
use crate::check::{fingerprint::KEY_PATTERN, rule::NAME};

const TYPE: &str = "baseline";
const FORMAT: &str = "open-aligner-record baseline";
/// The version of the file: the second number grows with new fields, the first with any other change.
pub(crate) const VERSION: &str = "1.0";

/// Why a baseline could not be read.
#[derive(Debug)]
#[non_exhaustive]
pub enum BaselineError {
    /// The file could not be read.
    Io(io::Error),
    /// A line does not belong to a baseline. Lines are counted from 1.
    Line(u64, &'static str),
}

impl fmt::Display for BaselineError {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        match self {
            Self::Io(error) => crate::read::inputs::reason(error).fmt(f),
            Self::Line(line, text) => write!(f, "line {line}: {text}"),
        }
    }
}

impl std::error::Error for BaselineError {}

/// One line of a baseline.
#[derive(Serialize)]
#[serde(untagged)]
#[cfg_attr(feature = "schemas", derive(schemars::JsonSchema))]
pub(crate) enum BaselineLine {
    /// The first line.
    Head(BaselineHead),
    /// Findings that are accepted.
    Accepted(AcceptedFindings),
}

/// The first line.
#[derive(Serialize, Deserialize)]
#[cfg_attr(feature = "schemas", derive(schemars::JsonSchema))]
pub(crate) struct BaselineHead {
    #[serde(default)]
    #[cfg_attr(feature = "schemas", schemars(extend("const" = TYPE)))]
    r#type: String,
    #[cfg_attr(feature = "schemas", schemars(extend("const" = FORMAT)))]
    format: String,
    /// The version of these lines.
    #[cfg_attr(feature = "schemas", schemars(regex(pattern = r"^1\.[0-9]+$")))]
    version: String,
}

/// Every other line.
#[derive(Serialize, Deserialize)]
#[cfg_attr(feature = "schemas", derive(schemars::JsonSchema), schemars(extend("not" = {"required": ["type"]})))]
pub(crate) struct AcceptedFindings {
    /// The name of the rule.
    #[serde(default)]
    #[cfg_attr(feature = "schemas", schemars(regex(pattern = NAME)))]
    rule: String,
    /// The fingerprint of the first of them in a report: what the findings are about, as a hash.
    #[cfg_attr(feature = "schemas", schemars(regex(pattern = KEY_PATTERN)))]
    fingerprint: String,
    /// How many there are.
    #[cfg_attr(feature = "schemas", schemars(range(min = 1, max = u32::MAX)))]
    count: u32,
}

/// A baseline, and the part of it that a run has found.
#[derive(Debug, Default)]
pub struct Baseline {
    /// The accepted findings and their counts, in the order of keys.
    known: Vec<(Key, u32)>,
    /// How many of each remain.
    left: Vec<u32>,
}

impl Baseline {
    /// Reads a baseline.
    ///
    /// # Errors
    /// When it cannot be read, or is not a baseline.
    pub fn read(text: impl BufRead) -> Result<Self, BaselineError> {
        let mut lines = text.lines();
        head(&lines.next().transpose().map_err(BaselineError::Io)?.unwrap_or_default())?;
        let mut known = Vec::new();
        for (number, text) in (2..).zip(lines) {
            let text = text.map_err(BaselineError::Io)?;
            if !text.trim().is_empty() {
                known.push(entry(&text).map_err(|why| BaselineError::Line(number, why))?);
            }
        }
        known.sort_unstable();
        let mut merged: Vec<(Key, u32)> = Vec::with_capacity(known.len());
        for (key, count) in known {
            match merged.last_mut() {
                // After a merge of two branches, both may have a line for a finding: neither accepted more than its own.
                Some((last, most)) if *last == key => *most = count.max(*most),
                _ => merged.push((key, count)),
            }
        }
        Ok(Self { left: merged.iter().map(|(_, count)| *count).collect(), known: merged })
    }

    /// Whether a finding is in the baseline; each of its findings counts once.
    pub fn takes(&mut self, key: Key) -> bool {
        let Ok(at) = self.known.binary_search_by_key(&key, |(known, _)| *known) else { return false };
        let left = &mut self.left[at];
        let takes = *left > 0;
        *left -= u32::from(takes);
        takes
    }

    /// How many findings of the baseline have not been found.
    pub fn gone(&self) -> u64 {
        self.left.iter().map(|left| u64::from(*left)).sum()
    }
}

fn head(text: &str) -> Result<(), BaselineError> {
    let wrong = |text| Err(BaselineError::Line(1, text));
    match serde_json::from_str::<BaselineHead>(text.trim_start_matches('\u{feff}')) {
        Ok(head) if head.format == FORMAT && head.version.starts_with("1.") => Ok(()),
        Ok(head) if head.format == FORMAT => wrong("a newer version of oar wrote it: write it again with this one"),
        _ => wrong("this is not a baseline: oar check --write-baseline FILE writes one"),
    }
}

fn entry(text: &str) -> Result<(Key, u32), &'static str> {
    let line: AcceptedFindings =
        serde_json::from_str(text).map_err(|_| "this is not a line of a baseline: write the baseline again")?;
    let key = (line.fingerprint.parse())
        .map_err(|_| "its fingerprint is not 32 digits of 0-9 and a-f: write the baseline again")?;
    Ok((key, line.count))
}

/// Gathers the findings of a run for a new baseline.
#[derive(Debug, Default)]
pub struct BaselineBuilder(BTreeMap<(&'static str, Key), u32>);

impl BaselineBuilder {
    /// Adds a finding of a rule.
    pub fn add(&mut self, rule: &'static str, key: Key) {
        *self.0.entry((rule, key)).or_default() += 1;
    }

    /// Writes the baseline. The same findings give the same bytes, whatever their order.
    ///
    /// # Errors
    /// The errors of `out`.
    pub fn write(&self, out: &mut dyn Write) -> io::Result<()> {
        let [kind, format, version] = [TYPE, FORMAT, VERSION].map(str::to_owned);
        write_line(out, &BaselineLine::Head(BaselineHead { r#type: kind, format, version }))?;
        for ((rule, key), count) in &self.0 {
            let (rule, fingerprint) = ((*rule).to_owned(), key.to_string());
            write_line(out, &BaselineLine::Accepted(AcceptedFindings { rule, fingerprint, count: *count }))?;
        }
        Ok(())
    }
}

fn write_line(out: &mut dyn Write, line: &BaselineLine) -> io::Result<()> {
    serde_json::to_writer(&mut *out, line)?;
    writeln!(out)
}
