//! The shape of a record: the slow road's walk along the descriptions of the format.
//!
//! It finds every departure from the published schema, each once, and notes which sections of the record are damaged, so
//! that rules which read them are left out rather than led astray.

mod collapse;
mod meant;
mod objects;
mod readings;
mod texts;
pub(crate) mod told;
mod values;

use oar_schema::describe::{Described, Field, Type};
use oar_schema::record::{Record, TimeZone};

use crate::finding::Args;
use crate::json::{NodeId, Tree};
use crate::rule::Rule;
use crate::zones::Zones;

/// Something found in the tree of a record.
#[derive(Clone, Debug)]
pub(crate) struct Fault {
    pub(crate) rule: &'static Rule,
    pub(crate) node: NodeId,
    /// Whether it is about the name of the node rather than its value.
    pub(crate) on_name: bool,
    pub(crate) args: Args,
}

/// What the walk brings back.
#[derive(Debug, Default)]
pub(crate) struct Shape {
    /// What is wrong, in the order of the walk.
    pub(crate) faults: Vec<Fault>,
    /// The damaged sections, as bits in the order of the record's fields.
    pub(crate) damaged: u32,
    /// Whether the published schema takes the record too.
    pub(crate) fits_schema: bool,
}

/// A walk through one record.
pub(crate) struct Walk<'a> {
    pub(crate) tree: &'a Tree,
    pub(crate) bytes: &'a [u8],
    zones: &'a mut Zones,
    /// Values that were already found at fault, in order.
    skip: Vec<NodeId>,
    faults: Vec<Fault>,
    /// All values that stand where a tooth belongs.
    teeth: Vec<NodeId>,
    /// All values that stand where the minutes of a day of wear belong.
    minutes: Vec<NodeId>,
    /// The field whose value is looked at, or in whose list the value stands.
    field: Option<&'static Field>,
    /// The sections that lack a field because its name is misspelt.
    misspelt: u32,
}

impl<'a> Walk<'a> {
    /// Checks the shape of the record in `tree`; `skip` are values that are at fault for another reason.
    pub(crate) fn check(tree: &'a Tree, bytes: &'a [u8], zones: &'a mut Zones, skip: Vec<NodeId>) -> Shape {
        let mut walk = Walk {
            tree,
            bytes,
            zones,
            skip,
            faults: Vec::new(),
            teeth: Vec::new(),
            minutes: Vec::new(),
            field: None,
            misspelt: 0,
        };
        walk.value(tree.root(), &Type::Object(Record::OBJECT));
        let (damaged, fits_schema) = (walk.damaged(), walk.fits_schema());
        walk.collapse();
        Shape { faults: walk.faults, damaged, fits_schema }
    }

    /// Whether all that is wrong is what a JSON Schema cannot say: a third decimal place, a time zone that has the right
    /// shape and does not exist.
    fn fits_schema(&self) -> bool {
        self.faults.iter().all(|fault| match fault.rule.name {
            "too_many_decimals" => true,
            "not_a_time_zone" => TimeZone::fits(crate::json::decode(self.token(fault.node)).as_bytes()),
            _ => false,
        })
    }

    fn fault(&mut self, rule: &'static Rule, node: NodeId, args: Args) {
        self.faults.push(Fault { rule, node, on_name: false, args });
    }

    fn token(&self, node: NodeId) -> &'a [u8] {
        self.tree.node(node).token(self.bytes)
    }

    /// The name of a member, escapes undone.
    fn name(&self, node: NodeId) -> String {
        let (start, end) = self.tree.node(node).key.unwrap_or_default();
        crate::json::decode(&self.bytes[start as usize..end as usize]).into_owned()
    }

    /// Notes that `member` was meant to be called `name`: its section lacks a field.
    fn meant(&mut self, member: NodeId, name: &str) {
        let top = self.tree.node(member).parent == Some(self.tree.root());
        self.misspelt |= if top { section_bit(name) } else { self.section(member) };
    }

    /// The sections in which something is at fault. An unknown field damages nothing, since it is left out, unless
    /// another field was meant.
    fn damaged(&self) -> u32 {
        let faulty = self.faults.iter().filter(|fault| fault.rule.name != "unknown_field").map(|fault| fault.node);
        faulty
            .chain(self.skip.iter().copied())
            .fold(self.missing() | self.misspelt, |all, node| all | self.section(node))
    }

    /// The required sections that the record does not have.
    fn missing(&self) -> u32 {
        let there: Vec<String> = self.tree.children(self.tree.root()).map(|member| self.name(member)).collect();
        let fields = Record::OBJECT.fields.iter().enumerate();
        fields
            .filter(|(_, field)| field.required && !there.iter().any(|name| name == field.name))
            .fold(0, |all, (place, _)| all | 1 << place)
    }

    /// The bit of the section that a value stands in; none for the record itself, and none for `extensions` anywhere,
    /// which no other field depends on.
    fn section(&self, node: NodeId) -> u32 {
        let mut top = node;
        while let Some(parent) = self.tree.node(top).parent {
            if self.name(top) == "extensions" {
                return 0;
            }
            if parent == self.tree.root() {
                return section_bit(&self.name(top));
            }
            top = parent;
        }
        0
    }
}

/// The bit of the section of that name; none for another name.
fn section_bit(name: &str) -> u32 {
    let place = Record::OBJECT.fields.iter().position(|field| field.name == name);
    place.map_or(0, |place| 1 << place)
}

#[cfg(test)]
mod tests {
    use super::Walk;
    use crate::json::Tree;
    use crate::rule::section;
    use crate::zones::Zones;

    const BASE: &str = include_str!("../../tests/base.oar.json");

    fn damaged(before: &str, after: &str) -> u32 {
        let text = BASE.replacen(before, after, 1);
        let mut tree = Tree::default();
        tree.parse(text.as_bytes()).unwrap();
        let shape = Walk::check(&tree, text.as_bytes(), &mut Zones::default(), Vec::new());
        assert_eq!(shape.faults.len(), 1);
        shape.damaged
    }

    #[test]
    fn a_fault_damages_its_section_only() {
        assert_eq!(damaged("\"tray\": 2", "\"tray\": null"), section("worn"));
        assert_eq!(damaged("\"bench\"", "\"bench\": 1}, \"Bench\": {\"of\""), 0);
        assert_eq!(damaged("\"sex\"", "\"colour\""), 0);
    }

    #[test]
    fn a_misspelt_field_damages_the_section_that_it_belongs_to() {
        assert_eq!(damaged("\"birth_year\"", "\"birthyear\""), section("patient"));
        assert_eq!(damaged("\"to\": \"2031-02-10\"", "\"too\": \"2031-02-10\""), section("worn"));
        assert_eq!(damaged("\"wear_log\"", "\"wearlog\""), section("wear_log"));
    }
}
