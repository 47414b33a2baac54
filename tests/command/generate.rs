//! `oar generate`: where cohorts go, what is refused, and what an interruption leaves.

use std::fs;
use std::process::Stdio;
use std::time::{Duration, Instant};

use oar_testing::Folder;

fn refused(arguments: &[&str], what: &str) {
    let printed = Folder::with(&[("there.oar.jsonl", b"kept")]).oar(&[&["generate"], arguments].concat());
    assert_eq!((printed.code, printed.out.as_str()), (Some(2), ""), "{arguments:?}");
    assert!(printed.errors.contains(what), "{arguments:?}: {}", printed.errors);
}

#[test]
fn what_cannot_be_is_refused_with_the_way_out() {
    refused(&[], "give -o FILE.oar.jsonl");
    refused(&["--recipe", "genral", "--output", "-"], "did you mean general?");
    refused(&["--set", "wear.day_sgma=0.3", "--output", "-"], "did you mean wear.day_sigma?");
    refused(&["--set", "wear.day_sigma=9", "--output", "-"], "9 is outside 0.05 to 1.5");
    refused(&["--output", "cohort.csv"], "neither a folder nor a file that ends in");
    refused(&["--output", "there.oar.jsonl"], "already exists\n  help: give another name, or --overwrite");
    refused(&["--output", "nowhere/cohort.oar.jsonl"], "its folder does not exist");
    refused(&["--output", "-", "--range", "5..5"], "write it as 100..200");
    refused(&["--output", "-", "--shard", "5/4"], "write it as 2/4 for the second of four parts");
    refused(
        &["--output", "-", "--fault", "not_a_tooht"],
        "unknown rule or theme not_a_tooht (did you mean not_a_tooth?)",
    );
    refused(&["--output", "-", "--fault", "bad_id,shap"], "unknown rule or theme shap (did you mean shape?)");
    refused(&["--output", "-", "--faults", "10"], "give a share of the records from 0 to 1, as in 0.1 for a tenth");
    refused(&["--output", "-", "--as-of", "2034-02-30"], "give a date");
    refused(&["--output", "-", "--as-of", "1500-01-01"], "give a date of the years 1900 to 2199");
    refused(&["--output", "-", "--patients", "1e3"], "give a whole number of at least 1");
    refused(&["--output", "-", "--patients", "-3"], "give a whole number of at least 1");
    refused(&["--output", "-", "--faults", "10%"], "as in 0.1 for a tenth");
    refused(&["--output", "-", "--recipe", "nope.toml"], "nope.toml: there is no such file");
    refused(&["--output", "a.oar.jsonl", "--key", "-"], "the key cannot go to standard output: give a file");
    refused(
        &["--output", "a.oar.jsonl", "--key", "./a.oar.jsonl"],
        "is to hold the records: give the key another file",
    );
    refused(
        &["--output", "a.oar.jsonl", "--key", "a.card.md"],
        "is to hold the dataset card: give the key another file",
    );
    refused(&["--output", "-", "--as-of", "2030-01-01"], "the first day of the recipe, 2031-01-06, is not before it");
}

#[test]
fn a_cohort_is_the_same_in_a_file_packed_apart_and_in_parts() {
    let folder = Folder::with(&[]);
    let make = |rest: &[&str]| folder.generated(&[&["--patients", "20", "--seed", "9"], rest].concat()).out;
    let whole = make(&["--output", "-"]);
    assert_eq!(whole.lines().count(), 20);
    let printed = make(&["--output", "cohort.oar.jsonl", "--key", "key.jsonl", "--threads", "3"]);
    let card = "dataset card: cohort.card.json, cohort.card.md\n";
    assert_eq!(printed, format!("20 records of 20 patients: cohort.oar.jsonl\nanswer key: key.jsonl\n{card}"));
    assert_eq!(folder.read("cohort.oar.jsonl"), whole);
    assert_eq!(folder.read("key.jsonl").lines().count(), 20);
    let parts: String = ["1/3", "2/3", "3/3"].iter().map(|part| make(&["--output", "-", "--shard", part])).collect();
    assert_eq!(parts, whole);
    let ranges = make(&["--output", "-", "--range", "0..7"]) + &make(&["--output", "-", "--range", "7..20"]);
    assert_eq!(ranges, whole);
    assert_eq!(make(&["--output", "-", "--number", "11"]).trim_end(), whole.lines().nth(11).unwrap());
    make(&["--output", "apart/"]);
    let apart: String = (0..20).map(|index| folder.read(&format!("apart/QM-{index:07}.oar.json"))).collect();
    assert_eq!(apart, whole);
    make(&["--output", "cohort.oar.jsonl.gz", "--no-card"]);
    make(&["--output", "cohort.oar.jsonl.zst", "--no-card"]);
    let printed = folder.oar(&["check", "cohort.oar.jsonl.gz", "cohort.oar.jsonl.zst", "apart", "--output", "jsonl"]);
    assert_eq!((printed.code, printed.total("records")), (Some(0), 60), "{}", printed.errors);
}

#[test]
fn faults_are_the_same_in_parts_and_the_key_tells_them() {
    let folder = Folder::with(&[]);
    let make = |rest: &[&str]| folder.generated(&[&["--patients", "24", "--seed", "9"], rest].concat()).out;
    let whole = make(&["--faults", "0.5", "--output", "-", "--key", "key.jsonl", "--threads", "3"]);
    let parts: String =
        ["1/3", "2/3", "3/3"].iter().map(|part| make(&["--faults", "0.5", "--output", "-", "--shard", part])).collect();
    assert_eq!(parts, whole);
    let printed = folder.read("key.jsonl").lines().filter(|line| line.contains("\"faults\":[{\"rule\":")).count();
    assert!((6..=18).contains(&printed), "{printed} of 24 have faults");
    make(&["--output", "again/", "--fault", "record_exported_again"]);
    assert!(folder.path().join("again/QM-0000023-2.oar.json").exists());
    make(&["--output", "shape.oar.jsonl", "--fault", "not_a_tooth,bad_id"]);
    let printed = folder.oar(&["check", "shape.oar.jsonl", "--no-fold", "--output", "brief"]);
    let errors: Vec<&str> = printed.out.lines().filter(|line| line.contains(": error ")).collect();
    assert_eq!((printed.code, errors.len()), (Some(1), 24), "{}", printed.out);
    assert!(errors.iter().all(|line| line.contains(" not_a_tooth ") || line.contains(" bad_id ")), "{}", printed.out);
}

#[test]
fn lists_name_recipes_and_values_with_their_sources() {
    let folder = Folder::with(&[]);
    let list = folder.generated(&["--list"]).out;
    assert!(list.lines().any(|line| line.starts_with("general ")), "{list}");
    let values = folder.generated(&["--values"]).out;
    assert!(values.contains("\nwear.adherence_alpha = 4.4 shape\n"), "{values}");
    assert!(values.contains("\n  timm_2021: Timm, Farrag, Baxmann"), "{values}");
}

#[test]
fn an_export_at_a_day_ends_with_that_day() {
    let folder = Folder::with(&[]);
    let printed = folder.generated(&["--patients", "3", "--as-of", "2031-12-31", "--output", "-"]);
    assert!(
        printed.out.lines().all(|line| line.contains("\"exported_at\":\"2031-12-31T18:00:00+01:00\"")),
        "{}",
        printed.out
    );
}

#[test]
fn an_interrupted_run_leaves_no_file_under_the_name_and_says_so_next_time() {
    let folder = Folder::with(&[]);
    let run = ["generate", "--patients", "100000000", "--output", "cohort.oar.jsonl", "--threads", "1"];
    let mut child = folder.command(&run).stdout(Stdio::null()).spawn().unwrap();
    let partial = || {
        let names = fs::read_dir(folder.path()).unwrap().map(|entry| entry.unwrap().path());
        names.filter(|path| path.to_string_lossy().ends_with(".partial")).collect::<Vec<_>>()
    };
    let begun = || partial().iter().any(|path| fs::metadata(path).is_ok_and(|data| data.len() > 0));
    let patience = Instant::now() + Duration::from_mins(1);
    while !begun() && Instant::now() < patience {
        std::thread::sleep(Duration::from_millis(20));
    }
    child.kill().unwrap();
    child.wait().unwrap();
    let left = partial();
    assert!(left.len() == 1 && !folder.path().join("cohort.oar.jsonl").exists());
    let printed = folder.oar(&["generate", "--patients", "2", "--output", "cohort.oar.jsonl"]);
    assert_eq!(printed.code, Some(0));
    let name = left[0].file_name().unwrap().to_str().unwrap();
    let said = "was left behind by an interrupted run and may hold patients' data\n  help: delete it\n";
    assert_eq!(printed.errors, format!("note: {name} {said}"));
    assert_eq!(folder.read("cohort.oar.jsonl").lines().count(), 2);
    assert_eq!(partial(), left);
}

#[test]
fn patients_beyond_the_number_of_patients_are_refused() {
    let folder = Folder::with(&[]);
    let made = |more: &[&str]| folder.oar(&[&["generate", "--recipe", "general", "--output", "-"], more].concat());
    for (more, said) in [
        (["--patients", "5", "--range", "3..9"], "--range 3..9: there are 5 patients, numbered 0 to 4"),
        (["--patients", "5", "--range", "7..9"], "--range 7..9: there are 5 patients, numbered 0 to 4"),
        (["--patients", "5", "--number", "5"], "--number 5: there are 5 patients, numbered 0 to 4"),
        (["--patients", "1", "--number", "2"], "--number 2: there is 1 patient, numbered 0"),
    ] {
        let printed = made(&more);
        assert_eq!((printed.code, printed.out.as_str()), (Some(2), ""), "{more:?}");
        assert_eq!(printed.errors, format!("error: {said}\n  help: give a larger --patients, or leave it out\n"));
    }
    // Without --patients there is no last one.
    let free = ["--seed", "1", "--range", "105..106"];
    for more in [["--patients", "5", "--range", "3..5"], ["--patients", "5", "--number", "4"], free] {
        let printed = made(&more);
        assert!(printed.code == Some(0) && !printed.out.is_empty(), "{more:?}: {printed:?}");
    }
}
