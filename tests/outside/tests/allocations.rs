//! The fast path allocates nothing for right records once its buffers are warm.

use std::alloc::System;

use oar_outside_checks::{dataset_files, root};
use open_aligner_record::Checker;
use open_aligner_record::settings::{Profile, Settings, Switch};
use stats_alloc::{INSTRUMENTED_SYSTEM, Region, StatsAlloc};

#[global_allocator]
static ALLOCATOR: &StatsAlloc<System> = &INSTRUMENTED_SYSTEM;

#[test]
fn a_warm_checker_allocates_nothing_for_right_records() {
    let mut files = vec![root().join("tests/base.oar.json")];
    files.extend(dataset_files().into_iter().filter(|file| file.to_string_lossy().contains("demo")));
    let records: Vec<Vec<u8>> = files.iter().map(|file| std::fs::read(file).unwrap()).collect();
    for checker in [Checker::new(), Checker::new().with_facts(), Checker::with_settings(&settings())] {
        allocates_nothing(checker, &records);
    }
}

/// Settings of several kinds, with a profile for the records.
fn settings() -> Settings {
    let mut settings = Settings::default();
    settings.everywhere.set_limit("oldest_years", "95").unwrap();
    for pattern in ["*", "quillmere-*", "another"] {
        let mut profile = Profile::new(pattern).unwrap();
        profile.set_level("wear_log", Switch::Off).unwrap();
        settings.profiles.push(profile);
    }
    settings
}

fn allocates_nothing(mut checker: Checker, records: &[Vec<u8>]) {
    assert!(records.iter().all(|record| checker.check(record).is_empty()));
    let region = Region::new(ALLOCATOR);
    for record in records.iter().cycle().take(200) {
        assert!(checker.check(record).is_empty());
    }
    let change = region.change();
    assert_eq!((change.allocations, change.reallocations), (0, 0), "{change:?}");
    // The measure itself works: a broken record allocates.
    assert!(!checker.check(b"{}").is_empty());
    assert!(region.change().allocations > 0);
}
