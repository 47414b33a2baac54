//! The published schema, the dataset files and random edits, judged by the checker and by validators that others wrote.

mod edits;

use oar_outside_checks::{Validators, dataset_files, root};
use oar_schema::json_schema::record_schema;
use open_aligner_record::Checker;
use rand::SeedableRng;
use rand_chacha::ChaCha8Rng;
use serde_json::Value;

/// Edits that are made; the differential test of the project asks for a hundred thousand.
const EDITS: u64 = 120_000;

#[test]
fn the_schema_fits_its_meta_schema() {
    assert!(jsonschema::meta::is_valid(&record_schema()));
    let mut broken = record_schema();
    broken["properties"]["id"]["minLength"] = Value::from("one");
    assert!(!jsonschema::meta::is_valid(&broken), "a broken schema would be noticed");
}

#[test]
fn two_validators_and_the_checker_agree_on_every_dataset_file() {
    let (validators, mut checker) = (Validators::new(), Checker::new());
    let files = dataset_files();
    let mut judged = [0, 0];
    for file in &files {
        let text = std::fs::read(file).unwrap();
        let Some(ours) = checker.fits_schema(&text) else { continue };
        let record: Value = serde_json::from_slice(&text).unwrap();
        assert_eq!(validators.verdicts(&record), [ours, ours], "{}", file.display());
        judged[usize::from(ours)] += 1;
    }
    assert!(judged[0] >= 12 && judged[1] >= 12, "wrong and right files were judged: {judged:?}");
}

#[test]
fn every_example_in_the_schema_fits_its_own_place() {
    let schema = record_schema();
    let objects = schema["$defs"].as_object().unwrap().values().chain([&schema]);
    let mut examples = 0;
    for property in objects.filter_map(|object| object["properties"].as_object()).flat_map(|fields| fields.values()) {
        let mut alone = property.clone();
        alone["$defs"] = schema["$defs"].clone();
        let validator = jsonschema::options().should_validate_formats(true).build(&alone).unwrap();
        for example in property["examples"].as_array().expect("every field has an example") {
            assert!(validator.is_valid(example), "{example} in {}", property["title"]);
            examples += 1;
        }
    }
    assert!(examples > 100, "{examples} examples");
}

#[test]
fn random_edits_get_the_same_verdict_on_either_path_and_from_two_validators() {
    let bases = bases();
    let counts = std::thread::scope(|scope| {
        let halves = [0, 1].map(|half| {
            scope.spawn({
                let bases = &bases;
                move || judge_half(bases, half)
            })
        });
        halves.map(|half| half.join().expect("a half without a difference"))
    });
    println!("{counts:?}");
    let all = |of: fn(&Counts) -> u64| counts.iter().map(of).sum::<u64>();
    assert!(all(|counts| counts.fast) > EDITS / 20 && all(|counts| counts.right) > EDITS / 20, "{counts:?}");
    assert!(all(|counts| counts.wrong) > EDITS / 5, "{counts:?}");
}

/// Judges every second edit.
fn judge_half(bases: &[Vec<u8>], half: u64) -> Counts {
    let (validators, mut checker) = (Validators::new(), Checker::new());
    let mut counts = Counts::default();
    for number in (half..EDITS).step_by(2) {
        let mut rng = ChaCha8Rng::seed_from_u64(number);
        let base = &bases[number as usize % bases.len()];
        let text = edits::edited(base, &mut rng);
        judge(&text, &validators, &mut checker, &mut counts)
            .unwrap_or_else(|problem| panic!("edit {number}: {problem}\n{}", String::from_utf8_lossy(&text)));
    }
    counts
}

/// How many edited records there were of each sort.
#[derive(Debug, Default)]
struct Counts {
    fast: u64,
    text: u64,
    right: u64,
    wrong: u64,
}

fn judge(text: &[u8], validators: &Validators, checker: &mut Checker, counts: &mut Counts) -> Result<(), String> {
    let (fast, slow) = checker.both_paths(text);
    if let Some(fast) = fast {
        counts.fast += 1;
        if fast != slow {
            return Err(format!("the paths differ\nfast {}\nslow {}", fast.1, slow.1));
        }
    }
    let Some(ours) = checker.fits_schema(text) else {
        counts.text += 1;
        return if checker.is_clean(text) { Err("text at fault, and no finding".to_owned()) } else { Ok(()) };
    };
    let record: Value = serde_json::from_slice(text)
        .map_err(|error| format!("not JSON for serde_json ({error}), JSON for the checker"))?;
    let findings = checker.check(text);
    if !ours && findings.is_empty() {
        return Err("the schema refuses it, and no finding".to_owned());
    }
    let theirs = validators.verdicts(&record);
    if ours {
        counts.right += 1
    } else {
        counts.wrong += 1
    }
    if theirs == [ours, ours] {
        return Ok(());
    }
    let names: Vec<&str> = findings.iter().map(|finding| finding.rule.name).collect();
    Err(format!("ours {ours}, theirs {theirs:?}, findings {names:?}"))
}

/// The base record and the smaller demo records, compact.
fn bases() -> Vec<Vec<u8>> {
    let mut files = vec![root().join("tests/base.oar.json")];
    files.extend(dataset_files().into_iter().filter(|file| file.to_string_lossy().contains("demo")));
    let texts = files.iter().map(|file| std::fs::read(file).unwrap());
    let compact = texts.map(|text| serde_json::from_slice::<Value>(&text).unwrap().to_string().into_bytes());
    compact.filter(|text| text.len() < 16_000).collect()
}
