//! Answers are scored as they are: right ones as right, and each wrong one at its place.

use oar_testing::schema::{published, stray};
use serde_json::{Value, json};

use super::{folder, made};

/// The right answer to every case, with everything claimed.
fn right() -> Vec<Value> {
    let of = |case: &open_aligner_record::kit::KitCase| {
        let places: Vec<Value> =
            case.finding.iter().map(|found| json!({"record": found.record, "pointer": found.pointer})).collect();
        let derived = case.derived.clone().unwrap_or_default();
        json!({"case": case.case, "accepted": case.accepted, "places": places, "derived": derived})
    };
    made().manifest.cases.iter().map(of).collect()
}

fn of<'a>(answers: &'a mut [Value], case: &str) -> &'a mut Value {
    answers.iter_mut().find(|answer| answer["case"] == case).unwrap()
}

/// The exit code and the score of answers.
fn score(answers: &[Value], rest: &[&str]) -> (Option<i32>, Value) {
    let folder = folder();
    let lines: Vec<String> = answers.iter().map(Value::to_string).collect();
    std::fs::write(folder.path().join("answers.jsonl"), lines.join("\n")).unwrap();
    let printed = folder.oar(&[&["kit", "--score", "answers.jsonl", "--output", "json"], rest, &["kit"]].concat());
    assert_eq!(printed.errors, "");
    (printed.code, serde_json::from_str(&printed.out).unwrap())
}

/// What is wrong, as case and what.
fn wrong(score: &Value) -> Vec<(String, String)> {
    let text = |value: &Value| value.as_str().unwrap().to_owned();
    score["wrong"].as_array().unwrap().iter().map(|wrong| (text(&wrong["case"]), text(&wrong["what"]))).collect()
}

#[test]
fn right_answers_are_all_right() {
    let (code, printed) = score(&right(), &[]);
    assert_eq!((code, &printed["all_right"], wrong(&printed)), (Some(0), &json!(true), vec![]));
    assert_eq!(printed["places"]["not_claimed"], 0);
    assert!(printed["derived"]["days_logged"]["right"].as_u64().unwrap() > 50, "{printed}");
    assert_eq!(stray(&printed, &published("kit_score")), None);
}

#[test]
fn each_wrong_answer_is_told_where_it_is() {
    let mut answers = right();
    of(&mut answers, "accept/record-2")["accepted"] = false.into();
    of(&mut answers, "refuse/not_a_tooth-1")["accepted"] = true.into();
    of(&mut answers, "refuse/bad_id-1")["places"] = json!([{"pointer": "/series"}]);
    let day = &mut of(&mut answers, "derive/record-1")["derived"]["treatment_day"];
    *day = (day.as_i64().unwrap() + 1).into();
    let share = &mut of(&mut answers, "derive/record-1")["derived"]["wear_share"];
    *share = (share.as_f64().unwrap() + 0.0003).into();
    let share = &mut of(&mut answers, "derive/record-2")["derived"]["wear_share"];
    *share = (share.as_f64().unwrap() + 0.000_05).into();
    of(&mut answers, "spelling/by_hand-wide")["derived"]["low_run"] = Value::Null;
    let (code, printed) = score(&answers, &[]);
    let expected = [
        ("accept/record-2", "accepted"),
        ("derive/record-1", "treatment_day"),
        ("derive/record-1", "wear_share"),
        ("refuse/bad_id-1", "places"),
        ("refuse/not_a_tooth-1", "accepted"),
        ("spelling/by_hand-wide", "low_run"),
    ];
    let mut found = wrong(&printed);
    found.sort();
    let found: Vec<(&str, &str)> = found.iter().map(|(case, what)| (case.as_str(), what.as_str())).collect();
    assert_eq!((code, found), (Some(1), expected.to_vec()));
    assert_eq!(printed["accepted"]["accept"], json!({"right": 11, "wrong": 1, "not_claimed": 0}));
    let tooth = printed["wrong"].as_array().unwrap().iter().find(|one| one["case"] == "refuse/not_a_tooth-1").unwrap();
    assert_eq!(tooth["finding"]["rule"], "not_a_tooth");
}

#[test]
fn a_place_near_enough_is_right_and_another_record_is_not() {
    let at = |case: &str| {
        let found = made().manifest.cases.iter().find(|it| it.case == case).unwrap().finding.clone().unwrap();
        (found.pointer, found.record)
    };
    let (pointer, _) = at("refuse/unknown_field-1");
    let (parent, _) = pointer.rsplit_once('/').unwrap();
    let scored = |case: &str, place: Value| {
        let mut answers = right();
        of(&mut answers, case)["places"] = json!([{"pointer": "/elsewhere"}, place]);
        wrong(&score(&answers, &[]).1).len()
    };
    assert_eq!(scored("refuse/unknown_field-1", json!({"pointer": parent})), 0);
    assert_eq!(scored("refuse/unknown_field-1", json!({"pointer": format!("{pointer}/deeper")})), 0);
    assert_eq!(scored("refuse/unknown_field-1", json!({"pointer": format!("{pointer}s")})), 1);
    assert_eq!(scored("refuse/unknown_field-1", json!({"pointer": pointer, "record": 2})), 1);
}

#[test]
fn missing_doubled_and_unknown_answers_are_told_and_parts_are_scored_as_parts() {
    let mut answers = right();
    answers.retain(|answer| answer["case"] != "edge/travel");
    answers.push(json!({"case": "edge/leap_day", "accepted": false}));
    answers.push(json!({"case": "edge/no_such_case", "accepted": true}));
    let (code, printed) = score(&answers, &[]);
    assert_eq!((code, wrong(&printed)), (Some(1), vec![]));
    assert_eq!(printed["missing"], json!(["edge/travel"]));
    assert_eq!(printed["doubled"], json!(["edge/leap_day"]));
    assert_eq!(printed["unknown"], json!(["edge/no_such_case"]));
    let part: Vec<Value> = right()
        .into_iter()
        .filter(|answer| answer["case"].as_str().unwrap().starts_with("accept/") || answer["case"] == "refuse/bad_id-1")
        .map(|answer| json!({"case": answer["case"], "accepted": answer["accepted"]}))
        .collect();
    let (code, printed) = score(&part, &["--case", "accept,refuse/bad_id"]);
    assert_eq!((code, &printed["cases"], &printed["places"]["not_claimed"]), (Some(0), &json!(13), &json!(1)));
    assert_eq!(score(&part, &[]).0, Some(1));
}

#[test]
fn text_says_what_it_comes_to_and_what_cannot_be_scored_is_refused() {
    let folder = folder();
    let refused = |arguments: &[&str], input: &[u8], what: &str| {
        let printed = folder.piped(&[&["kit"], arguments].concat(), input);
        assert_eq!((printed.code, printed.out.as_str()), (Some(2), ""), "{arguments:?}");
        assert!(printed.errors.contains(what), "{}", printed.errors);
    };
    refused(
        &["--score", "-", "kit"],
        b"{\"case\": \"accept/record-1\"}\nno JSON\n",
        "standard input: line 2 is not an answer",
    );
    refused(&["--score", "-", "kit"], b"{\"case\": \"a\", \"acepted\": true}", "unknown field `acepted`");
    refused(
        &["--score", "-", "kit", "--case", "refuse/no_rule"],
        b"",
        "--case refuse/no_rule: no case has a name that begins so",
    );
    refused(&["--score", "-", "elsewhere"], b"", "give the folder that oar kit wrote");
    refused(&["--score", "none.jsonl", "kit"], b"", "none.jsonl cannot be read");
    refused(&["--score", "-", "--seed", "2", "kit"], b"", "cannot be used with");
    refused(&["--case", "accept", "kit"], b"", "--score");
    let printed: oar_testing::Told = folder.piped(
        &["kit", "--score", "-", "--case", "upgrade/newer_major", "kit"],
        b"{\"case\": \"upgrade/newer_major\", \"accepted\": true}",
    );
    assert_eq!(printed.code, Some(1));
    assert!(
        printed
            .out
            .contains("upgrade/newer_major: accepted, but should be refused\n    error newer_version at /version: ")
    );
    assert!(
        printed.out.ends_with("1 case: 0 answers right, 1 wrong\nscored only: upgrade/newer_major\n"),
        "{}",
        printed.out
    );
}

#[test]
fn a_score_goes_to_files_but_never_over_the_kit_or_the_answers() {
    let folder = folder();
    std::fs::write(folder.path().join("answers.jsonl"), "").unwrap();
    let run = |rest: &[&str]| folder.oar(&[&["kit", "--score", "answers.jsonl", "kit"], rest].concat());
    let (text, json) = (run(&[]).out, run(&["-o", "json"]).out);
    let printed = run(&["-o", "text", "-o", "json=score.json"]);
    assert_eq!((printed.code, printed.out, folder.read("score.json")), (Some(1), text, json));
    for file in ["answers.jsonl", "kit/manifest.json"] {
        let before = folder.read(file);
        let printed = run(&["-o", &format!("json={file}")]);
        assert!(printed.code == Some(2) && printed.errors.contains("write the score to another file"), "{printed:?}");
        assert_eq!(folder.read(file), before);
    }
    assert_eq!(run(&["--exit-zero"]).code, Some(0));
}
