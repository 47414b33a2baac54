//! Many faults with one cause become one finding.

use std::collections::BTreeSet;

use oar_schema::teeth::Tooth;

use super::{Fault, Walk, told};
use crate::check::args::args;
use crate::check::notation::{Evidence, fdi, in_universal};
use crate::json::{Kind, NodeId, decimal, decode};

/// So many minutes of a day at once are rather seconds.
const LEAST_COUNT: usize = 3;
/// The seconds of a day of 25 hours.
const SECONDS: i64 = 90_000;

impl Walk<'_> {
    /// Replaces groups of faults by the one thing that explains all of them.
    pub(super) fn collapse(&mut self) {
        self.collapse_notation();
        self.tell_fdi();
        self.collapse_seconds();
        self.collapse_hours();
    }

    /// When a list of teeth is surely in the Universal notation, one finding tells the whole list in FDI. The faults of the
    /// list begin at `first_fault`.
    pub(super) fn convert_list(&mut self, entries: &[NodeId], first_fault: usize) {
        let faults = &self.faults[first_fault..];
        if faults.is_empty() || faults.iter().any(|fault| fault.rule.name != "not_a_tooth") {
            return;
        }
        let evidence = Evidence::of(self.tree, self.bytes, entries);
        if !evidence.is_some_and(|evidence| evidence.is_enough_for_a_list()) {
            return;
        }
        let readings = self.read_in_universal(entries);
        let converted: Vec<String> = readings.iter().map(Tooth::to_string).collect();
        let list: Vec<String> = entries.iter().map(|entry| decode(self.token(*entry)).into_owned()).collect();
        self.faults.truncate(first_fault + 1);
        if let Some(fault) = self.faults.get_mut(first_fault) {
            fault.args.extend(args!["list" = list.join(" "), "converted" = converted.join(" ")]);
        }
    }

    /// When enough teeth do not exist, but all of them do in the Universal notation.
    fn collapse_notation(&mut self) {
        let teeth: BTreeSet<NodeId> = self.teeth.iter().copied().collect();
        let is_foreign =
            |fault: &&Fault| teeth.contains(&fault.node) && fdi(self.tree, self.bytes, fault.node).is_none();
        let Some(first) = self.faults.iter().find(is_foreign).map(|fault| fault.node) else { return };
        let Some(evidence) = Evidence::of(self.tree, self.bytes, &self.teeth) else { return };
        let Some(meant) = in_universal(self.tree, self.bytes, first).filter(|_| evidence.is_enough()) else { return };
        let value = decode(self.token(first)).into_owned();
        let args = args![
            "count" = self.teeth.len(),
            "value" = value,
            "tooth" = meant,
            "name" = meant.name(),
            "notation" = "Universal"
        ];
        self.read_in_universal(&self.teeth.clone());
        self.replace("other_notation", |fault| teeth.contains(&fault.node), first, args);
    }

    /// When a number is not an FDI number in a record whose others can only be FDI numbers, it is rather mistyped: how many they
    /// are is told with it.
    fn tell_fdi(&mut self) {
        if self.faults.iter().all(|fault| fault.rule.name != "not_a_tooth") {
            return;
        }
        let is_only_fdi = |node: NodeId| {
            fdi(self.tree, self.bytes, node).is_some() && in_universal(self.tree, self.bytes, node).is_none()
        };
        let only_fdi = self.teeth.iter().filter(|node| is_only_fdi(**node)).count();
        if only_fdi >= LEAST_COUNT {
            for fault in self.faults.iter_mut().filter(|fault| fault.rule.name == "not_a_tooth") {
                fault.args.extend(args!["fdi" = only_fdi]);
            }
        }
    }

    /// When minutes of wear are out of range, but all of them would fit as seconds.
    fn collapse_seconds(&mut self) {
        let minutes = self.minutes.clone();
        let values: Option<Vec<i64>> = minutes.iter().map(|node| decimal(self.token(*node))?.as_integer()).collect();
        let Some(values) = values else { return };
        let too_many: Vec<usize> = (0..values.len()).filter(|index| values[*index] > 1500).collect();
        let all_seconds = values.iter().all(|value| (0..=SECONDS).contains(value));
        if too_many.len() < LEAST_COUNT || too_many.len() * 2 < values.len() || !all_seconds {
            return;
        }
        let first = too_many[0];
        self.regain(&minutes);
        self.read_all(&minutes, &values.iter().map(|seconds| seconds / 60).collect::<Vec<_>>());
        let args = args!["value" = values[first], "unit" = "seconds", "count" = too_many.len()];
        let all: BTreeSet<NodeId> = minutes.iter().copied().collect();
        self.replace("unit_looks_wrong", |fault| all.contains(&fault.node), minutes[first], args);
    }

    /// When minutes of wear have decimals, but all of them would fit as hours.
    fn collapse_hours(&mut self) {
        let minutes = self.minutes.clone();
        let hour = |node: &NodeId| {
            let text = told::number(self.token(*node)).filter(|_| self.tree.node(*node).kind == Kind::Number)?;
            text.parse::<f64>().ok().filter(|hours| (0.0..=24.0).contains(hours))
        };
        let Some(hours) = minutes.iter().map(hour).collect::<Option<Vec<f64>>>() else { return };
        let decimals: Vec<NodeId> =
            minutes.iter().zip(&hours).filter(|(_, hours)| hours.fract() > 0.0).map(|(node, _)| *node).collect();
        if decimals.len() < LEAST_COUNT || decimals.len() * 2 < minutes.len() {
            return;
        }
        let Some(value) = told::number(self.token(decimals[0])) else { return };
        self.regain(&minutes);
        self.read_all(&minutes, &hours.iter().map(|hours| (hours * 60.0).round()).collect::<Vec<_>>());
        let args = args!["value" = value, "unit" = "hours", "count" = minutes.len()];
        let all: BTreeSet<NodeId> = minutes.iter().copied().collect();
        self.replace("unit_looks_wrong", |fault| all.contains(&fault.node), decimals[0], args);
    }

    /// Reads teeth in the Universal notation.
    fn read_in_universal(&mut self, nodes: &[NodeId]) -> Vec<Tooth> {
        let readings: Vec<Tooth> = nodes.iter().filter_map(|node| in_universal(self.tree, self.bytes, *node)).collect();
        self.regain(nodes);
        self.read_all(nodes, &readings);
        readings
    }

    /// Reads each value as another.
    fn read_all<T: std::fmt::Display>(&mut self, nodes: &[NodeId], meant: &[T]) {
        for (node, meant) in nodes.iter().zip(meant) {
            self.read_as(*node, meant.to_string());
        }
    }

    /// Puts one finding of a rule in the place of all faults that `belongs` picks.
    fn replace(&mut self, rule: &str, belongs: impl Fn(&Fault) -> bool, node: NodeId, args: crate::check::args::Args) {
        let Some(rule) = Self::rule(rule) else { return };
        self.faults.retain(|fault| !belongs(fault));
        self.fault(rule, node, args);
    }
}
