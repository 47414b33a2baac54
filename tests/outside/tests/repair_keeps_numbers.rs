//! A repair never changes a number that is in a record because of a few slips elsewhere in it: many records, optimised.
//! The slips are those of the project's own quick test.

use oar_testing::slips::{self, Bases};

/// Records that are repaired.
const RECORDS: u64 = 100_000;
/// Patients of each recipe whose records get slips.
const PATIENTS: u64 = 60;

#[test]
fn a_repair_changes_no_number_of_a_record_with_a_few_slips() {
    let bases = Bases::new(PATIENTS);
    let halves = std::thread::scope(|scope| {
        let halves = [0, 1].map(|half| {
            scope.spawn({
                let bases = &bases;
                move || slips::run(bases, half, 2, RECORDS)
            })
        });
        halves.map(|half| half.join().expect("a half without a panic"))
    });
    println!(
        "{:?}",
        halves.each_ref().map(|counts| (counts.records, counts.repaired, counts.sorted, counts.with_tooth))
    );
    let problems: Vec<&String> = halves.iter().flat_map(|counts| &counts.problems).collect();
    assert!(
        problems.is_empty(),
        "{} problems, the first of them: {:#?}",
        problems.len(),
        &problems[..problems.len().min(20)]
    );
    for counts in &halves {
        let half = RECORDS / 2;
        assert!(counts.records == half && counts.with_tooth > half / 3 && counts.repaired > half / 10, "{counts:?}");
        assert!(counts.sorted > half / 500, "{counts:?}");
    }
}
