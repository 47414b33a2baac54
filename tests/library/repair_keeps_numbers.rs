//! A repair never changes a number that is in a record because of a few slips elsewhere in it.
//!
//! The same for many more records, optimised: `tests/outside/tests/repair_keeps_numbers.rs`.

use oar_testing::slips::{self, Bases};

/// Records that are repaired.
const RECORDS: u64 = 1_000;
/// Patients of each recipe whose records get slips.
const PATIENTS: u64 = 16;

#[test]
fn a_repair_changes_no_number_of_a_record_with_a_few_slips() {
    let counts = slips::run(&Bases::new(PATIENTS), 0, 1, RECORDS);
    assert!(counts.problems.is_empty(), "{} problems: {:#?}", counts.problems.len(), counts.problems);
    assert!(counts.with_tooth > RECORDS / 3 && counts.repaired > RECORDS / 10 && counts.sorted > 0, "{counts:?}");
}
