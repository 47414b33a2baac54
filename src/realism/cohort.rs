//! A cohort: what was seen in all its records, added up.

use std::collections::BTreeMap;

use oar_schema::record::Record;

use super::measures;
use super::patient::Patient;
use super::seen::{Name, Seen};
use super::stats::{Line, Pooled, Share, Survival, Tally};

/// A measure in a group of patients; the group of all is `all`.
pub(super) type Key = (Name, &'static str);

/// What was seen in the records of a cohort, for each measure and group. It holds counts and sums: for each measure a count
/// of every value that occurs, and no record.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct Cohort {
    /// Records that were read.
    pub records: u64,
    /// Records with errors, which were left out.
    pub left_out: u64,
    /// Records by the recipe that made them; the empty name holds those that were not made up.
    pub recipes: BTreeMap<String, u64>,
    groups: BTreeMap<&'static str, u64>,
    values: BTreeMap<Key, Tally>,
    shares: BTreeMap<Key, Share>,
    pooled: BTreeMap<Key, Pooled>,
    times: BTreeMap<Key, Survival>,
    lines: BTreeMap<Key, Line>,
}

impl Cohort {
    /// Adds a record.
    pub fn add(&mut self, record: &Record) {
        self.records += 1;
        let recipe = record.source.synthetic.as_ref().map(|made| made.recipe.0.clone());
        *self.recipes.entry(recipe.unwrap_or_default()).or_default() += 1;
        let patient = Patient::new(record);
        let mut seen = Seen::default();
        for measure in measures::all() {
            (measure.observe)(&patient, &mut seen);
        }
        for group in patient.groups() {
            *self.groups.entry(group).or_default() += 1;
            self.add_to(group, &seen);
        }
    }

    fn add_to(&mut self, group: &'static str, seen: &Seen) {
        for (name, hundredths) in &seen.values {
            self.values.entry((*name, group)).or_default().add(*hundredths);
        }
        for (name, yes) in &seen.shares {
            self.shares.entry((*name, group)).or_default().add(*yes);
        }
        for (name, (above, below)) in &seen.pooled {
            self.pooled.entry((*name, group)).or_default().add(*above, *below);
        }
        for (name, days, outcome) in &seen.times {
            self.times.entry((*name, group)).or_default().add(*days, *outcome);
        }
        for (name, points) in &seen.points {
            self.lines.entry((*name, group)).or_default().add(points);
        }
    }

    /// Adds another part of the cohort. The order of parts does not matter.
    pub fn merge(&mut self, other: Self) {
        self.records += other.records;
        self.left_out += other.left_out;
        for (recipe, count) in other.recipes {
            *self.recipes.entry(recipe).or_default() += count;
        }
        for (group, count) in other.groups {
            *self.groups.entry(group).or_default() += count;
        }
        each(&mut self.values, &other.values, Tally::merge);
        each(&mut self.shares, &other.shares, |own, more| own.merge(*more));
        each(&mut self.pooled, &other.pooled, Pooled::merge);
        each(&mut self.times, &other.times, Survival::merge);
        each(&mut self.lines, &other.lines, Line::merge);
    }

    /// How many patients are in a group.
    pub fn group(&self, group: &str) -> u64 {
        self.groups.get(group).copied().unwrap_or(0)
    }

    /// The values of a measure in a group.
    pub fn tally(&self, of: &Asked) -> Option<&Tally> {
        of.find(&self.values)
    }

    /// The share of a measure in a group.
    pub fn share(&self, of: &Asked) -> Option<Share> {
        of.find(&self.shares).copied()
    }

    /// The pooled sums of a measure in a group.
    pub fn pooled(&self, of: &Asked) -> Option<&Pooled> {
        of.find(&self.pooled)
    }

    /// The times of a measure in a group.
    pub fn times(&self, of: &Asked) -> Option<&Survival> {
        of.find(&self.times)
    }

    /// The line of a measure in a group.
    pub fn line(&self, of: &Asked) -> Option<&Line> {
        of.find(&self.lines)
    }

    /// All that a measure was seen of in a group, in order of its name.
    pub fn parts(&self, of: &Asked) -> Vec<Asked> {
        let names = self.values.keys().chain(self.shares.keys()).chain(self.pooled.keys());
        let mut parts: Vec<Asked> = names
            .filter(|(name, group)| name[0] == of.name[0] && *group == of.group)
            .map(|(name, group)| Asked { name: name.map(str::to_owned), group: (*group).to_owned() })
            .collect();
        parts.sort();
        parts.dedup();
        parts
    }
}

fn each<V: Default>(own: &mut BTreeMap<Key, V>, other: &BTreeMap<Key, V>, merge: impl Fn(&mut V, &V)) {
    for (key, more) in other {
        merge(own.entry(*key).or_default(), more);
    }
}

/// A measure in a group as a table or a plot asks for it, written `measure:of:of@group`.
#[derive(Clone, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub struct Asked {
    /// The measure and of what.
    pub name: [String; 3],
    /// The group of patients.
    pub group: String,
}

impl Asked {
    /// Reads `measure:of:of@group`; what is left out is empty, and the group `all`.
    pub fn parse(text: &str) -> Self {
        let (name, group) = text.split_once('@').unwrap_or((text, "all"));
        let mut parts = name.splitn(3, ':').map(str::to_owned);
        let name = std::array::from_fn(|_| parts.next().unwrap_or_default());
        Self { name, group: group.to_owned() }
    }

    fn find<'m, V>(&self, map: &'m BTreeMap<Key, V>) -> Option<&'m V> {
        let here = |key: &Key| key.0.iter().zip(&self.name).all(|(a, b)| *a == b) && key.1 == self.group;
        // Names are static, so a key cannot be made of what was read; there are a few thousand at most.
        map.iter().find(|(key, _)| here(key)).map(|(_, value)| value)
    }
}
