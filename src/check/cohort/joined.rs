//! The facts of all records, joined by what they have in common.

use super::{Cohort, Facts};

/// The facts in the orders in which rules look at them. A record is named by its place among the facts.
pub struct Joined<'a> {
    cohort: &'a Cohort,
    /// All records: those of one id together, in the order of [`Cohort::order`].
    records: Vec<u32>,
    /// For each id and patient the state that was exported last: those of one patient together.
    people: Vec<u32>,
}

impl<'a> Joined<'a> {
    pub(crate) fn new(cohort: &'a Cohort) -> Self {
        let mut joined = Self { cohort, records: Vec::new(), people: Vec::new() };
        joined.records = (0..cohort.facts().len() as u32).collect();
        let mut records = std::mem::take(&mut joined.records);
        joined.sort(&mut records, |facts| facts.record);
        joined.records = records;
        joined.people = joined.last_states();
        joined
    }

    pub(crate) fn facts(&self, at: u32) -> &'a Facts {
        &self.cohort.facts()[at as usize]
    }

    /// Whether the file of a record holds several.
    pub(crate) fn is_list(&self, at: u32) -> bool {
        self.cohort.is_list(self.facts(at))
    }

    /// Sorts records by a key, and those of the same key in the order of [`Cohort::order`].
    pub(crate) fn sort<K: Ord>(&self, records: &mut [u32], key: impl Fn(&Facts) -> K) {
        records.sort_unstable_by(|one, other| {
            let (one, other) = (self.facts(*one), self.facts(*other));
            key(one).cmp(&key(other)).then_with(|| self.cohort.order(one, other))
        });
    }

    /// The records of each id, where there are several.
    pub(crate) fn by_record(&self) -> impl Iterator<Item = &[u32]> {
        groups(&self.records, |at| self.facts(at).record)
    }

    /// The records of each patient, where there are several: the last state of each.
    pub(crate) fn by_patient(&self) -> impl Iterator<Item = &[u32]> {
        groups(&self.people, |at| self.facts(at).patient)
    }

    /// The last state of each record whose patient is known.
    pub(crate) fn people(&self) -> &[u32] {
        &self.people
    }

    /// All records.
    pub(crate) fn all(&self) -> &[u32] {
        &self.records
    }

    fn last_states(&self) -> Vec<u32> {
        let known = |at: &&u32| self.facts(**at).patient != 0;
        let mut people: Vec<u32> = self.records.iter().filter(known).copied().collect();
        self.sort(&mut people, |facts| (facts.patient, facts.record));
        let key = |at: u32| (self.facts(at).patient, self.facts(at).record);
        // The last state is the last entry of its key; of its copies the first is kept.
        let mut kept: Vec<u32> = Vec::new();
        for at in people {
            match kept.last_mut() {
                Some(last) if key(*last) == key(at) => {
                    if self.facts(*last).content != self.facts(at).content {
                        *last = at;
                    }
                }
                _ => kept.push(at),
            }
        }
        self.sort(&mut kept, |facts| facts.patient);
        kept
    }

    /// The different states of records of one id, each by its first copy.
    pub(crate) fn states(&self, group: &[u32]) -> Vec<u32> {
        let runs = group.chunk_by(|one, next| self.facts(*one).content == self.facts(*next).content);
        runs.map(|run| run[0]).collect()
    }
}

/// The runs of sorted records that have a key in common, where they are longer than one.
pub(crate) fn groups<K: PartialEq>(sorted: &[u32], key: impl Fn(u32) -> K) -> impl Iterator<Item = &[u32]> {
    sorted.chunk_by(move |one, next| key(*one) == key(*next)).filter(|group| group.len() > 1)
}
