//! Evidence for the Universal notation, from the values of teeth.
//!
//! A number that exists in both notations is no evidence, and neither are its quotes. A number that no tooth has in FDI may be
//! mistyped. Several different ones, in several lists, are not typing errors.

use std::collections::BTreeSet;

use oar_schema::describe::{Described, Object, Type};
use oar_schema::record::Record;
use oar_schema::teeth::{Tooth, ToothSet};

use crate::json::{Kind, NodeId, Tree, decimal, decode};

/// Fewer different numbers that are not FDI numbers are mistyped ones: a slip makes one, a slip that is done to a pair two, and three
/// slips in one record are as rare as they are possible. Common practice, no source.
const LEAST_NUMBERS: usize = 4;
/// The number of lists that must contain them, when the record has several lists with teeth. Common practice, no source.
const LEAST_LISTS: usize = 2;
/// The quadrant to which the first numbers of the Universal notation belong, 1 to 8 and A to E. They may be positions within any
/// quadrant.
const FIRST_QUADRANT: [u8; 2] = [1, 5];
/// Third molars, of which there are four.
const THIRD_MOLAR: u8 = 8;
const QUADRANTS: usize = 4;

/// The evidence of some values.
#[derive(Debug, Default)]
pub(crate) struct Evidence {
    /// Teeth in the Universal notation whose codes are not FDI numbers.
    foreign: ToothSet,
    /// All teeth, read in the Universal notation.
    teeth: ToothSet,
    values: usize,
    /// Lists that hold such a code, and all lists with teeth.
    foreign_lists: BTreeSet<NodeId>,
    lists: BTreeSet<NodeId>,
}

impl Evidence {
    /// The evidence of these values; none when one of them is not a tooth in the Universal notation.
    pub(crate) fn of(tree: &Tree, bytes: &[u8], values: &[NodeId]) -> Option<Self> {
        let mut evidence = Self::default();
        for value in values {
            let tooth = in_universal(tree, bytes, *value)?;
            let list = list_of(tree, bytes, *value);
            evidence.values += 1;
            evidence.teeth.insert(tooth);
            evidence.lists.insert(list);
            if fdi(tree, bytes, *value).is_none() {
                evidence.foreign.insert(tooth);
                evidence.foreign_lists.insert(list);
            }
        }
        Some(evidence)
    }

    /// Whether the record as a whole is written in the Universal notation.
    pub(crate) fn is_enough(&self) -> bool {
        self.is_foreign() && self.foreign_lists.len() >= LEAST_LISTS.min(self.lists.len())
    }

    /// Whether the values, those of one list, are written in the Universal notation whatever the rest of the record is: there
    /// are enough other numbers among them, or they are the four third molars.
    pub(crate) fn is_enough_for_a_list(&self) -> bool {
        let third_molars = self.teeth.iter().all(|tooth| tooth.position() == THIRD_MOLAR);
        self.is_foreign() || (third_molars && self.values == QUADRANTS && self.teeth.len() == QUADRANTS)
    }

    fn is_foreign(&self) -> bool {
        let beyond = |tooth: Tooth| !FIRST_QUADRANT.contains(&(tooth.fdi() / 10));
        self.foreign.len() >= LEAST_NUMBERS && self.foreign.iter().any(beyond)
    }
}

/// The tooth that a value names in FDI, with or without quotes.
pub(crate) fn fdi(tree: &Tree, bytes: &[u8], value: NodeId) -> Option<Tooth> {
    let token = tree.node(value).token(bytes);
    let number = match tree.node(value).kind {
        Kind::String => decimal(decode(token).trim_start_matches('#').as_bytes()),
        _ => decimal(token),
    };
    Tooth::new(u8::try_from(number?.as_integer()?).ok()?)
}

/// The tooth that a value names in the Universal notation proper: 1 to 32, A to T.
pub(crate) fn in_universal(tree: &Tree, bytes: &[u8], value: NodeId) -> Option<Tooth> {
    let token = tree.node(value).token(bytes);
    match tree.node(value).kind {
        Kind::String => Tooth::from_universal(decode(token).trim_start_matches('#')),
        Kind::Number => Tooth::from_universal(&decimal(token)?.as_integer()?.to_string()),
        _ => None,
    }
}

/// The list of teeth, or of objects with teeth, that a value is in. A pair of neighbours is no such list.
fn list_of(tree: &Tree, bytes: &[u8], value: NodeId) -> NodeId {
    let mut node = value;
    while let Some(parent) = tree.node(node).parent {
        node = parent;
        let key = tree.node(node).key.map(|(start, end)| &bytes[start as usize..end as usize]);
        if tree.node(node).kind == Kind::Array && key != Some(b"\"between\"") {
            break;
        }
    }
    node
}

/// Every value that is where a tooth belongs.
pub(crate) fn teeth(tree: &Tree, bytes: &[u8]) -> Vec<NodeId> {
    let mut found = Vec::new();
    if tree.node(tree.root()).kind == Kind::Object {
        in_object(tree, bytes, tree.root(), Record::OBJECT, &mut found);
    }
    found
}

fn in_object(tree: &Tree, bytes: &[u8], node: NodeId, object: &'static Object, found: &mut Vec<NodeId>) {
    for member in tree.children(node) {
        let (start, end) = tree.node(member).key.unwrap_or_default();
        if let Some(field) = object.field(&decode(&bytes[start as usize..end as usize])) {
            in_value(tree, bytes, member, &field.ty, found);
        }
    }
}

fn in_value(tree: &Tree, bytes: &[u8], node: NodeId, ty: &'static Type, found: &mut Vec<NodeId>) {
    match ty {
        Type::Tooth => found.push(node),
        Type::Object(object) => in_object(tree, bytes, node, object, found),
        Type::List(of, _) => tree.children(node).for_each(|entry| in_value(tree, bytes, entry, of, found)),
        _ => {}
    }
}
