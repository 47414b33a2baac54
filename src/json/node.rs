//! One value of a document: what it is and where it is.

use std::num::NonZeroU32;

/// What a value is.
#[derive(Clone, Copy, PartialEq, Eq, Debug)]
pub enum Kind {
    /// Names and values in braces.
    Object,
    /// Values in square brackets.
    Array,
    /// Text in quotes; see [`decode`](super::decode).
    String,
    /// A number; see [`decimal`](super::decimal).
    Number,
    /// `true` or `false`.
    Bool(bool),
    /// `null`.
    Null,
}

/// Which value of a [`Tree`](super::Tree). Values are numbered in the order in which they start.
#[derive(Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Debug)]
pub struct NodeId(NonZeroU32);

impl NodeId {
    pub(super) const ROOT: Self = Self(NonZeroU32::MIN);

    /// The id of the node with this position in the arena.
    pub(super) fn at(position: usize) -> Self {
        Self(NonZeroU32::MIN.saturating_add(position as u32))
    }

    /// Its position in the arena.
    pub(super) fn position(self) -> usize {
        self.0.get() as usize - 1
    }
}

/// One value and where it stands. All ranges are byte offsets, the end not included.
#[derive(Clone, Copy, PartialEq, Eq, Debug)]
pub struct Node {
    /// What it is.
    pub kind: Kind,
    /// Where it starts, its quote or bracket included.
    pub start: u32,
    /// Where it ends, its quote or bracket included.
    pub end: u32,
    /// Range of its name, quotes included, if it is a member of an object.
    pub key: Option<(u32, u32)>,
    /// The list or object that holds it.
    pub parent: Option<NodeId>,
    /// The first value it holds.
    pub first_child: Option<NodeId>,
    /// The next value of the same list or object.
    pub next_sibling: Option<NodeId>,
    /// Its position in its list or object, from 0.
    pub index: u32,
}

impl Node {
    /// The bytes of the value, from the bytes of its document.
    pub fn token<'b>(&self, bytes: &'b [u8]) -> &'b [u8] {
        &bytes[self.start as usize..self.end as usize]
    }
}
