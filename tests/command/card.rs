//! The dataset card: where it goes, what it follows, and what it tells.

use serde_json::Value;

use oar_testing::Folder;
use oar_testing::repository::root;
use oar_testing::schema::{published, stray};

fn card(folder: &Folder, name: &str) -> Value {
    serde_json::from_str(&folder.read(name)).unwrap()
}

fn count(card: &Value, list: &str, what: &str) -> u64 {
    let row = card[list].as_array().unwrap().iter().find(|row| row["what"] == what);
    row.map_or(0, |row| row["count"].as_u64().unwrap())
}

#[test]
fn cards_follow_their_schema() {
    let schema = published("card");
    let folder = Folder::with(&[]);
    let rest = ["--patients", "4", "--created-on", "2031-05-01", "--faults", "1", "--set", "wear.day_sigma=0.3"];
    folder.generated(&[&["--output", "a.oar.jsonl", "--key", "k.jsonl"], &rest[..]].concat());
    assert_eq!(stray(&card(&folder, "a.card.json"), &schema), None);
    let mut broken = card(&folder, "a.card.json");
    broken["files"][0]["bytes"] = "many".into();
    assert_eq!(stray(&broken, &schema).as_deref(), Some("/files/0/bytes"));
}

#[test]
fn a_card_is_beside_the_file_or_in_the_folder_or_where_it_is_asked_for() {
    let folder = Folder::with(&[]);
    let there = |name: &str| folder.path().join(name).exists();
    folder.generated(&["--patients", "2", "--output", "a.oar.jsonl.gz"]);
    assert!(there("a.card.json") && there("a.card.md"));
    folder.generated(&["--patients", "2", "--output", "b/"]);
    assert!(there("b/cohort.card.json") && there("b/cohort.card.md"));
    folder.generated(&["--patients", "2", "--output", "-"]);
    folder.generated(&["--patients", "2", "--output", "d.oar.jsonl", "--no-card"]);
    assert!(!there("-.card.json") && !there("d.card.json"));
    let records = folder.generated(&["--patients", "2", "--output", "-", "--card", "e.card.json"]).out;
    let files = card(&folder, "e.card.json")["files"].clone();
    assert_eq!((&files[0]["bytes"], &files[0]["name"]), (&records.len().into(), &"standard output".into()));
    let printed = folder.oar(&["generate", "--patients", "2", "--output", "a.oar.jsonl"]);
    assert_eq!(printed.code, Some(2));
    assert!(printed.errors.contains("a.card.json already exists\n  help: give another name"), "{}", printed.errors);
    assert!(!there("a.oar.jsonl"), "nothing is made when the card has no place");
    let printed = folder.oar(&["check", "b", "--output", "jsonl"]);
    assert_eq!((printed.code, printed.total("records")), (Some(0), 2), "a card is no record");
}

#[test]
fn a_card_counts_patients_and_faults_and_says_how_it_is_made_again() {
    let folder = Folder::with(&[]);
    let rest = ["--faults", "0.5", "--seed", "9", "--set", "population.female_share=0", "--key", "k.jsonl"];
    folder.generated(&[&["--patients", "24", "--output", "a.oar.jsonl", "--threads", "3"], &rest[..]].concat());
    let printed = card(&folder, "a.card.json");
    assert_eq!(count(&printed, "counts", "patients"), 24);
    let key = folder.read("k.jsonl");
    let lines: Vec<Value> = key.lines().map(|line| serde_json::from_str(line).unwrap()).collect();
    let planted: Vec<&Value> = lines.iter().flat_map(|line| line["faults"].as_array().unwrap()).collect();
    assert!(!planted.is_empty());
    let counted: u64 = printed["faults"].as_array().unwrap().iter().map(|row| row["count"].as_u64().unwrap()).sum();
    assert_eq!(counted, planted.len() as u64);
    for fault in planted {
        assert!(count(&printed, "faults", fault["rule"].as_str().unwrap()) > 0);
    }
    let women = printed["distributions"].as_array().unwrap().iter().find(|row| row["key"] == "population.female_share");
    assert_eq!(
        (women.unwrap()["declared"].as_f64(), women.unwrap()["realised"]["value"].as_f64()),
        (Some(0.0), Some(0.0))
    );
    let options: Vec<String> =
        printed["options"].as_array().unwrap().iter().map(|word| word.as_str().unwrap().to_owned()).collect();
    let again: Vec<&str> = options.iter().map(String::as_str).chain(["--output", "-"]).collect();
    assert_eq!(folder.generated(&again).out, folder.read("a.oar.jsonl"));
}

#[test]
fn packed_cohort_key_and_card_are_the_same_for_any_number_of_threads() {
    let made = |threads: &str| {
        let folder = Folder::with(&[]);
        let rest = ["--patients", "40", "--faults", "0.2", "--output", "a.oar.jsonl.zst", "--key", "k.jsonl.gz"];
        folder.generated(&[&rest[..], &["--threads", threads]].concat());
        ["a.oar.jsonl.zst", "k.jsonl.gz", "a.card.json", "a.card.md"]
            .map(|name| std::fs::read(folder.path().join(name)).unwrap())
    };
    let one = made("1");
    assert!(one == made("2") && one == made("5"));
}

#[test]
fn a_digest_of_a_recipe_changes_with_its_values_and_with_nothing_else() {
    let folder = Folder::with(&[]);
    let digest = |name: &str, rest: &[&str]| {
        folder.generated(&[&["--patients", "1", "--output", "-", "--card", name], rest].concat());
        card(&folder, &format!("{name}.card.json"))["recipe"]["digest"].clone()
    };
    let plain = digest("a", &[]);
    assert_eq!(digest("b", &["--seed", "5", "--created-on", "2031-05-01"]), plain);
    assert_ne!(digest("c", &["--set", "wear.day_sigma=0.31"]), plain);
    assert_ne!(digest("d", &["--recipe", "low-wear"]), plain);
}

#[test]
fn a_card_says_what_the_page_of_recipes_says_is_not_real() {
    let folder = Folder::with(&[]);
    folder.generated(&["--patients", "1", "--output", "-", "--card", "a"]);
    let plain = |text: &str| text.split_whitespace().collect::<Vec<_>>().join(" ");
    let page = std::fs::read_to_string(root().join("docs/reference/recipes.md")).unwrap();
    let said = plain(page.split("## What it does not do").nth(1).unwrap());
    let printed = card(&folder, "a.card.json")["unrealism"].clone();
    let printed: Vec<&str> = printed.as_array().unwrap().iter().map(|line| line.as_str().unwrap()).collect();
    let markdown = folder.read("a.card.md");
    let both = printed.iter().filter(|line| said.contains(&plain(line)) && markdown.contains(*line)).count();
    let rest = printed.iter().fold(said, |rest, line| rest.replace(&plain(line), ""));
    assert_eq!((both, rest.trim()), (6, "Every dataset card says this too, and where its cohort is outside."));
}
