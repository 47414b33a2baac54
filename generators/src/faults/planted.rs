//! Planted faults as the answer key tells them.

use crate::faults::Spot;
use crate::key::truths;

truths! {
    /// A fault that was planted: what the checker finds, and where.
    Planted {
        /// The rule that finds it.
        rule: &'static str,
        /// Where, as a JSON Pointer (RFC 6901) from the record; empty for the record as a whole.
        pointer: String,
        /// In which of the patient's records: 0 is the record itself, 1 and on are those that were added after it.
        record: u64,
        /// What belongs to it in others of the patient's records.
        elsewhere: Vec<Elsewhere>,
    }

    /// A place in another record of the patient.
    Elsewhere {
        /// In which of the patient's records.
        record: u64,
        /// Where, as a JSON Pointer from that record.
        pointer: String,
    }
}

impl Planted {
    /// What a maker for a rule planted at a spot.
    pub fn new(rule: &'static str, spot: Spot) -> Self {
        let elsewhere = spot.elsewhere.into_iter().map(|(record, pointer)| Elsewhere { record, pointer }).collect();
        Self { rule, pointer: spot.pointer, record: spot.record, elsewhere }
    }
}
