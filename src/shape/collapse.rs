//! Many faults with one cause become one finding.

use oar_schema::teeth::Tooth;

use super::values::is_fdi;
use super::{Fault, Walk, told};
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
        self.tell_fdi();
        self.collapse_seconds();
        self.collapse_hours();
    }

    /// When some of a list of teeth are no FDI numbers and all of them are Universal ones, one finding tells the whole
    /// list in FDI. The faults of the list begin at `first_fault`.
    pub(super) fn convert_list(&mut self, entries: &[NodeId], first_fault: usize) {
        let readings: Option<Vec<Tooth>> = entries.iter().map(|entry| self.in_universal(*entry)).collect();
        let all_teeth = |faults: &[Fault]| faults.iter().all(|fault| fault.rule.name == "not_a_tooth");
        let (Some(readings), true) = (readings, all_teeth(&self.faults[first_fault..])) else { return };
        if self.faults.len() == first_fault {
            return;
        }
        self.regain(entries);
        self.read_all(entries, &readings);
        let numbers = |text: Vec<String>| text.join(" ");
        let list = numbers(entries.iter().map(|entry| decode(self.token(*entry)).into_owned()).collect());
        let converted = numbers(readings.iter().map(Tooth::to_string).collect());
        self.faults.truncate(first_fault + 1);
        if let Some(fault) = self.faults.get_mut(first_fault) {
            fault.args.extend(args!["list" = list, "converted" = converted]);
        }
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
        self.regain(&teeth);
        self.read_all(&teeth, &readings);
        self.replace("other_notation", |fault| teeth.contains(&fault.node), first, args);
        self.teeth = teeth;
    }

    /// When a number is no FDI number in a record whose others can only be FDI numbers, it is rather mistyped: how many they
    /// are is told with it.
    fn tell_fdi(&mut self) {
        if self.faults.iter().all(|fault| fault.rule.name != "not_a_tooth") {
            return;
        }
        let only_fdi =
            self.teeth.iter().filter(|node| is_fdi(self.token(**node)) && self.in_universal(**node).is_none()).count();
        if only_fdi >= LEAST_COUNT {
            for fault in self.faults.iter_mut().filter(|fault| fault.rule.name == "not_a_tooth") {
                fault.args.extend(args!["fdi" = only_fdi]);
            }
        }
    }

    /// The tooth that a value names in the Universal notation proper: 1 to 32, A to T.
    fn in_universal(&self, node: NodeId) -> Option<Tooth> {
        match self.tree.node(node).kind {
            Kind::String => Tooth::from_universal(decode(self.token(node)).trim_start_matches('#')),
            Kind::Number => Tooth::from_universal(&decimal(self.token(node))?.as_integer()?.to_string()),
            _ => None,
        }
    }

    /// When minutes of wear are out of range, but all of them would do as seconds.
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
        self.replace("unit_looks_wrong", |fault| minutes.contains(&fault.node), minutes[first], args);
    }

    /// When minutes of wear have decimals, but all of them would do as hours.
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
        self.replace("unit_looks_wrong", |fault| minutes.contains(&fault.node), decimals[0], args);
    }

    /// Reads each value as another.
    fn read_all<T: std::fmt::Display>(&mut self, nodes: &[NodeId], meant: &[T]) {
        for (node, meant) in nodes.iter().zip(meant) {
            self.read_as(*node, meant.to_string());
        }
    }

    /// Puts one finding of a rule in the place of all faults that `belongs` picks.
    fn replace(&mut self, rule: &str, belongs: impl Fn(&Fault) -> bool, node: NodeId, args: crate::finding::Args) {
        let Some(rule) = Self::rule(rule) else { return };
        self.faults.retain(|fault| !belongs(fault));
        self.fault(rule, node, args);
    }
}
