//! Repair: fixes errors in a record when the fix is certain, and nothing else.
//!
//! A repair never changes the meaning of a record, with two exceptions that the record itself makes certain: tooth numbers
//! that are all written in the Universal notation, and lists whose entries are not in chronological order. Both are made only
//! when the checker reports nothing new afterwards, and when nothing prevents it from doing so: while the shape of a value is
//! wrong, rules that read it do not run. A value that may be mistyped is never changed.
//!
//! Settings apply as in a check, with one difference: all rules, including those that are off, decide whether a repair causes
//! new findings. A rule that is off causes no repair.
//!
//! - `forms`: another way to write the same value;
//! - `notation`: the numbers of the teeth;
//! - `order`: lists in chronological order;
//! - `fixable`: which findings of a check a repair resolves;
//! - [`mod@file`]: whole files, record by record; [`diff`]: the changes.

pub mod diff;
mod edits;
pub mod file;
mod fixable;
mod forms;
mod notation;
mod order;

use std::collections::BTreeMap;

use oar_schema::limits::Limits;

use crate::check::Checker;
use crate::check::finding::Finding;
use crate::check::settings::Settings;
use crate::json::Tree;
use crate::json::layout::{self, Form};

/// A kind of repair.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
#[non_exhaustive]
pub enum Fix {
    /// The byte order mark was removed.
    ByteOrderMark,
    /// Tooth numbers were written in FDI.
    Notation,
    /// A list was put in chronological order.
    Order,
    /// An optional null field was removed.
    Null,
    /// A field that was repeated with the same value was removed once.
    Twice,
    /// A number or truth value lost its quotes, or a version got them.
    Quotes,
    /// A number was written in its plain form.
    Number,
    /// A word of a vocabulary was written in lower case with underscores.
    Word,
    /// A day or an instant was written in the notation of RFC 3339.
    Time,
    /// Unnecessary escapes were removed from a name or a text.
    Escape,
    /// The record was formatted.
    Layout,
}

impl Fix {
    /// A description of the repairs of this kind, with their count.
    pub fn words(self, count: u64) -> String {
        let s = if count == 1 { "" } else { "s" };
        match self {
            Self::ByteOrderMark => "byte order mark removed".to_owned(),
            Self::Notation => format!("{count} tooth number{s} written in FDI"),
            Self::Order => format!("{count} list{s} sorted by time"),
            Self::Null => format!("{count} field{s} removed that {} null", if count == 1 { "was" } else { "were" }),
            Self::Twice => format!(
                "{count} field{s} removed that {} there twice with one value",
                if count == 1 { "was" } else { "were" }
            ),
            Self::Quotes => format!("quotes of {count} value{s} corrected"),
            Self::Number => format!("{count} number{s} written plainly"),
            Self::Word => format!("{count} word{s} written in lower case with underscores"),
            Self::Time => format!("{count} day{s} or instant{s} written as in RFC 3339"),
            Self::Escape => format!("needless escapes removed from {count} name{s} or text{s}"),
            Self::Layout => format!("{count} record{s} formatted"),
        }
    }
}

/// How often each kind of repair was made.
pub type Fixes = BTreeMap<Fix, u64>;

/// Something that looks repairable, but was not changed.
#[derive(Clone, Debug, PartialEq, Eq, PartialOrd, Ord)]
#[non_exhaustive]
pub struct Left {
    /// The value, as a JSON Pointer from the record; empty for the record as a whole.
    pub pointer: String,
    /// Why it was not changed.
    pub why: Refusal,
}

/// The result of repairing a record.
#[derive(Clone, Debug, Default)]
#[non_exhaustive]
pub struct Repaired {
    /// The repaired text; none when it is unchanged.
    pub text: Option<Vec<u8>>,
    /// What was fixed.
    pub fixes: Fixes,
    /// What was deliberately not changed.
    pub left: Vec<Left>,
}

/// Repairs records one by one.
///
/// ```
/// use open_aligner_record::repair::{Fix, Repairer};
///
/// let repaired = Repairer::new().record(br#"{"version": "1.0", "id": "QM-0001", "retention": null}"#);
/// assert_eq!(repaired.text.as_deref(), Some(br#"{"version": "1.0", "id": "QM-0001"}"#.as_slice()));
/// assert_eq!(repaired.fixes[&Fix::Null], 1);
/// ```
#[derive(Debug)]
pub struct Repairer {
    /// Reports findings with the configured settings.
    checker: Checker,
    /// Reports whether a repair causes new findings, with all rules.
    judge: Checker,
    tree: Tree,
    layout: Option<Form>,
}

/// The maximum number of passes over a record: a repair can make another one possible, and each pass resolves something.
const ROUNDS: usize = 16;

impl Default for Repairer {
    fn default() -> Self {
        Self::with_settings(&Settings::default())
    }
}

impl Repairer {
    /// Repairs errors and keeps the layout.
    pub fn new() -> Self {
        Self::default()
    }

    /// Checks with other levels and limits.
    pub fn with_settings(settings: &Settings) -> Self {
        Self {
            checker: Checker::with_settings(settings).without_excerpts(),
            judge: Checker::with_settings(&settings.with_no_rule_off()).without_excerpts(),
            tree: Tree::default(),
            layout: None,
        }
    }

    /// Checks with other limits.
    #[must_use]
    pub fn with_limits(self, limits: Limits) -> Self {
        Self { layout: self.layout, ..Self::with_settings(&Settings::from(limits)) }
    }

    /// Also formats records, in that layout.
    pub(crate) fn lay_out(&mut self, form: Option<Form>) {
        self.layout = form;
    }

    /// Repairs one record. A record that is not JSON is not changed.
    pub fn record(&mut self, record: &[u8]) -> Repaired {
        let mut repaired = Repaired::default();
        if self.layout.is_none() && self.checker.is_plain(record) && self.checker.is_clean(record) {
            return repaired;
        }
        for _ in 0..ROUNDS {
            repaired.left.clear();
            let text = repaired.text.as_deref().unwrap_or(record);
            let Some(text) = self.round(text, &mut repaired.fixes, &mut repaired.left) else { break };
            repaired.text = Some(text);
        }
        self.arrange(record, &mut repaired);
        repaired
    }

    /// Tries one kind of repair after another until one changes the text; none when nothing is left to do.
    fn round(&mut self, record: &[u8], fixes: &mut Fixes, left: &mut Vec<Left>) -> Option<Vec<u8>> {
        self.tree.parse(record).ok()?;
        if let Some(text) = forms::fix(&self.tree, record, fixes) {
            return Some(text);
        }
        let findings = self.checker.check(record);
        let (tree, judge) = (&self.tree, &mut self.judge);
        let mut bench = Bench { tree, bytes: record, findings: &findings, judge, fixes, left };
        forms::times(&mut bench).or_else(|| notation::fix(&mut bench)).or_else(|| order::fix(&mut bench))
    }

    fn arrange(&mut self, record: &[u8], repaired: &mut Repaired) {
        let Some(form) = self.layout else { return };
        let text = repaired.text.as_deref().unwrap_or(record);
        if self.tree.parse(text).is_err() {
            return;
        }
        let arranged = layout::write(&self.tree, text, form);
        if arranged != text {
            repaired.fixes.insert(Fix::Layout, 1);
            repaired.text = Some(arranged);
        }
    }
}

/// The shared state of the repairs of a record: its text and findings, and the log of changes.
struct Bench<'a> {
    tree: &'a Tree,
    bytes: &'a [u8],
    findings: &'a [Finding],
    judge: &'a mut Checker,
    fixes: &'a mut Fixes,
    left: &'a mut Vec<Left>,
}

/// Why something is not changed.
type Refusal = &'static str;

const HIDDEN: Refusal = "another error in the record hides what else is wrong: fix it first";

impl Bench<'_> {
    /// The text, if it has fewer findings of the rule and no new ones; otherwise `why` it is rejected.
    fn judged(&mut self, text: Vec<u8>, rule: &str, why: Refusal) -> Result<Vec<u8>, Refusal> {
        self.judged_without(0, text, rule, why)
    }

    /// Like [`Self::judged`], but findings that depend on these sections count as new, since the text has changed them.
    fn judged_without(&mut self, sections: u32, text: Vec<u8>, rule: &str, why: Refusal) -> Result<Vec<u8>, Refusal> {
        let mut before = self.judge.check(self.bytes).into_findings();
        let after = self.judge.check(&text);
        before.retain(|finding| finding.rule.name == rule || finding.rule.sections & sections == 0);
        match is_better(&before, &after, rule) {
            false => Err(why),
            true if after.iter().any(hides_others) => Err(HIDDEN),
            true => Ok(text),
        }
    }

    /// Whether one text has more findings of some rule than another.
    fn has_more_findings(&mut self, one: &[u8], other: &[u8]) -> bool {
        let one = counts(&self.judge.check(one));
        !none_more(&counts(&self.judge.check(other)), &one)
    }

    /// Notes how often a repair was made, or why it was not.
    fn noted(&mut self, tried: Result<Vec<u8>, Refusal>, fix: Fix, count: usize, pointer: &str) -> Option<Vec<u8>> {
        match tried {
            Ok(text) => {
                *self.fixes.entry(fix).or_default() += count as u64;
                Some(text)
            }
            Err(why) => {
                self.left.push(Left { pointer: pointer.to_owned(), why });
                None
            }
        }
    }
}

/// The number of findings of each rule.
type RuleCounts = BTreeMap<&'static str, usize>;

fn counts(findings: &[Finding]) -> RuleCounts {
    let mut counts = RuleCounts::new();
    for finding in findings {
        *counts.entry(finding.rule.name).or_default() += 1;
    }
    counts
}

/// Whether `after` has fewer findings of the rule than `before`, and not more of any other rule.
fn is_better(before: &[Finding], after: &[Finding], rule: &str) -> bool {
    let (before, after) = (counts(before), counts(after));
    none_more(&before, &after) && after.get(rule) < before.get(rule)
}

/// Whether `after` has no more findings of any rule than `before`.
fn none_more(before: &RuleCounts, after: &RuleCounts) -> bool {
    after.iter().all(|(rule, count)| before.get(rule) >= Some(count))
}

/// Whether a finding may have prevented rules from running: any fault of shape, except a name without a meaning.
fn hides_others(finding: &Finding) -> bool {
    let nameless = matches!(finding.rule.name, "unknown_field" | "not_a_reverse_domain");
    let meant = finding.args.iter().any(|(name, _)| *name == "nearest");
    matches!(finding.rule.theme, "shape" | "file") && (!nameless || meant)
}
