//! Counts of the content of the records.

use std::collections::BTreeMap;

use oar_generators::key::Truth;
use oar_schema::record::Record;

use super::Count;

/// Counts by name, in the order of the table in [`NamedCounts::add`].
#[derive(Clone, Debug, Default)]
pub(super) struct NamedCounts {
    /// Records and their content.
    of: BTreeMap<(usize, &'static str), u64>,
    /// Planted faults by rule.
    faults: BTreeMap<&'static str, u64>,
}

impl NamedCounts {
    pub(super) fn add(&mut self, record: &Record, truth: &Truth) {
        let length = |list: Option<usize>| list.unwrap_or(0) as u64;
        let states = ["planned", "active", "paused", "finished", "discontinued", "fixed", "transferred"];
        let state = record.status.state.as_str();
        let states = states.map(|known| (known, u64::from(known == state)));
        let objects = [
            ("series", record.series.len() as u64),
            ("refinement series", record.series.iter().filter(|series| series.number > 0).count() as u64),
            ("movements planned", record.series.iter().map(|series| series.movements.len() as u64).sum()),
            ("wear periods", record.wear_periods.len() as u64),
            ("days in wear logs", length(record.wear_log.as_ref().map(Vec::len))),
            ("check-ins", length(record.check_ins.as_ref().map(Vec::len))),
            ("appointments", length(record.appointments.as_ref().map(Vec::len))),
            ("attachment events", length(record.attachment_events.as_ref().map(Vec::len))),
            ("days with comfort reported", length(record.comfort.as_ref().map(Vec::len))),
        ];
        let faulty = [("patients with planted faults", u64::from(!truth.faults.is_empty()))];
        let table = [("patients", 1)].into_iter().chain(states).chain(objects).chain(faulty);
        for (place, (what, count)) in table.enumerate() {
            *self.of.entry((place, what)).or_default() += count;
        }
        for fault in &truth.faults {
            *self.faults.entry(fault.rule).or_default() += 1;
        }
    }

    pub(super) fn merge(&mut self, other: Self) {
        for (what, count) in other.of {
            *self.of.entry(what).or_default() += count;
        }
        for (rule, count) in other.faults {
            *self.faults.entry(rule).or_default() += count;
        }
    }

    pub(super) fn told(&self) -> Vec<Count> {
        self.of.iter().map(|((_, what), count)| Count { what: (*what).to_owned(), count: *count }).collect()
    }

    pub(super) fn faults(&self) -> Vec<Count> {
        self.faults.iter().map(|(rule, count)| Count { what: (*rule).to_owned(), count: *count }).collect()
    }
}
