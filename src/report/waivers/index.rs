//! Finds the waivers that may match a finding, without trying all of them.
//!
//! Waivers with the same patterns are one group. Groups are looked up by whatever they name in full: the record, the location,
//! the file. Only groups that differ just in patterns with `*` are tried one by one.

use std::collections::{BTreeMap, BTreeSet};

use super::Waiver;

/// Waivers for the same findings.
#[derive(Clone, Debug, Default)]
pub(super) struct Group {
    /// Their numbers, in order.
    pub(super) members: Vec<usize>,
    /// The first of them that applies; none when all have expired.
    pub(super) holder: Option<usize>,
    /// How many findings they matched.
    pub(super) about: u64,
    /// How many of those are accepted without a waiver.
    pub(super) in_baseline: u64,
}

/// What a waiver names in full: record, location and file.
type Full = [bool; 3];

/// The groups of waivers.
#[derive(Clone, Debug, Default)]
pub(super) struct Index {
    pub(super) groups: Vec<Group>,
    /// The group of each waiver.
    pub(super) group_of: Vec<usize>,
    kinds: BTreeSet<Full>,
    /// The groups by their rules and what they name in full.
    by_name: BTreeMap<String, Vec<usize>>,
}

impl Index {
    pub(super) fn of(waivers: &[Waiver]) -> Self {
        let (mut index, mut known) = (Self::default(), BTreeMap::new());
        for (number, waiver) in waivers.iter().enumerate() {
            let same = (waiver.rule.name, &waiver.record, &waiver.at, &waiver.file);
            let group = *known.entry(same).or_insert_with(|| index.add(waiver));
            index.groups[group].members.push(number);
            index.group_of.push(group);
        }
        index.hold(|_| true);
        index
    }

    /// Updates which waivers apply.
    pub(super) fn hold(&mut self, holds: impl Fn(usize) -> bool) {
        for group in &mut self.groups {
            group.holder = group.members.iter().copied().find(|number| holds(*number));
        }
    }

    fn add(&mut self, waiver: &Waiver) -> usize {
        let whole = |text: &String| Some(text.clone()).filter(|text| !text.contains('*'));
        let names = [whole(&waiver.record), waiver.at.whole(), waiver.file.as_ref().and_then(whole)];
        self.kinds.insert([0, 1, 2].map(|at| names[at].is_some()));
        let group = self.groups.len();
        self.by_name.entry(key(waiver.rule.name, names.each_ref().map(Option::as_deref))).or_default().push(group);
        self.groups.push(Group::default());
        group
    }

    /// The groups that may match a finding of a rule in a record, at a location in a file.
    pub(super) fn candidates(&self, rule: &str, found: [Option<&str>; 3]) -> Vec<usize> {
        let can_be = |kind: &&Full| (0..3).all(|at| !kind[at] || found[at].is_some());
        let of_kind = |kind: &Full| {
            let names = [0, 1, 2].map(|at| found[at].filter(|_| kind[at]));
            self.by_name.get(&key(rule, names)).into_iter().flatten().copied()
        };
        self.kinds.iter().filter(can_be).flat_map(of_kind).collect()
    }
}

fn key(rule: &str, names: [Option<&str>; 3]) -> String {
    names.iter().fold(rule.to_owned(), |key, name| match name {
        Some(name) => key + "\0=" + name,
        None => key + "\0*",
    })
}
