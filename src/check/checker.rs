//! The checker: the fast path, the slow path, and how a record gets from one to the other.

mod checked;
mod far_off;
mod read_error;
#[cfg(feature = "serde")]
mod typed;

use std::collections::BTreeMap;

use oar_schema::limits::Limits;
use oar_schema::rows::Rows;

use crate::check::args::args;
use crate::check::case::Case;
use crate::check::case::totals::ToothTotals;
use crate::check::cohort::{Facts, Spots};
use crate::check::finding::{Finding, Place};
use crate::check::found::{Found, Stated};
use crate::check::levels::Levels;
use crate::check::locate::Locator;
use crate::check::marks::Marks;
use crate::check::parts::{Damage, Parts};
use crate::check::rule::{Level, Rule};
use crate::check::rules::file;
use crate::check::settings::{FAR_OFF, Settings, Settled};
use crate::check::shape::{Fault, Reading, Shape, Walk};
use crate::check::{excerpt, guess, plain, systems};
use crate::json::{Kind, NodeId, Problem, SyntaxError, SyntaxErrorKind, Tree, decode};
use crate::zones::Zones;

pub use checked::Checked;
pub use read_error::ReadError;

/// How far a record is checked.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
enum Until {
    /// To the first rule that finds something.
    First,
    /// To the end.
    End,
}

/// What the rows hold of the record that was checked last.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq)]
enum LastRecord {
    /// Not all of it.
    #[default]
    Nothing,
    /// All of it; texts are places in the bytes that were given.
    Given,
    /// All of it; texts are places in what the slow path wrote.
    Written,
}

/// The findings of a record and the values read from it, as text.
pub(crate) type FindingsAsText = (Vec<String>, String);

/// Checks records one after the other; keep one and use it again, since its buffers stay warm.
///
/// ```
/// use open_aligner_record::Checker;
///
/// let mut checker = Checker::new();
/// let checked = checker.check(br#"{"format": "open-aligner-record", "version": "1.0"}"#);
/// assert!(checked.iter().all(|finding| finding.rule.name == "missing_field"));
/// ```
#[derive(Debug, Default)]
#[allow(clippy::struct_excessive_bools, reason = "each is asked for by itself")]
pub struct Checker {
    settled: Settled,
    without_excerpts: bool,
    zones: Zones,
    rows: Rows,
    found: Found,
    tree: Tree,
    text: String,
    system: String,
    with_facts: bool,
    facts: Option<Facts>,
    with_record_ids: bool,
    /// The id of the record that the facts are of.
    record_id: String,
    values: Vec<u8>,
    totals: Vec<ToothTotals>,
    held: LastRecord,
    /// What could not be read of the record that was checked last.
    damage: Damage,
    /// Whether rules are applied whatever they need.
    heedless: bool,
    /// Marks that do not count, and those that each rule has asked for. For the tests of what marks are needed for.
    left_out: Marks,
    asked: BTreeMap<&'static str, Marks>,
}

impl Checker {
    /// A checker with the levels and limits as published.
    pub fn new() -> Self {
        Self::default()
    }

    /// A checker with other limits.
    pub fn with_limits(limits: Limits) -> Self {
        Self::with_settings(&Settings::from(limits))
    }

    /// A checker with other levels and limits, or with some for the records of one system.
    pub fn with_settings(settings: &Settings) -> Self {
        Self { settled: Settled::new(settings), ..Self::default() }
    }

    /// Leaves the source text out of findings.
    #[must_use]
    pub fn without_excerpts(mut self) -> Self {
        self.without_excerpts = true;
        self
    }

    /// Keeps of each record what the rules across records ask; see [`crate::check::cohort`].
    #[must_use]
    pub fn with_facts(mut self) -> Self {
        self.with_facts = true;
        self
    }

    /// Keeps the id of each record beside its facts, so that findings across records carry it.
    #[must_use]
    pub fn with_record_ids(mut self) -> Self {
        self.with_record_ids = true;
        self
    }

    /// Applies rules even to records in which something that they need could not be read. For the test of what they need.
    #[doc(hidden)]
    #[must_use]
    pub fn heedless(mut self) -> Self {
        self.heedless = true;
        self
    }

    /// Applies rules as if no record had these marks, in a build with debug assertions. For the test of what marks are needed for.
    #[doc(hidden)]
    #[must_use]
    pub fn without_marks(mut self, left_out: Marks) -> Self {
        self.left_out = left_out;
        self
    }

    /// The marks that each rule has asked for so far, in a build with debug assertions. For the test of what rules declare.
    #[doc(hidden)]
    pub fn asked_marks(&self) -> &BTreeMap<&'static str, Marks> {
        &self.asked
    }

    fn not_applied(&self) -> impl Iterator<Item = &'static Rule> {
        let rules = self.settled.current().running.iter().map(|(rule, _)| *rule);
        rules.filter(|rule| !self.damage.is_none() && rule.is_stopped_by(&self.damage))
    }

    /// The thresholds it checks with, those of profiles left out.
    pub fn limits(&self) -> &Limits {
        &self.settled.everywhere().limits
    }

    /// The maximum size of a record in bytes.
    pub fn largest_record(&self) -> usize {
        self.limits().largest_record_kilobytes as usize * 1024
    }

    /// The level of a rule that looks at files; none when it is off.
    pub(crate) fn level_in_files(&self, rule: &Rule) -> Option<Level> {
        self.levels_in_files().of(rule)
    }

    /// The levels of rules that look at files, or at several records together.
    pub(crate) fn levels_in_files(&self) -> &Levels {
        &self.settled.everywhere().levels
    }

    /// Everything that is wrong in one record, in the order of its text; nothing for a right one.
    pub fn check<'c>(&'c mut self, record: &'c [u8]) -> Checked<'c> {
        self.check_from(record, 1)
    }

    /// Whether nothing is wrong in one record, not even a note; stops at the first thing that is.
    pub fn is_clean(&mut self, record: &[u8]) -> bool {
        self.facts = None;
        if self.fast(record, Until::First) {
            return self.found.stated.is_empty();
        }
        self.slow(record, 1, Until::First).is_empty()
    }

    /// Whether every value of one record is there and in its plain form; it is in the rows then.
    pub(crate) fn is_plain(&mut self, record: &[u8]) -> bool {
        simdutf8::basic::from_utf8(record).is_ok() && self.rows.read(record).is_ok()
    }

    /// Whether the published schema takes the record, whatever else may be wrong with it; none when its text is at fault
    /// before a schema applies (no JSON, repeated names, numbers that a double cannot hold, noncharacters).
    pub fn fits_schema(&mut self, record: &[u8]) -> Option<bool> {
        if self.is_plain(record) {
            return Some(true);
        }
        self.tree.parse(record).ok()?;
        if !self.tree.problems().is_empty() {
            return None;
        }
        Some(Walk::check(&self.tree, record, &mut self.zones, Vec::new()).fits_schema)
    }

    /// One thing that is wrong in one record, if anything is: the rules stop at the first that finds something, so
    /// this is quicker than [`Self::check`] for a record that is to be refused anyway.
    pub fn first(&mut self, record: &[u8]) -> Option<Finding> {
        self.findings(record, 1, Until::First).into_iter().next()
    }

    /// As [`Self::check`], for a record that begins on line `line` of its file.
    pub fn check_from<'c>(&'c mut self, record: &'c [u8], line: u64) -> Checked<'c> {
        let findings = self.findings(record, line, Until::End);
        Checked { checker: self, bytes: record, findings }
    }

    fn findings(&mut self, record: &[u8], line: u64, until: Until) -> Vec<Finding> {
        (self.facts, self.held, self.damage) = (None, LastRecord::Nothing, Damage::default());
        let findings = self.on_either_path(record, line, until);
        if let Some(facts) = &mut self.facts {
            facts.line = u32::try_from(line).unwrap_or(u32::MAX);
            facts.note_findings(!findings.is_empty());
        }
        findings
    }

    fn on_either_path(&mut self, record: &[u8], line: u64, until: Until) -> Vec<Finding> {
        if !self.fast(record, until) {
            let findings = self.slow(record, line, until);
            systems::note(&mut self.system, &self.tree, record);
            return findings;
        }
        systems::note_row(&mut self.system, self.rows.source.system.of(record));
        if let Some(facts) = &mut self.facts {
            facts.spots = Spots::in_text(record, &self.rows);
        }
        if self.found.stated.is_empty() {
            return Vec::new();
        }
        let stated = std::mem::take(&mut self.found.stated);
        match self.tree.parse(record) {
            Ok(()) => self.place(record, line, &Reading::default(), Vec::new(), &stated),
            Err(error) => vec![self.syntax(record, line, error)],
        }
    }

    /// What each path makes of one record: the findings and the values read, as text. None when the fast path leaves
    /// the record to the slow one. For tests that hold the two together.
    #[doc(hidden)]
    pub fn both_paths(&mut self, record: &[u8]) -> (Option<FindingsAsText>, FindingsAsText) {
        let told = |findings: &[Finding]| -> Vec<String> {
            findings
                .iter()
                .map(|finding| format!("{:?} {:?} {:?}", finding.rule, finding.place, finding.args))
                .collect()
        };
        let taken = self.fast(record, Until::End);
        let fast = taken.then(|| self.rows.values());
        let fast = fast.map(|values| (told(&self.findings(record, 1, Until::End)), values));
        let slow = self.slow(record, 1, Until::End);
        (fast, (told(&slow), self.rows.values()))
    }

    /// The fast path: reads the record and runs the rules; false when the slow path has to decide.
    fn fast(&mut self, record: &[u8], until: Until) -> bool {
        if !self.is_plain(record) {
            return false;
        }
        let Some(zone) = self.zones.find(self.rows.patient.time_zone.of(record)) else { return false };
        self.held = LastRecord::Given;
        self.settled.turn_to(self.rows.source.system.of(record));
        self.damage = Damage::default();
        self.run_rules(record, Some(zone), until);
        true
    }

    /// Runs every rule that needs nothing of what could not be read on the record in the rows.
    fn run_rules(&mut self, bytes: &[u8], zone: Option<usize>, until: Until) {
        let (damage, whole) = (self.damage, self.damage.is_none() || self.heedless);
        let zone = zone.map(|index| self.zones.zone(index));
        let in_force = self.settled.current();
        let mut case = Case::new(&self.rows, bytes, &in_force.limits, zone, &mut self.totals, self.left_out);
        if !in_force.reports_far_off {
            case.trust_all();
        }
        self.found.stated.clear();
        for (rule, check) in in_force.running.iter().copied() {
            if (whole || !rule.is_stopped_by(&damage)) && !case.is_marked(rule.unless) {
                self.found.rule = Some(rule);
                check(&case, &mut self.found);
            }
            if cfg!(debug_assertions) {
                let asked = self.asked.entry(rule.name).or_default();
                *asked = asked.union(case.heed.take());
            }
            if until == Until::First && !self.found.stated.is_empty() {
                return;
            }
        }
        if self.found.stated.iter().any(|stated| stated.rule.name == FAR_OFF) {
            far_off::raise(&mut case, in_force, |rule| whole || !rule.is_stopped_by(&damage), &mut self.found.stated);
        }
        if self.with_facts && until == Until::End {
            self.facts = Facts::of(&case, &damage, &mut self.values);
            if self.with_record_ids {
                self.record_id = case.id(case.id);
            }
        }
    }

    /// The slow path: read again with positions, shape first, then the rules on what is whole.
    fn slow(&mut self, record: &[u8], line: u64, until: Until) -> Vec<Finding> {
        self.damage = Damage::everything();
        if let Err(error) = self.tree.parse(record) {
            return vec![self.syntax(record, line, error)];
        }
        self.turn_to_system_in_tree(record);
        let mut faults = self.problems();
        if let Some(fault) = guess::another_format(&self.tree, record) {
            faults.push(fault);
            self.leave_out_off(&mut faults);
            return self.place(record, line, &Reading::default(), faults, &[]);
        }
        let skip = faults.iter().map(|fault| fault.node).collect();
        let Shape { faults: shape, reading, fits_schema: _ } = Walk::check(&self.tree, record, &mut self.zones, skip);
        faults.extend(shape);
        self.leave_out_off(&mut faults);
        let enough = until == Until::First && !faults.is_empty();
        let stated = if enough { Vec::new() } else { self.rules_on_the_rest(record, &reading, until) };
        if let Some(facts) = &mut self.facts {
            let locator = Locator::new(&self.tree, record, line);
            facts.spots = Spots::in_tree(|path| locator.place(locator.follow(path), false), line);
            // What was read of the record is not all that it says.
            if !self.damage.is_none() || faults.iter().any(|fault| fault.on_name) {
                facts.take_text(record, &mut self.values);
            }
        }
        self.place(record, line, &reading, faults, &stated)
    }

    /// Turns to the settings for the system that the record names, whatever else may be wrong with it.
    fn turn_to_system_in_tree(&mut self, record: &[u8]) {
        let source = self.tree.member(record, self.tree.root(), "source");
        let system = source.and_then(|source| self.tree.member(record, source, "system"));
        let system = system.map(|system| self.tree.node(system)).filter(|system| system.kind == Kind::String);
        self.settled.turn_to(decode(system.map_or(b"", |system| system.token(record))).as_bytes());
    }

    /// Leaves out the faults whose rules are off.
    fn leave_out_off(&self, faults: &mut Vec<Fault>) {
        let in_force = self.settled.current();
        faults.retain(|fault| in_force.level(fault.rule).is_some());
    }

    /// Runs the rules on what could be read.
    fn rules_on_the_rest(&mut self, record: &[u8], reading: &Reading, until: Until) -> Vec<Stated> {
        let mut text = std::mem::take(&mut self.text);
        plain::write(&self.tree, record, reading, &mut text);
        let read = self.rows.read_partial(text.as_bytes());
        debug_assert!(read.is_ok(), "the fast path reads what the slow path writes");
        if read.is_ok() {
            let zone = self.zones.find(self.rows.patient.time_zone.of(text.as_bytes()));
            self.damage = reading.damage();
            if zone.is_none() {
                self.lose_days();
            }
            self.held = if self.damage.is_none() { LastRecord::Written } else { LastRecord::Nothing };
            self.run_rules(text.as_bytes(), zone, until);
        }
        self.text = text;
        std::mem::take(&mut self.found.stated)
    }

    /// Without a time zone the patient's day of an instant is the one that it is written with, unless it is written in UTC.
    fn lose_days(&mut self) {
        self.damage.lose(Parts::named("patient", "time_zone"));
        if self.rows.source.exported_at.offset_minutes == 0 {
            self.damage.lose(Parts::named("source", "exported_at"));
        }
        if self.rows[self.rows.check_ins].iter().any(|check_in| check_in.at.offset_minutes == 0) {
            self.damage.lose(Parts::named("check_ins", "at"));
        }
    }

    /// What I-JSON forbids, as faults.
    fn problems(&self) -> Vec<Fault> {
        let fault = |(problem, node): &(Problem, NodeId)| {
            let (rule, on_name): (&'static Rule, bool) = match problem {
                Problem::RepeatedName => (&file::repeated_name, true),
                Problem::NumberTooLarge => (&file::number_too_large, false),
                Problem::Noncharacter => (&file::noncharacter, false),
            };
            Fault { rule, node: *node, on_name, args: args![] }
        };
        self.tree.problems().iter().map(fault).collect()
    }

    /// A document that is no JSON.
    fn syntax(&self, record: &[u8], line: u64, error: SyntaxError) -> Finding {
        let (rule, args) = guess::syntax(record, error);
        let locator = Locator::new(&self.tree, record, line);
        let at = error.at.min(record.len());
        let place = locator.between(at, (at + 1).min(record.len()).max(at));
        let excerpt = excerpt::unparsed(record, locator.line_around(at), at);
        let excerpt = Some(excerpt)
            .filter(|_| !self.without_excerpts && rule != &file::not_utf8 && error.kind != SyntaxErrorKind::NotUtf8);
        let level = self.level_in_files(rule).unwrap_or(rule.level);
        Finding { excerpt, ..Finding::new(rule, level, place, args, subject_of_text(record)) }
    }

    /// Findings with places, in the order of the text.
    fn place(
        &self,
        record: &[u8],
        line: u64,
        reading: &Reading,
        faults: Vec<Fault>,
        stated: &[Stated],
    ) -> Vec<Finding> {
        let locator = Locator::new(&self.tree, record, line).reading(reading);
        let mut placed: Vec<(usize, Finding)> = Vec::new();
        for fault in faults {
            placed.push(self.finding(record, &locator, fault, Vec::new()));
        }
        for stated in stated {
            let related = stated.related.iter().map(|path| locator.place(locator.follow(path), false)).collect();
            let fault = Fault {
                rule: stated.rule,
                node: locator.follow(&stated.path),
                on_name: false,
                args: stated.args.clone(),
            };
            let (at, mut finding) = self.finding(record, &locator, fault, related);
            finding.level = stated.least_level.map_or(finding.level, |least| least.max(finding.level));
            placed.push((at, finding));
        }
        placed.sort_by_key(|(at, finding)| (*at, finding.rule.name));
        placed.into_iter().map(|(_, finding)| finding).collect()
    }

    fn finding(&self, record: &[u8], locator: &Locator<'_>, fault: Fault, related: Vec<Place>) -> (usize, Finding) {
        let Fault { rule, node, on_name, args } = fault;
        let place = locator.place(node, on_name);
        let (start, end) = locator.range(node, on_name);
        let excerpt = (!self.without_excerpts)
            .then(|| excerpt::excerpt(&self.tree, record, locator.line_around(start), start, end));
        let level = self.settled.current().level(rule).unwrap_or(rule.level);
        (start, Finding { related, excerpt, ..Finding::new(rule, level, place, args, locator.subject(node)) })
    }
}

/// What a finding about a text that is no JSON is about; only fingerprints ask for it.
#[cfg(feature = "report")]
fn subject_of_text(text: &[u8]) -> String {
    crate::check::fingerprint::of_text(text)
}

#[cfg(not(feature = "report"))]
fn subject_of_text(_: &[u8]) -> String {
    String::new()
}
