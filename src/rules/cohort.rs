//! The records of one run against each other.
//!
//! One mistake is told once. Records of one id are judged first (`records`): copies, different records, exports of different
//! days. The rules about patients (`people`) then look at the last export of each record only, never at two records of one
//! id. What they find is the same whatever the order of files and records, see [`crate::cohort`].

mod people;
mod records;

use super::table::rules;
use people::{patient_contradicts, patients_overlap, same_log_in_two_patients};
use records::{export_order_odd, mixed_versions, record_exported_again, record_id_repeated, same_record_twice};

rules! { "cohort":
    Error record_id_repeated;
    Warning same_record_twice;
    Note record_exported_again;
    Note export_order_odd;
    Error patient_contradicts;
    Error patients_overlap;
    Warning same_log_in_two_patients;
    Note mixed_versions;
}
