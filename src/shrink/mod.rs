//! Shrinking: the smallest record that still gives a finding, without what could tell whose it was.
//!
//! First everything is left out that the finding does not need, then what stays is made as simple as it can be, and then
//! identifiers, texts, days and clocks are replaced. After each step the record is checked again: what would lose the
//! finding, or bring a new one, is not done. What could not be replaced is told.
//!
//! The same record gives the same result.

mod budget;
mod clock;
mod disguise;
mod reduce;
mod text;
mod trial;
mod value;

use std::fmt;

use crate::check::Checker;
use crate::check::finding::Finding;
use crate::json::Tree;
use crate::json::layout::{Form, laid_out};
use budget::Budget;
use trial::Trial;
use value::Value;

/// The byte order mark of UTF-8.
const MARK: &[u8] = &[0xef, 0xbb, 0xbf];

/// Told of a record that is too large for every value of it to be tried.
const NOT_ALL_TRIED: &str = "values that the finding may not need: the record is large, so not all of it was tried";

/// What a record was shrunk to.
#[derive(Clone, Debug, Default, PartialEq, Eq)]
#[non_exhaustive]
pub struct Shrunk {
    /// The record.
    pub text: Vec<u8>,
    /// Where the finding is in it, as a JSON Pointer.
    pub pointer: String,
    /// Values that the record had; bytes when it was not JSON.
    pub before: usize,
    /// Values that are left; bytes when it is not JSON.
    pub after: usize,
    /// Whether values were counted, and not bytes.
    pub counts_values: bool,
    /// Other findings that could not be avoided.
    pub others: usize,
    /// What was kept because the finding needs it, each with why; a person has to look at it.
    pub kept: Vec<String>,
}

/// Why a record was not shrunk.
#[derive(Clone, Debug, PartialEq, Eq)]
#[non_exhaustive]
pub enum ShrinkError {
    /// It does not give such a finding.
    NotFound,
    /// It gives the finding by its size only, or by having nothing in it.
    NothingToShrink,
    /// It is so large that what it holds could not be replaced in the checks that are made.
    TooLarge,
}

impl fmt::Display for ShrinkError {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.write_str(match self {
            Self::NotFound => "the record has no such finding",
            Self::TooLarge => "the record is too large to shrink: remove parts of it and try again",
            Self::NothingToShrink => "the finding is about the size of the record, so no smaller record has it",
        })
    }
}

impl std::error::Error for ShrinkError {}

/// Shrinks a record to what a finding of that rule needs; at that JSON Pointer, or the first one.
///
/// ```
/// use open_aligner_record::Checker;
/// use open_aligner_record::shrink::shrink;
///
/// let record = br#"{"format": "open-aligner-record", "weer_log": [{"on": "2031-02-03"}]}"#;
/// let shrunk = shrink(record, "unknown_field", None, &mut Checker::new())?;
/// assert!(!String::from_utf8_lossy(&shrunk.text).contains("2031-02-03"));
/// # Ok::<(), open_aligner_record::shrink::ShrinkError>(())
/// ```
///
/// # Errors
/// When the record gives no such finding, or none that a smaller one could give.
pub fn shrink(record: &[u8], rule: &str, pointer: Option<&str>, checker: &mut Checker) -> Result<Shrunk, ShrinkError> {
    if is_about_size(rule) {
        return Err(ShrinkError::NothingToShrink);
    }
    if let Some(rest) = record.strip_prefix(MARK).filter(|_| rule == "byte_order_mark") {
        return after_mark(rest, checker);
    }
    let findings = checker.check(record).into_findings();
    let target =
        findings.iter().find(|found| found.rule.name == rule && pointer.is_none_or(|at| found.place.pointer == at));
    let target = target.ok_or(ShrinkError::NotFound)?;
    let mut tree = Tree::default();
    if tree.parse(record).is_err() {
        return text::shrink(record, target, checker);
    }
    of_values(&tree, record, &findings, Some(target), checker)
}

/// Whether a rule is about the size of a record alone, so that no smaller one gives its finding.
pub fn is_about_size(rule: &str) -> bool {
    matches!(rule, "record_too_large" | "nothing_inside")
}

/// A record of which only the byte order mark before it is told.
fn after_mark(record: &[u8], checker: &mut Checker) -> Result<Shrunk, ShrinkError> {
    let findings = checker.check(record).into_findings();
    let mut tree = Tree::default();
    let mut shrunk = match tree.parse(record) {
        Ok(()) => of_values(&tree, record, &findings, None, checker)?,
        Err(_) => Shrunk { text: b"{}\n".to_vec(), before: record.len(), after: 2, ..Shrunk::default() },
    };
    shrunk.text.splice(0..0, MARK.iter().copied());
    Ok(shrunk)
}

fn of_values(
    tree: &Tree,
    record: &[u8],
    findings: &[Finding],
    target: Option<&Finding>,
    checker: &mut Checker,
) -> Result<Shrunk, ShrinkError> {
    let original = Value::read(tree, record, tree.root());
    let mut value = original.clone();
    let mut trial = Trial::new(checker, findings, target, Budget::of(record.len()));
    reduce::reduce(&mut value, &mut trial);
    reduce::settle(&mut value, &mut trial);
    reduce::reduce(&mut value, &mut trial);
    reduce::simplify(&mut value, &mut trial);
    let ended = trial.budget.is_spent();
    trial.budget = Budget::of(record.len());
    let mut kept = clock::disguise(&mut value, &original, &mut trial);
    disguise::disguise(&mut value, &original, &mut trial);
    if trial.budget.is_spent() {
        return Err(ShrinkError::TooLarge);
    }
    reduce::reduce(&mut value, &mut trial);
    kept.extend(disguise::leftovers(&value, &original));
    kept.extend(ended.then(|| NOT_ALL_TRIED.to_owned()));
    let text = value.write().into_bytes();
    Ok(Shrunk {
        text: laid_out(&text, Form::Lines).unwrap_or(text),
        pointer: trial.pointer.clone(),
        before: original.count(),
        after: value.count(),
        counts_values: true,
        others: trial.others(),
        kept,
    })
}
