//! Treatments whose arches differ: what the review says of each arch, worked out by hand from docs/reference/derived.md.

use open_aligner_record::review::entry::Entry;
use open_aligner_record::review::letter::{TEXT, letter};
use open_aligner_record::review::text::patient;
use open_aligner_record::review::{Review, page};
use serde_json::{Value, json};

use super::{assert_private, changed, review};

/// The base record with other trays in its second series, which both arches began on 17 April, worn as the lines say. The record ends on 10 May;
/// 7 days a tray are prescribed.
fn with(trays: [i32; 2], worn: &[&str]) -> String {
    changed(|record| {
        let series = &mut record["series"][1];
        series["trays"] = json!({"upper": trays[0], "lower": trays[1]});
        series["attachments"] = json!([]);
        let most = |tooth: &Value| trays[usize::from(tooth.as_i64().unwrap() > 30)];
        series["movements"].as_array_mut().unwrap().retain(|movement| most(&movement["tooth"]) > 0);
        for movement in series["movements"].as_array_mut().unwrap() {
            movement["to_tray"] = json!(most(&movement["tooth"]));
        }
        record["wear_periods"].as_array_mut().unwrap().truncate(8);
        record["wear_periods"].as_array_mut().unwrap().extend(worn.iter().map(|line| stretch(line)));
        for (list, kept) in [("check_ins", 5), ("attachment_events", 10)] {
            record[list].as_array_mut().unwrap().truncate(kept);
        }
        record["deliveries"][2]["to_tray"] = json!(trays[0].max(trays[1]));
    })
}

/// An entry of `worn`, from a line of its tray, arches and first day, with the day and the word of its end if it ended.
fn stretch(line: &str) -> Value {
    let words: Vec<&str> = line.split(' ').collect();
    let mut stretch =
        json!({"series": 1, "tray": words[0].parse::<i32>().unwrap(), "arches": words[1], "from": words[2]});
    if let [to, ended] = words[3..] {
        stretch["to"] = json!(to);
        stretch["ended"] = json!(ended);
    }
    stretch
}

/// The upper arch has one tray, lost and made anew after it had had its days; the lower one has its last tray in.
fn last_tray_made_anew() -> String {
    with(
        [1, 4],
        &[
            "1 upper 2031-04-17 2031-05-08 lost",
            "1 lower 2031-04-17 2031-04-24 advanced",
            "2 lower 2031-04-24 2031-05-01 advanced",
            "3 lower 2031-05-01 2031-05-07 advanced",
            "4 lower 2031-05-07",
            "1 upper 2031-05-08",
        ],
    )
}

/// The upper arch waits with its last tray while the lower one goes on.
fn waiting_upper() -> String {
    with(
        [2, 4],
        &[
            "1 both 2031-04-17 2031-04-24 advanced",
            "2 upper 2031-04-24",
            "2 lower 2031-04-24 2031-05-01 advanced",
            "3 lower 2031-05-01",
        ],
    )
}

/// The same; the waiting tray was lost and made anew two days before the end, so that it is the last entry of the list.
fn waiting_upper_made_anew() -> String {
    with(
        [2, 4],
        &[
            "1 both 2031-04-17 2031-04-24 advanced",
            "2 upper 2031-04-24 2031-05-08 lost",
            "2 lower 2031-04-24 2031-05-01 advanced",
            "3 lower 2031-05-01",
            "2 upper 2031-05-08",
        ],
    )
}

/// Both arches wear tray 3, which is the last of the lower one.
fn shorter_lower() -> String {
    with(
        [4, 3],
        &["1 both 2031-04-17 2031-04-24 advanced", "2 both 2031-04-24 2031-05-05 advanced", "3 both 2031-05-05"],
    )
}

/// The lower arch had two trays and has none in any more.
fn lower_without_tray() -> String {
    with(
        [4, 2],
        &["1 both 2031-04-17 2031-04-24 advanced", "2 both 2031-04-24 2031-05-05 advanced", "3 upper 2031-05-05"],
    )
}

/// The second series is of the upper arch alone: the lower one had its trays in the first.
fn upper_refined_alone() -> String {
    with(
        [4, 0],
        &["1 upper 2031-04-17 2031-04-24 advanced", "2 upper 2031-04-24 2031-05-05 advanced", "3 upper 2031-05-05"],
    )
}

/// Both go on, each with a tray of its own; the lower one is 6 days over its due day.
fn both_going_on() -> String {
    with(
        [4, 4],
        &[
            "1 both 2031-04-17 2031-04-27 advanced",
            "2 upper 2031-04-27 2031-05-05 advanced",
            "2 lower 2031-04-27",
            "3 upper 2031-05-05",
        ],
    )
}

/// Each arch has an entry of its own for every tray, and they go together.
fn two_entries_for_each_tray() -> String {
    with(
        [4, 4],
        &[
            "1 upper 2031-04-17 2031-04-24 advanced",
            "1 lower 2031-04-17 2031-04-24 advanced",
            "2 upper 2031-04-24 2031-05-05 advanced",
            "2 lower 2031-04-24 2031-05-05 advanced",
            "3 upper 2031-05-05",
            "3 lower 2031-05-05",
        ],
    )
}

type Arches = fn() -> String;

/// The records whose arches differ, by what they are.
const DIFFERENT: [(&str, Arches); 7] = [
    ("last tray made anew", last_tray_made_anew),
    ("waiting upper", waiting_upper),
    ("waiting upper made anew", waiting_upper_made_anew),
    ("shorter lower", shorter_lower),
    ("lower without tray", lower_without_tray),
    ("upper refined alone", upper_refined_alone),
    ("both going on", both_going_on),
];

fn line(review: &Review) -> Value {
    Entry::of(review).json()
}

#[test]
fn a_finished_arch_whose_tray_was_made_anew_has_nothing_due() {
    let line = line(&review(&last_tray_made_anew(), None));
    // Upper: tray 1 of 1 from 17 April, 7 days, so through on 24 April. Lower: tray 4 of 4 from 7 May, so until 14 May.
    let upper = json!({"arch": "upper", "series": 1, "trays": 1, "tray": 1, "left": 0, "due": null,
        "projected_end": null, "finished_on": "2031-04-24"});
    let lower = json!({"arch": "lower", "series": 1, "trays": 4, "tray": 4, "left": 0, "due": null,
        "projected_end": "2031-05-14", "finished_on": null});
    assert_eq!(line["values"]["per_arch"], json!([upper, lower]));
    let joint = ["tray_due", "days_overdue", "trays_left", "pace_days", "projected_end"];
    let printed = joint.map(|name| line["values"][name].clone());
    assert_eq!(printed, [json!("2031-05-14"), json!(null), json!(0), json!(7.0), json!("2031-05-14")]);
    assert_eq!([&line["series"], &line["tray"], &line["trays"]], [1, 4, 4]);
}

#[test]
fn an_arch_that_waits_is_finished_and_the_other_one_goes_on() {
    for (record, upper_from) in [(waiting_upper(), "2031-04-24"), (waiting_upper_made_anew(), "2031-05-08")] {
        let review = review(&record, None);
        let line = line(&review);
        // Upper: tray 2 of 2 from 24 April, through on 1 May. Lower: tray 3 of 4 from 1 May, due on 8 May; trays 1 and 2
        // took 7 days each, so the end is today, 10 May, + 1 × 7.
        let upper = json!({"arch": "upper", "series": 1, "trays": 2, "tray": 2, "left": 0, "due": null,
            "projected_end": null, "finished_on": "2031-05-01"});
        let lower = json!({"arch": "lower", "series": 1, "trays": 4, "tray": 3, "left": 1, "due": "2031-05-08",
            "projected_end": "2031-05-17", "finished_on": null});
        assert_eq!(line["values"]["per_arch"], json!([upper, lower]), "{upper_from}");
        let joint = ["tray_due", "days_overdue", "trays_left", "pace_days", "projected_end"];
        let printed = joint.map(|name| line["values"][name].clone());
        assert_eq!(printed, [json!("2031-05-08"), json!(2), json!(1), json!(7.0), json!("2031-05-17")], "{upper_from}");
        assert_eq!([&line["series"], &line["tray"], &line["trays"]], [1, 3, 4]);
        let ready = messages(&review, "change_due");
        assert_eq!(ready, ["lower tray 3 has been due for a change since 2031-05-08; tray 4 is next"]);
        assert_eq!(
            messages(&review, "rescan_due"),
            ["lower tray 3 of 4 of series 1 is worn, and the plan has no later series"]
        );
    }
}

fn messages(review: &Review, signal: &str) -> Vec<String> {
    let own = review.raised.iter().filter(|raised| raised.signal.name == signal);
    own.map(open_aligner_record::review::Raised::message).collect()
}

#[test]
fn an_arch_with_fewer_trays_has_fewer_left() {
    let line = line(&review(&shorter_lower(), None));
    // Tray 3 from 5 May is due on 12 May. Trays 1 and 2 took 7 and 11 days, 9 in the middle. Upper: 2 days and 1 × 9.
    let upper = json!({"arch": "upper", "series": 1, "trays": 4, "tray": 3, "left": 1, "due": "2031-05-12",
        "projected_end": "2031-05-21", "finished_on": null});
    let lower = json!({"arch": "lower", "series": 1, "trays": 3, "tray": 3, "left": 0, "due": null,
        "projected_end": "2031-05-12", "finished_on": null});
    assert_eq!(line["values"]["per_arch"], json!([upper, lower]));
    assert_eq!([&line["tray"], &line["trays"], &line["values"]["trays_left"]], [3, 4, 1]);
    assert_eq!([&line["values"]["tray_due"], &line["values"]["projected_end"]], ["2031-05-12", "2031-05-21"]);
}

#[test]
fn an_arch_without_a_tray_says_when_it_was_through() {
    let line = line(&review(&lower_without_tray(), None));
    // Lower: tray 2 of 2 from 24 April, through on 1 May, taken out on 5 May.
    let lower = json!({"arch": "lower", "series": 1, "trays": 2, "tray": null, "left": 0, "due": null,
        "projected_end": null, "finished_on": "2031-05-01"});
    assert_eq!(line["values"]["per_arch"][1], lower);
    assert_eq!(line["values"]["per_arch"][0]["projected_end"], "2031-05-21");
    assert_eq!(line["values"]["projected_end"], "2031-05-21");
}

#[test]
fn an_arch_that_a_refinement_leaves_out_is_told_by_its_own_series() {
    let line = line(&review(&upper_refined_alone(), None));
    // Lower: tray 6 of 6 of series 0 from 27 March, 7 days, and a hold of 14 days decided on 3 April: 17 April, the day on
    // which it was taken out.
    let lower = json!({"arch": "lower", "series": 0, "trays": 6, "tray": null, "left": 0, "due": null,
        "projected_end": null, "finished_on": "2031-04-17"});
    assert_eq!(line["values"]["per_arch"][1], lower);
    assert_eq!(line["values"]["per_arch"][0]["tray"], 3);
}

#[test]
fn each_arch_has_its_own_signals() {
    let review = review(&both_going_on(), None);
    let line = line(&review);
    // Upper: tray 3 of 4 from 5 May, due 12 May; trays 1 and 2 took 10 and 8 days: 9. End 10 May + 2 + 9.
    let upper = json!({"arch": "upper", "series": 1, "trays": 4, "tray": 3, "left": 1, "due": "2031-05-12",
        "projected_end": "2031-05-21", "finished_on": null});
    // Lower: tray 2 of 4 from 27 April, due 4 May; tray 1 took 10 days. End 10 May + 2 × 10.
    let lower = json!({"arch": "lower", "series": 1, "trays": 4, "tray": 2, "left": 2, "due": "2031-05-04",
        "projected_end": "2031-05-30", "finished_on": null});
    assert_eq!(line["values"]["per_arch"], json!([upper, lower]));
    let joint = ["tray_due", "days_overdue", "trays_left", "pace_days", "projected_end"];
    let printed = joint.map(|name| line["values"][name].clone());
    assert_eq!(printed, [json!("2031-05-04"), json!(6), json!(2), json!(10.0), json!("2031-05-30")]);
    assert_eq!(
        messages(&review, "overdue"),
        ["lower tray 2 of series 1 was due for a change on 2031-05-04, 6 days ago"]
    );
    assert!(messages(&review, "change_due").is_empty());
}

#[test]
fn a_check_in_with_the_tray_of_one_arch_holds_that_arch_alone() {
    let mut record: Value = serde_json::from_str(&both_going_on()).unwrap();
    record["check_ins"].as_array_mut().unwrap().push(json!({
        "at": "2031-05-09T18:00:00+02:00", "series": 1, "tray": 2, "mode": "remote",
        "decision": {"kind": "hold", "days": 8}
    }));
    let review = review(&record.to_string(), None);
    // Lower: 4 May and 8 days more.
    let due = line(&review)["values"]["per_arch"]
        .as_array()
        .unwrap()
        .iter()
        .map(|arch| arch["due"].clone())
        .collect::<Vec<_>>();
    assert_eq!(due, ["2031-05-12", "2031-05-12"]);
    assert!(messages(&review, "overdue").is_empty());
    assert_eq!(
        messages(&review, "hold_running"),
        ["lower tray 2 is held until 2031-05-12, 2 days more (decided 2031-05-09)"]
    );
}

#[test]
fn a_tooth_is_looked_at_with_the_tray_of_its_arch() {
    let mut record: Value = serde_json::from_str(&both_going_on()).unwrap();
    // Before tray 4: the upper contact is due, since upper tray 3 is in; the lower one is not, with tray 2.
    record["series"][1]["interproximal_reductions"] = json!([
        {"between": [21, 22], "amount_mm": 0.2, "before_tray": 4},
        {"between": [41, 42], "amount_mm": 0.2, "before_tray": 4},
    ]);
    let review = review(&record.to_string(), None);
    assert_eq!(line(&review)["values"]["reductions_due"], json!([[21, 22]]));
    let printed = "1 planned reduction not on record, the first before tray 4 (current tray: 3): 21-22";
    assert_eq!(messages(&review, "reduction_due"), [printed]);
}

#[test]
fn arches_that_go_together_have_no_values_of_their_own() {
    let base = changed(|_| {});
    for record in [base, two_entries_for_each_tray()] {
        let review = review(&record, None);
        assert!(line(&review)["values"].get("per_arch").is_none());
        let printed = patient(&review, 120);
        assert!(!printed.contains("upper arch") && !printed.contains("arches differ"), "{printed}");
        assert!(printed.contains("tray          3 of 4, series 1, in since 2031-05-05"), "{printed}");
        let end = "projected end 2031-05-21: 1 tray to come at the pace of this series, 9 days each";
        assert!(printed.contains(end), "{printed}");
        assert!(!page::patient(&review).contains("arches differ"));
        let letter = letter(&review, TEXT).unwrap();
        assert!(letter.contains("you are wearing tray 3 of 4.") && !letter.contains("upper teeth"), "{letter}");
    }
}

/// The text with the words of a paragraph on one line.
fn words(text: &str) -> String {
    text.split_whitespace().collect::<Vec<_>>().join(" ")
}

#[test]
fn the_story_tells_each_arch() {
    let printed = words(&patient(&review(&last_tray_made_anew(), None), 100));
    for line in [
        "tray the arches differ upper arch tray 1 of 1, series 1, in since 2031-05-08; finished on 2031-04-24: no tray follows",
        "lower arch tray 4 of 4, series 1, in since 2031-05-07; the last one, until 2031-05-14 (in 4 days)",
        "next, upper none: the last tray of the series is in",
        "next, lower none: the last tray of the series is in",
    ] {
        assert!(printed.contains(line), "{line}\n{printed}");
    }
    assert!(!printed.contains("to come") && !printed.contains("tray 1 of 4"), "{printed}");
    let printed = words(&patient(&review(&waiting_upper_made_anew(), None), 100));
    for line in [
        "upper arch tray 2 of 2, series 1, in since 2031-05-08; finished on 2031-05-01: no tray follows",
        "lower arch tray 3 of 4, series 1, in since 2031-05-01; was due on 2031-05-08 (2 days ago); 1 tray left; \
         projected end 2031-05-17",
        "next, lower tray 4, was due on 2031-05-08 (2 days ago)",
    ] {
        assert!(printed.contains(line), "{line}\n{printed}");
    }
    let printed = words(&patient(&review(&lower_without_tray(), None), 100));
    let line = "lower arch no tray is in; the last was 2 of 2, series 1, until 2031-05-05; finished on 2031-05-01";
    assert!(printed.contains(line), "{printed}");
}

#[test]
fn stretches_that_overlap_are_drawn_in_a_ribbon_for_each_arch() {
    let printed = patient(&review(&waiting_upper_made_anew(), None), 80);
    // From 17 April: upper tray 1 for 7 days, tray 2 for 14, lost, and tray 2 again for 3 days; the lower trays each 7.
    let [upper, lower] =
        ["1──────2▔▔▔▔▔▔▔▔▔▔▔▔▔2▔▔\n", "1──────2▁▁▁▁▁▁3▁▁▁▁▁▁~~~\n"].map(|days| format!("2031-04-17 {days}"));
    let at = |row: &str| printed.find(row).unwrap_or_else(|| panic!("{row}\n{printed}"));
    assert!(printed.contains("  upper arch\n") && printed.contains("  lower arch\n"), "{printed}");
    assert!(at(&upper) < at(&lower), "{printed}");
}

#[test]
fn the_letter_names_the_tray_of_each_arch() {
    let printed = words(&letter(&review(&both_going_on(), None), TEXT).unwrap());
    for line in [
        "you are wearing tray 3 of 4 on your upper teeth.",
        "you are wearing tray 2 of 4 on your lower teeth.",
        "the change to tray 4 on your upper teeth for Monday 12 May 2031.",
        "tray 2 on your lower teeth was to be changed by Sunday 4 May 2031.",
    ] {
        assert!(printed.contains(line), "{line}\n{printed}");
    }
    let printed = words(&letter(&review(&last_tray_made_anew(), None), TEXT).unwrap());
    for line in [
        "you are wearing tray 1 of 1 on your upper teeth.",
        "you are wearing tray 4 of 4 on your lower teeth.",
        "The tray on your upper teeth is the last one of this set.",
        "The tray on your lower teeth is the last one of this set.",
    ] {
        assert!(printed.contains(line), "{line}\n{printed}");
    }
    assert!(!printed.contains("change to tray"), "{printed}");
    let printed = words(&letter(&review(&lower_without_tray(), None), TEXT).unwrap());
    assert!(printed.contains("According to our records, no tray is in on your lower teeth."), "{printed}");
    // A text of somebody's own that knows no arches gets no number that holds for one arch alone.
    assert_eq!(
        letter(&review(&both_going_on(), None), "a\ntray {tray}, change {change_day}\n{?late} late\n").unwrap(),
        "a\n"
    );
    assert_eq!(letter(&review(&shorter_lower(), None), "tray {tray}\n").unwrap(), "tray 3\n");
}

#[test]
fn the_page_has_values_and_a_timeline_for_each_arch() {
    let page = page::patient(&review(&waiting_upper_made_anew(), None));
    for part in [
        "The arches differ. Upper arch: tray 2 of 2, series 1, in since 2031-05-08; finished on 2031-05-01: no tray follows.",
        "<caption>Each arch</caption>",
        "Trays of the upper arch by day: 11 wear periods",
        "Trays of the lower arch by day: 11 wear periods",
    ] {
        assert!(page.contains(part), "{part}");
    }
    assert!(!page.contains("tray 2 of 4"));
}

#[test]
fn nothing_that_is_told_contradicts_the_arches() {
    for (name, record) in DIFFERENT {
        let record = record();
        let review = review(&record, None);
        let line = line(&review);
        assert_eq!(line["values"]["per_arch"].as_array().map(Vec::len), Some(2), "{name}");
        let printed = [patient(&review, 80), page::patient(&review), letter(&review, TEXT).unwrap()];
        for text in &printed {
            assert_private(&record, text);
        }
        assert!(printed[0].contains("the arches differ") && printed[1].contains("The arches differ"), "{name}");
        let left: Vec<i64> =
            line["values"]["per_arch"].as_array().unwrap().iter().filter_map(|arch| arch["left"].as_i64()).collect();
        assert_eq!(line["values"]["trays_left"].as_i64(), left.into_iter().max(), "{name}");
    }
}
