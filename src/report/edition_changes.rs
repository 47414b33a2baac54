//! What other settings would change: two runs over the same inputs, finding by finding.

use std::collections::BTreeMap;
use std::{fmt, io};

use crate::check::finding::Item;
use crate::check::rule::Level;
use crate::read::inputs::Input;
use crate::report::run::{Event, Listener, Options, run};
use crate::text::{counted, shown, visible};

/// Where a finding is, whatever it says: file, record, line, column, pointer and rule.
type FindingSite = (String, u64, u64, u64, String, &'static str);

/// What a finding says.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Statement {
    /// How much it weighs.
    pub level: Level,
    /// What is wrong.
    pub message: String,
}

/// One difference between two runs.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct EditionDifference {
    spot: FindingSite,
    /// What was found in the first run.
    pub before: Option<Statement>,
    /// What was found in the second run.
    pub after: Option<Statement>,
}

/// Everything that differs between two runs.
#[derive(Clone, Debug, Default, PartialEq, Eq)]
pub struct Differences {
    /// In the order of files, records and places.
    pub all: Vec<EditionDifference>,
    /// Findings of the first run.
    pub before: u64,
    /// Findings of the second run.
    pub after: u64,
    /// Records that were checked.
    pub records: u64,
    /// What could not be read, and why; reported once.
    pub unreadable: Vec<(String, String)>,
}

/// Checks the inputs with the one and then with the other options. Every finding of both runs is held in memory.
///
/// # Errors
/// No errors of reading: what cannot be read is reported in the differences.
pub fn compare(inputs: &[Input], before: &Options, after: &Options) -> io::Result<Differences> {
    let (mut first, mut second) = (Heard::default(), Heard::default());
    let summary = run(inputs, &Options { excerpts: false, ..before.clone() }, &mut first)?;
    run(inputs, &Options { excerpts: false, ..after.clone() }, &mut second)?;
    let (before, after) = (first.count, second.count);
    let mut both: BTreeMap<FindingSite, (Vec<Statement>, Vec<Statement>)> = BTreeMap::new();
    for (spot, said) in first.findings {
        both.entry(spot).or_default().0.push(said);
    }
    for (spot, said) in second.findings {
        both.entry(spot).or_default().1.push(said);
    }
    let order = |spot: &FindingSite| inputs.iter().position(|input| input.name() == spot.0);
    let mut all: Vec<EditionDifference> =
        both.into_iter().flat_map(|(spot, (before, after))| at(&spot, before, after)).collect();
    all.sort_by_cached_key(|difference| order(&difference.spot));
    Ok(Differences { all, before, after, records: summary.records, unreadable: first.unreadable })
}

/// The differences at one spot: what is said in both runs is none.
fn at(spot: &FindingSite, mut before: Vec<Statement>, mut after: Vec<Statement>) -> Vec<EditionDifference> {
    before.retain(|said| {
        let same = after.iter().position(|other| other == said);
        same.map(|same| after.remove(same)).is_none()
    });
    let mut after = after.into_iter();
    let mut differences: Vec<EditionDifference> = Vec::new();
    for said in before {
        differences.push(EditionDifference { spot: spot.clone(), before: Some(said), after: after.next() });
    }
    differences.extend(after.map(|said| EditionDifference { spot: spot.clone(), before: None, after: Some(said) }));
    differences
}

#[derive(Default)]
struct Heard {
    findings: Vec<(FindingSite, Statement)>,
    count: u64,
    unreadable: Vec<(String, String)>,
}

impl Listener for Heard {
    fn event(&mut self, event: &Event<'_>) -> io::Result<()> {
        match event {
            Event::Finding(item) => self.finding(item),
            Event::Unreadable { file, error } => self.unreadable.push(((*file).to_owned(), error.to_string())),
            _ => {}
        }
        Ok(())
    }
}

impl Heard {
    fn finding(&mut self, Item { file, record, finding }: &Item<'_>) {
        let place = &finding.place;
        let pointer = place.pointer.clone();
        let spot = ((*file).to_owned(), *record, place.line, place.column, pointer, finding.rule.name);
        self.findings.push((spot, Statement { level: finding.level, message: visible(&finding.message()) }));
        self.count += 1;
    }
}

impl EditionDifference {
    /// `new`, `gone` or `changed`.
    pub fn kind(&self) -> &'static str {
        match (&self.before, &self.after) {
            (Some(_), Some(_)) => "changed",
            (Some(_), None) => "gone",
            (None, _) => "new",
        }
    }

    /// The rule.
    pub fn rule(&self) -> &'static str {
        self.spot.5
    }
}

/// In one line: `new      file:line:column: level rule /pointer: message`.
impl fmt::Display for EditionDifference {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        let (file, _, line, column, pointer, rule) = &self.spot;
        let gap = if pointer.is_empty() { "" } else { " " };
        write!(f, "{:<7}  {}:{line}:{column}: ", self.kind(), shown(file))?;
        match (&self.before, &self.after) {
            (Some(before), Some(after)) if before.level != after.level => {
                write!(f, "{} instead of {}", after.level.as_str(), before.level.as_str())?;
            }
            (_, Some(said)) | (Some(said), None) => f.write_str(said.level.as_str())?,
            (None, None) => {}
        }
        let said = self.after.as_ref().or(self.before.as_ref());
        write!(f, " {rule}{gap}{}: {}", visible(pointer), said.map_or("", |said| said.message.as_str()))
    }
}

impl Differences {
    /// How many differences are of a kind.
    pub fn count(&self, kind: &str) -> usize {
        self.all.iter().filter(|difference| difference.kind() == kind).count()
    }
}

/// A line for each difference, and one that counts them.
impl fmt::Display for Differences {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        self.all.iter().try_for_each(|difference| writeln!(f, "{difference}"))?;
        let (new, gone, changed) = (self.count("new"), self.count("gone"), self.count("changed"));
        write!(
            f,
            "{new} new, {gone} gone, {changed} changed: {} instead of {} in {}",
            counted(self.after, "finding"),
            self.before,
            counted(self.records, "record")
        )
    }
}
