//! The shape of a record: the slow path's walk along the descriptions of the format.
//!
//! It finds every departure from the published schema, each once, and notes how the record is read anyway: which values are
//! meant, and what is missing because it cannot be read. Rules that need a missing part do not run.

mod collapse;
mod meant;
mod objects;
mod reading;
mod readings;
mod texts;
pub(crate) mod told;
mod values;

use std::borrow::Cow;
use std::collections::BTreeMap;

use oar_schema::describe::{Described, Field, Type};
use oar_schema::record::{Record, TimeZone};

use crate::check::args::Args;
use crate::check::rule::Rule;
use crate::json::{NodeId, Tree};
use crate::zones::Zones;
use reading::PathStep;
pub(crate) use reading::{Reading, can_be_empty};

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
    /// How the record is read.
    pub(crate) reading: Reading,
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
    /// All values that stand where a tooth belongs, in order.
    teeth: Vec<NodeId>,
    /// All values that stand where the minutes of a day of wear belong, in order.
    minutes: Vec<NodeId>,
    /// The field whose value is looked at, or in whose list the value stands.
    field: Option<&'static Field>,
    /// The identifiers that do not fit, each with a number.
    unfit_ids: BTreeMap<String, usize>,
    /// The way from the record to the value that is looked at.
    held: Vec<PathStep>,
    /// How the record is read.
    reading: Reading,
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
            unfit_ids: BTreeMap::new(),
            held: Vec::new(),
            reading: Reading::default(),
        };
        walk.value(tree.root(), &Type::Object(Record::OBJECT));
        let fits_schema = walk.fits_schema();
        walk.collapse();
        let reading = walk.settled();
        Shape { faults: walk.faults, reading, fits_schema }
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
    fn name(&self, node: NodeId) -> Cow<'a, str> {
        let (start, end) = self.tree.node(node).key.unwrap_or_default();
        let bytes: &'a [u8] = self.bytes;
        crate::json::decode(&bytes[start as usize..end as usize])
    }
}

#[cfg(test)]
mod tests {
    use super::Walk;
    use crate::json::Tree;
    use crate::zones::Zones;

    const BASE: &str = include_str!("../../../tests/base.oar.json");

    /// The names of the parts in which something is missing.
    fn missing(before: &str, after: &str) -> String {
        let text = BASE.replacen(before, after, 1);
        let mut tree = Tree::default();
        tree.parse(text.as_bytes()).unwrap();
        let shape = Walk::check(&tree, text.as_bytes(), &mut Zones::default(), Vec::new());
        assert_eq!(shape.faults.len(), 1);
        shape.reading.damage().holes.names().collect::<Vec<_>>().join(" ")
    }

    #[test]
    fn a_fault_damages_as_little_as_it_can() {
        assert_eq!(missing("\"tray\": 2", "\"tray\": -2"), "wear_periods");
        assert_eq!(missing("\"to\": \"2031-02-10\"", "\"to\": \"soon\""), "wear_periods.to");
        assert_eq!(missing("\"birth_year\": ", "\"birth_year\": -"), "patient.birth_year");
        assert_eq!(missing("\"bench\"", "\"bench\": 1}, \"Bench\": {\"of\""), "");
        assert_eq!(missing("\"sex\"", "\"colour\""), "");
    }

    #[test]
    fn a_value_with_one_meaning_is_read() {
        assert_eq!(missing("\"tray\": 2", "\"tray\": \"2\""), "");
        assert_eq!(missing("\"birth_year\"", "\"birthYear\""), "");
    }

    #[test]
    fn a_misspelt_field_is_missing() {
        assert_eq!(missing("\"birth_year\"", "\"birht_year\""), "patient.birth_year");
        assert_eq!(missing("\"to\": \"2031-02-10\"", "\"too\": \"2031-02-10\""), "wear_periods.to");
    }
}
