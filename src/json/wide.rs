//! Lists and objects that hold much: their values by position and by name.

use super::{
    names::{self, MemberName},
    node::NodeId,
    text::decode,
};
use std::collections::BTreeMap;

/// Up to this many values are looked through one by one.
const FEW: usize = 64;

/// The values of a list or object that holds more than a few.
#[derive(Debug)]
pub(super) struct Wide {
    entries: Vec<NodeId>,
    /// Of an object, the position of the first member of each name, escapes undone.
    members: BTreeMap<String, usize>,
}

impl Wide {
    /// Whether so many values are more than a few.
    pub(super) fn is(count: usize) -> bool {
        count > FEW
    }

    /// `names` are those of the members, in the same order; none for a list.
    pub(super) fn new(bytes: &[u8], entries: Vec<NodeId>, names: &[MemberName]) -> Self {
        let mut members = BTreeMap::new();
        for (position, name) in names.iter().enumerate() {
            members.entry(decode(names::token(bytes, name.range)).into_owned()).or_insert(position);
        }
        Self { entries, members }
    }

    pub(super) fn entry(&self, position: usize) -> Option<NodeId> {
        self.entries.get(position).copied()
    }

    pub(super) fn member(&self, name: &str) -> Option<NodeId> {
        self.entry(*self.members.get(name)?)
    }
}
