//! A reader that was written apart, in Python, from the documents alone, answers the kit.

use std::collections::BTreeSet;
use std::path::Path;
use std::process::Command;

use oar_testing::repository::root;
use open_aligner_record::kit::CaseKind;
use serde_json::Value;

use super::{folder, made};

/// What the reader prints. Without Python this test fails: what was not run is not right.
fn printed(folder: &Path, arguments: &[&str]) -> String {
    let run =
        Command::new("python3").arg(root().join("tests/kit/reader.py")).args(arguments).current_dir(folder).output();
    let output = run.unwrap_or_else(|error| panic!("this test needs Python, and python3 cannot be run: {error}"));
    assert!(output.status.success(), "{}", String::from_utf8_lossy(&output.stderr));
    String::from_utf8(output.stdout).unwrap()
}

#[test]
fn an_independent_reader_is_right_in_all_that_it_claims() {
    let folder = folder();
    let answers = printed(folder.path(), &["kit"]);
    std::fs::write(folder.path().join("answers.jsonl"), answers).unwrap();
    let claims = printed(folder.path(), &["--claims", "kit"]);
    let shown = folder.oar(&["kit", "--score", "answers.jsonl", "--case", claims.trim(), "kit"]);
    assert_eq!((shown.code, shown.errors.as_str()), (Some(0), ""), "{}", shown.out);

    let shown = folder.oar(&["kit", "--score", "answers.jsonl", "--output", "json", "kit"]);
    let score: Value = serde_json::from_str(&shown.out).unwrap();
    let wrong = score["wrong"].as_array().unwrap().iter().map(|wrong| wrong["case"].as_str().unwrap());
    let claimed: BTreeSet<&str> = claims.trim().split(',').collect();
    let not_claimed = made().manifest.cases.iter().filter(|case| {
        let rule = case.case.rsplit_once('-').map_or("", |(rule, _)| rule);
        case.kind == CaseKind::Refuse && !claimed.contains(rule)
    });
    let not_claimed: BTreeSet<&str> = not_claimed.map(|case| case.case.as_str()).collect();
    let wrong: BTreeSet<&str> = wrong.collect();
    assert!(wrong.is_subset(&not_claimed), "wrong beyond what it does not claim: {wrong:?}");
    for (name, tally) in score["derived"].as_object().unwrap() {
        assert_eq!(tally["not_claimed"], 2, "{name}: all but what is packed with zstd is claimed");
    }
}
