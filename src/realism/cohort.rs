//! A cohort: the sums and counts of all its records.

use std::collections::BTreeMap;

use oar_schema::record::Record;

use super::measures;
use super::patient::{GROUPS, Patient};
use super::seen::{ObservationName, Seen};
use crate::statistics::{FittedLine, Pooled, Share, Survival, Tally};

/// The observations of each name, in each group of [`GROUPS`].
type PerGroup<V> = BTreeMap<ObservationName, [V; GROUPS.len()]>;

/// The observations in the records of a cohort, for each measure and group. It holds counts and sums: for each measure a
/// count of every value that occurs, and no record.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct Observations {
    /// Records that were read.
    pub records: u64,
    /// Records with errors, which were skipped.
    pub left_out: u64,
    /// Records by the recipe that made them; the empty name holds those that are not synthetic.
    pub recipes: BTreeMap<String, u64>,
    values: PerGroup<Tally>,
    shares: PerGroup<Share>,
    pooled: PerGroup<Pooled>,
    times: PerGroup<Survival>,
    lines: PerGroup<FittedLine>,
}

impl Observations {
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
        let own = patient.groups();
        let groups: Vec<usize> = (0..GROUPS.len()).filter(|group| own.contains(&GROUPS[*group].0)).collect();
        self.add_seen(&groups, &seen);
    }

    fn add_seen(&mut self, groups: &[usize], seen: &Seen) {
        for (name, hundredths) in &seen.values {
            in_each(&mut self.values, name, groups, |tally| tally.add(*hundredths));
        }
        for (name, yes) in &seen.shares {
            in_each(&mut self.shares, name, groups, |share| share.add(*yes));
        }
        for (name, (above, below)) in &seen.pooled {
            in_each(&mut self.pooled, name, groups, |pooled| pooled.add(*above, *below));
        }
        for (name, days, outcome) in &seen.times {
            in_each(&mut self.times, name, groups, |survival| survival.add(*days, *outcome));
        }
        for (name, points) in &seen.points {
            in_each(&mut self.lines, name, groups, |line| line.add(points));
        }
    }

    /// Adds another part of the cohort. The order of parts does not matter.
    pub fn merge(&mut self, other: Self) {
        self.records += other.records;
        self.left_out += other.left_out;
        for (recipe, count) in other.recipes {
            *self.recipes.entry(recipe).or_default() += count;
        }
        merge(&mut self.values, &other.values, Tally::merge);
        merge(&mut self.shares, &other.shares, |own, more| own.merge(*more));
        merge(&mut self.pooled, &other.pooled, Pooled::merge);
        merge(&mut self.times, &other.times, Survival::merge);
        merge(&mut self.lines, &other.lines, FittedLine::merge);
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
    pub fn line(&self, of: &Asked) -> Option<&FittedLine> {
        of.find(&self.lines)
    }

    /// All observations of a measure, in order of its name, for the requested group.
    pub fn parts(&self, of: &Asked) -> Vec<Asked> {
        let names = self.values.keys().chain(self.shares.keys()).chain(self.pooled.keys());
        let mut parts: Vec<Asked> = names
            .filter(|name| name[0] == of.name[0])
            .map(|name| Asked { name: name.map(str::to_owned), group: of.group.clone() })
            .collect();
        parts.sort();
        parts.dedup();
        parts
    }
}

fn in_each<V: Default>(table: &mut PerGroup<V>, name: &ObservationName, groups: &[usize], add: impl Fn(&mut V)) {
    let row = table.entry(*name).or_insert_with(|| std::array::from_fn(|_| V::default()));
    for group in groups {
        add(&mut row[*group]);
    }
}

fn merge<V: Default>(own: &mut PerGroup<V>, other: &PerGroup<V>, merge: impl Fn(&mut V, &V)) {
    for (name, more) in other {
        let row = own.entry(*name).or_insert_with(|| std::array::from_fn(|_| V::default()));
        row.iter_mut().zip(more).for_each(|(own, more)| merge(own, more));
    }
}

/// A measure in a group as a table or a plot requests it, written `measure:of:of@group`.
#[derive(Clone, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub struct Asked {
    /// The measure and its subject.
    pub name: [String; 3],
    /// The group of patients.
    pub group: String,
}

impl Asked {
    /// Reads `measure:of:of@group`; an omitted part is empty, and an omitted group is `all`.
    pub fn parse(text: &str) -> Self {
        let (name, group) = text.split_once('@').unwrap_or((text, "all"));
        let mut parts = name.splitn(3, ':').map(str::to_owned);
        let name = std::array::from_fn(|_| parts.next().unwrap_or_default());
        Self { name, group: group.to_owned() }
    }

    /// The entry of a table for it; none for a name that never occurred.
    fn find<'m, V: Default + PartialEq>(&self, table: &'m PerGroup<V>) -> Option<&'m V> {
        let group = GROUPS.iter().position(|(group, _)| *group == self.group)?;
        let own = |name: &ObservationName| name.iter().zip(&self.name).all(|(one, other)| *one == other);
        let (_, row) = table.iter().find(|(name, _)| own(name))?;
        Some(&row[group]).filter(|value| **value != V::default())
    }
}
