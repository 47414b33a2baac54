//! The tree: values, their ranges and how they hang together.

use super::{
    names::MemberName,
    node::{Node, NodeId},
    wide::Wide,
};
use std::collections::BTreeMap;

/// What I-JSON (RFC 7493) forbids or warns of but does not stop the reading.
#[derive(Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Debug)]
#[non_exhaustive]
pub enum Problem {
    /// An earlier member of the object has the same name, escapes undone (section 2.3).
    RepeatedName,
    /// A whole number outside ±(2^53 − 1), or any number larger than a double can be
    /// (section 2.2). More digits than a double keeps are not a problem here.
    NumberTooLarge,
    /// The string, or the name of the member, holds a Unicode noncharacter (section 2.1).
    Noncharacter,
}

/// The values of one document. Keep one and read document after document into it.
#[derive(Default, Debug)]
pub struct Tree {
    pub(super) nodes: Vec<Node>,
    pub(super) problems: Vec<(Problem, NodeId)>,
    pub(super) open: Vec<Open>,
    pub(super) names: Vec<MemberName>,
    /// The lists and objects that hold much, so that no look-up walks through them.
    pub(super) wide: BTreeMap<NodeId, Wide>,
}

/// A list or object that is still open while a document is read.
#[derive(Clone, Copy, Debug)]
pub(super) struct Open {
    pub(super) node: NodeId,
    pub(super) last_child: Option<NodeId>,
    /// Where its names start among the names of all open objects.
    pub(super) first_name: usize,
}

impl Tree {
    /// Takes the values of the last document out.
    pub(super) fn clear(&mut self) {
        self.nodes.clear();
        self.problems.clear();
        self.open.clear();
        self.names.clear();
        self.wide.clear();
    }

    /// The value that is the whole document. It is in the tree once a document has been read.
    pub fn root(&self) -> NodeId {
        NodeId::ROOT
    }

    /// The node of an id. Panics if the id is of another tree that has more nodes, or if nothing
    /// has been read.
    pub fn node(&self, id: NodeId) -> &Node {
        &self.nodes[id.position()]
    }

    pub(super) fn node_mut(&mut self, id: NodeId) -> &mut Node {
        &mut self.nodes[id.position()]
    }

    /// How many values the document has, all levels together; 0 if nothing has been read.
    pub fn len(&self) -> usize {
        self.nodes.len()
    }

    /// Whether nothing has been read.
    pub fn is_empty(&self) -> bool {
        self.nodes.is_empty()
    }

    /// The values that a list or object holds, in order; none for any other value.
    pub fn children(&self, id: NodeId) -> Children<'_> {
        Children { tree: self, next: self.node(id).first_child }
    }

    /// The value at a position of a list or object, from 0.
    pub fn entry(&self, id: NodeId, position: usize) -> Option<NodeId> {
        match self.wide.get(&id) {
            Some(wide) => wide.entry(position),
            None => self.children(id).nth(position),
        }
    }

    /// The values of which the value or the name may lie between two bytes, in the order of the document: the last one that
    /// begins before `from`, and all that begin before `to`. A member begins with its name.
    pub(crate) fn between(&self, from: usize, to: usize) -> impl Iterator<Item = NodeId> {
        let begin = |node: &Node| node.key.map_or(node.start, |(start, _)| start) as usize;
        let first = self.nodes.partition_point(|node| begin(node) < from).saturating_sub(1);
        let rest = self.nodes.iter().enumerate().skip(first);
        rest.take_while(move |(_, node)| begin(node) < to).map(|(position, _)| NodeId::at(position))
    }

    /// The faults that did not stop the reading, in the order of the document.
    pub fn problems(&self) -> &[(Problem, NodeId)] {
        &self.problems
    }
}

/// The values of one list or object, in order.
#[derive(Clone, Debug)]
pub struct Children<'t> {
    tree: &'t Tree,
    next: Option<NodeId>,
}

impl Iterator for Children<'_> {
    type Item = NodeId;

    fn next(&mut self) -> Option<NodeId> {
        let id = self.next?;
        self.next = self.tree.node(id).next_sibling;
        Some(id)
    }
}
