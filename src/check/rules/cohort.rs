//! Rules that compare the records of one run.
//!
//! One mistake is reported once. Records with one id come first (`records`): copies, different records, exports of
//! different days. The rules about patients (`people`) then read only the last export of each record, never two
//! records with one id. Their findings do not depend on the order of files and records, see [`crate::check::cohort`].

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
