//! Many faults with one cause become one finding.

use oar_schema::teeth::Tooth;

use super::{Fault, Walk};
use crate::finding::args;
use crate::json::{Kind, NodeId, decimal, decode};

/// So many minutes of a day at once are rather seconds.
const LEAST_COUNT: usize = 3;
/// The seconds of a day of 25 hours.
const SECONDS: i64 = 90_000;

impl Walk<'_> {
    /// Replaces groups of faults by the one thing that explains all of them.
    pub(super) fn collapse(&mut self) {
        self.collapse_notation();
        self.collapse_seconds();
    }

    /// When some teeth do not exist, but all of them do in the Universal notation.
    fn collapse_notation(&mut self) {
        let faulty: Vec<NodeId> = self.faults.iter().map(|fault| fault.node).collect();
        let is_tooth_fault = |node: &NodeId| self.teeth.contains(node);
        let Some(first) = faulty.iter().copied().find(is_tooth_fault) else { return };
        let readings: Option<Vec<Tooth>> = self.teeth.iter().map(|node| self.in_universal(*node)).collect();
        let (Some(readings), Some(meant)) = (readings, self.in_universal(first)) else { return };
        if readings.len() < LEAST_COUNT {
            return;
        }
        let value = decode(self.token(first)).into_owned();
        let args = args![
            "count" = readings.len(),
            "value" = value,
            "tooth" = meant,
            "name" = meant.name(),
            "notation" = "Universal"
        ];
        let teeth = std::mem::take(&mut self.teeth);
        self.replace("other_notation", |fault| teeth.contains(&fault.node), first, args);
        self.teeth = teeth;
    }

    /// The tooth that a value names in the Universal notation proper: 1 to 32, A to T.
    fn in_universal(&self, node: NodeId) -> Option<Tooth> {
        match self.tree.node(node).kind {
            Kind::String => Tooth::from_universal(&decode(self.token(node))),
            Kind::Number => Tooth::from_universal(&decimal(self.token(node))?.as_integer()?.to_string()),
            _ => None,
        }
    }

    /// When minutes of wear are out of range, but all of them would do as seconds.
    fn collapse_seconds(&mut self) {
        let minutes = self.wear_minutes();
        let values: Option<Vec<i64>> = minutes.iter().map(|node| decimal(self.token(*node))?.as_integer()).collect();
        let Some(values) = values else { return };
        let too_many: Vec<usize> = (0..values.len()).filter(|index| values[*index] > 1500).collect();
        let all_seconds = values.iter().all(|value| (0..=SECONDS).contains(value));
        if too_many.len() < LEAST_COUNT || too_many.len() * 2 < values.len() || !all_seconds {
            return;
        }
        let first = too_many[0];
        let args = args!["value" = values[first], "unit" = "seconds", "count" = too_many.len()];
        self.replace("unit_looks_wrong", |fault| minutes.contains(&fault.node), minutes[first], args);
    }

    fn wear_minutes(&self) -> Vec<NodeId> {
        let Some(log) = self.tree.member(self.bytes, self.tree.root(), "wear_log") else { return Vec::new() };
        self.tree.children(log).filter_map(|day| self.tree.member(self.bytes, day, "minutes")).collect()
    }

    /// Puts one finding of a rule in the place of all faults that `belongs` picks.
    fn replace(&mut self, rule: &str, belongs: impl Fn(&Fault) -> bool, node: NodeId, args: crate::finding::Args) {
        let Some(rule) = Self::rule(rule) else { return };
        self.faults.retain(|fault| !belongs(fault));
        self.fault(rule, node, args);
    }
}
