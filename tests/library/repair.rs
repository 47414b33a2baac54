//! Repair changes forms and order, never what a record says: random edits of right records, and what comes of them.

use oar_testing::{BASE, DEMO};
use open_aligner_record::repair::{Fix, Repaired, Repairer};
use open_aligner_record::settings::{Settings, Switch};
use open_aligner_record::{Checker, canonical};
use serde_json::{Map, Value};

/// Numbers that look random and are the same in each run (Marsaglia, Xorshift RNGs, Journal of Statistical Software 8(14), 2003).
struct Dice(u64);

impl Dice {
    fn next(&mut self, below: usize) -> usize {
        self.0 ^= self.0 << 13;
        self.0 ^= self.0 >> 7;
        self.0 ^= self.0 << 17;
        (self.0 % below as u64) as usize
    }

    fn one_in(&mut self, count: usize) -> bool {
        self.next(count) == 0
    }
}

fn repaired(record: &[u8]) -> Repaired {
    Repairer::new().record(record)
}

fn text(repaired: &Repaired, record: &[u8]) -> Vec<u8> {
    repaired.text.clone().unwrap_or_else(|| record.to_vec())
}

fn rules(record: &[u8]) -> Vec<&'static str> {
    let mut rules: Vec<_> = Checker::new().check(record).iter().map(|found| found.rule.name).collect();
    rules.sort_unstable();
    rules
}

fn fixes(repaired: &Repaired) -> Vec<(Fix, u64)> {
    repaired.fixes.iter().map(|(fix, count)| (*fix, *count)).collect()
}

/// The base record with one text put in the place of another.
fn edited(from: &str, to: &str) -> String {
    assert_eq!(BASE.matches(from).count(), 1, "{from}");
    BASE.replace(from, to)
}

/// A record written with exotic forms of its values, white space and escapes; what it says is the same.
fn respelt(value: &Value, inside_extensions: bool, dice: &mut Dice, out: &mut String) {
    let space = |dice: &mut Dice, out: &mut String| out.push_str(["", " ", "\n", "\r\n\t"][dice.next(4)]);
    space(dice, out);
    match value {
        Value::Object(members) => object(members, inside_extensions, dice, out),
        Value::Array(entries) => {
            out.push('[');
            for (place, entry) in entries.iter().enumerate() {
                out.push_str(if place > 0 { "," } else { "" });
                respelt(entry, inside_extensions, dice, out);
            }
            out.push(']');
        }
        Value::Number(number) if !inside_extensions => {
            let plain = number.to_string();
            match dice.next(6) {
                0 if !plain.contains('.') => out.extend([format!("{plain}.0")]),
                1 if plain.contains('.') => out.extend([format!("{plain}00")]),
                2 => out.extend([format!("{plain}e0")]),
                3 if plain == "0" => out.push_str("-0"),
                _ => out.push_str(&plain),
            }
        }
        other => out.push_str(&other.to_string()),
    }
    space(dice, out);
}

fn object(members: &Map<String, Value>, inside_extensions: bool, dice: &mut Dice, out: &mut String) {
    out.push('{');
    for (place, (name, value)) in members.iter().enumerate() {
        out.push_str(if place > 0 { "," } else { "" });
        if dice.one_in(5) && !inside_extensions {
            out.extend([format!("\"\\u{:04x}{}\":", u32::from(name.as_bytes()[0]), &name[1..])]);
        } else {
            out.extend([format!("\"{name}\":")]);
        }
        respelt(value, inside_extensions || name == "extensions", dice, out);
    }
    out.push('}');
}

/// The same with every number as a double, since `serde_json` tells 7 from 7.0.
fn as_doubles(value: &Value) -> Value {
    match value {
        Value::Array(entries) => entries.iter().map(as_doubles).collect(),
        Value::Object(members) => members.iter().map(|(name, value)| (name.clone(), as_doubles(value))).collect(),
        Value::Number(number) => Value::from(number.as_f64()),
        other => other.clone(),
    }
}

#[test]
fn exotic_forms_become_plain_ones_and_say_the_same() {
    let mut dice = Dice(7);
    for record in DEMO.lines().chain([BASE]) {
        let value: Value = serde_json::from_str(record).unwrap();
        for _ in 0..5 {
            let mut exotic = String::new();
            respelt(&value, false, &mut dice, &mut exotic);
            let done = repaired(exotic.as_bytes());
            let after = text(&done, exotic.as_bytes());
            // As `serde_json` reads them, the values are those of the record before it was respelt.
            assert!(as_doubles(&serde_json::from_slice(&after).unwrap()) == as_doubles(&value));
            assert_eq!(canonical::canonical(&after), canonical::canonical(record.as_bytes()));
            assert!(repaired(&after).text.is_none(), "repaired twice is repaired once");
            assert_eq!(done.left, []);
        }
    }
}

/// The lists in the order of time, and the field that has it.
const LISTS: [(&str, &str); 8] = [
    ("assessments", "on"),
    ("deliveries", "on"),
    ("wear_periods", "from"),
    ("wear_log", "on"),
    ("check_ins", "at"),
    ("attachment_events", "on"),
    ("appointments", "on"),
    ("comfort", "on"),
];

#[test]
fn lists_that_were_written_newest_first_are_put_in_order_again() {
    let mut turned = 0;
    for record in DEMO.lines().chain([BASE]) {
        let value: Value = serde_json::from_str(record).unwrap();
        for (name, field) in LISTS {
            let mut edited = value.clone();
            let Some(list) = edited.get_mut(name).and_then(Value::as_array_mut) else { continue };
            let strict = list.windows(2).all(|pair| pair[0][field].as_str() < pair[1][field].as_str());
            let count = list.len();
            list.reverse();
            let before = edited.to_string();
            let done = repaired(before.as_bytes());
            let after: Value = serde_json::from_slice(&text(&done, before.as_bytes())).unwrap();
            if strict && count >= 3 {
                turned += 1;
                assert!(after == value, "{name}");
                assert_eq!(fixes(&done), [(Fix::Order, 1)]);
            } else if done.text.is_some() {
                // Events of different attachments on one day mean the same in either order.
                let days = |value: &Value| {
                    value[name].as_array().unwrap().iter().map(|one| one[field].clone()).collect::<Vec<_>>()
                };
                assert_eq!((unordered(&after), days(&after)), (unordered(&value), days(&value)), "{name}");
            }
        }
    }
    assert!(turned > 20, "{turned} lists");
}

/// The record with each of its lists sorted by its text, so that only the order is not seen.
fn unordered(value: &Value) -> Value {
    match value {
        Value::Array(entries) => {
            let mut entries: Vec<Value> = entries.iter().map(unordered).collect();
            entries.sort_by_key(Value::to_string);
            Value::Array(entries)
        }
        Value::Object(members) => {
            Value::Object(members.iter().map(|(name, value)| (name.clone(), unordered(value))).collect())
        }
        other => other.clone(),
    }
}

/// Moves, swaps, turns and mistypes entries of lists.
fn disturbed(value: &Value, dice: &mut Dice) -> Value {
    let mut value = value.clone();
    for _ in 0..=dice.next(3) {
        let (name, field) = LISTS[dice.next(LISTS.len())];
        let Some(list) = value.get_mut(name).and_then(Value::as_array_mut).filter(|list| list.len() > 1) else {
            continue;
        };
        let (one, other) = (dice.next(list.len()), dice.next(list.len()));
        match dice.next(5) {
            0 => list.swap(one, other),
            1 => list.reverse(),
            2 => list.rotate_left(one),
            3 => {
                let entry = list.remove(one);
                list.insert(other, entry);
            }
            _ => {
                let date = list[one][field].as_str().unwrap().to_owned();
                let day = ["01", "12", "28"][dice.next(3)];
                list[one][field] = Value::from(format!("{}{day}{}", &date[..8], &date[10..]));
            }
        }
    }
    value
}

#[test]
fn disturbed_records_keep_every_value_and_gain_no_finding() {
    let mut dice = Dice(31);
    let mut moved = 0;
    for record in DEMO.lines().chain([BASE]) {
        let value: Value = serde_json::from_str(record).unwrap();
        for _ in 0..12 {
            let before = disturbed(&value, &mut dice).to_string();
            let done = repaired(before.as_bytes());
            let after = text(&done, before.as_bytes());
            let read = |text: &[u8]| serde_json::from_slice::<Value>(text).unwrap();
            assert_eq!(unordered(&read(before.as_bytes())), unordered(&read(&after)));
            assert!(done.fixes.keys().all(|fix| *fix == Fix::Order));
            let (found, left) = (rules(before.as_bytes()), rules(&after));
            for rule in &left {
                let count = |all: &[&str]| all.iter().filter(|name| *name == rule).count();
                assert!(count(&left) <= count(&found), "{rule} is new");
            }
            assert!(repaired(&after).text.is_none(), "repaired twice is repaired once");
            moved += u64::from(done.text.is_some());
        }
    }
    assert!(moved > 12, "{moved} records were fixes");
}

/// A mistyped date of one entry, with the rest of the record as it was: never moved.
#[test]
fn an_entry_whose_date_was_mistyped_stays_where_it_is() {
    let value: Value = serde_json::from_str(BASE).unwrap();
    let mut doubted = 0;
    for (name, field) in LISTS {
        for place in 0..value[name].as_array().map_or(0, Vec::len) {
            for day in (1..=28).step_by(3) {
                let mut edited = value.clone();
                let date = edited[name][place][field].as_str().unwrap().to_owned();
                let mistyped = format!("{}{day:02}{}", &date[..8], &date[10..]);
                edited[name][place][field] = Value::from(mistyped);
                let before = edited.to_string();
                let done = repaired(before.as_bytes());
                assert!(done.text.is_none(), "/{name}/{place}/{field} on day {day}");
                doubted += done.left.len();
            }
        }
    }
    assert!(doubted > 60, "{doubted} times the order was doubted");
}

#[test]
fn each_form_is_fixed_and_counted() {
    for (from, to, fix) in [
        ("\"change_interval_days\": 7", "\"change_interval_days\": 7.0", Fix::Number),
        ("\"change_interval_days\": 7", "\"change_interval_days\": \"7\"", Fix::Quotes),
        ("\"sensor\": true", "\"sensor\": \"true\"", Fix::Quotes),
        ("\"version\": \"1.0\"", "\"version\": 1.0", Fix::Quotes),
        ("\"state\": \"active\"", "\"state\": \"Active\"", Fix::Word),
        ("\"replaced_by_series\"", "\"Replaced-by series\"", Fix::Word),
        ("\"2031-05-10T18:00:00+02:00\"", "\"2031-05-10t18:00:00+02:00\"", Fix::Time),
        ("\"scanned_on\": \"2031-01-08\"", "\"scanned_on\": \"08.01.2031\"", Fix::Time),
        ("\"format\":", "\"form\\u0061t\":", Fix::Escape),
        ("\"state\": \"active\"", "\"state\": \"\\u0061ctive\"", Fix::Escape),
        ("\"pontics\": [12]", "\"pontics\": [\"12\"]", Fix::Quotes),
        ("\"scanned_on\": \"2031-01-08\"", "\"scanned_on\": \"2031-01-08T00:00:00\"", Fix::Time),
        ("\"pontics\": [12]", "\"pontics\": [\"UR2\"]", Fix::Notation),
        ("\"pontics\": [12]", "\"pontics\": [\"1-2\"]", Fix::Notation),
        ("\"reason\": \"patient_wish\"}", "\"reason\": \"patient_wish\", \"reason\": \"patient_wish\"}", Fix::Twice),
        ("\"change_interval_days\": 7,", "\"change_interval_days\": 7, \"change_interval_days\": 7,", Fix::Twice),
    ] {
        let before = edited(from, to);
        let done = repaired(before.as_bytes());
        assert_eq!(fixes(&done), [(fix, 1)], "{to}");
        assert_eq!(String::from_utf8(done.text.unwrap()).unwrap(), BASE, "{to}");
    }
}

#[test]
fn optional_fields_that_are_null_are_left_out_wherever_they_stand() {
    for (record, left) in [
        (r#"{"id": "a", "retention": null}"#, r#"{"id": "a"}"#),
        (r#"{"retention": null, "id": "a"}"#, r#"{"id": "a"}"#),
        (
            r#"{"id": "a", "retention": null, "comfort": null, "version": "1.0", "appointments": null, "deliveries": null}"#,
            r#"{"id": "a", "version": "1.0"}"#,
        ),
        (r#"{"retention": null, "comfort": null}"#, r"{}"),
        (r#"{"status": {"reason": null}, "comfort": null}"#, r#"{"status": {}}"#),
    ] {
        let done = repaired(record.as_bytes());
        assert_eq!(String::from_utf8(done.text.unwrap()).unwrap(), left);
    }
    // One that has to be there is no matter of form, and what others add is theirs.
    for record in [r#"{"id": null}"#, r#"{"extensions": {"org.example": {"a": null, "b": 1.0}}}"#, r#"{"wear": null}"#]
    {
        assert_eq!(repaired(record.as_bytes()).text, None, "{record}");
    }
}

#[test]
fn what_can_be_read_in_two_ways_is_left() {
    for (from, to) in [
        ("\"pontics\": [12]", "\"pontics\": [\"7\"]"),
        ("\"pontics\": [12]", "\"pontics\": [\"12\", 7]"),
        ("\"pontics\": [12]", "\"pontics\": [\"#12\"]"),
        ("\"scanned_on\": \"2031-01-08\"", "\"scanned_on\": \"2031-01-07T23:00:00\""),
        ("\"pontics\": [12]", "\"pontics\": [7]"),
        ("\"scanned_on\": \"2031-01-08\"", "\"scanned_on\": \"01/08/2031\""),
        ("\"change_interval_days\": 7", "\"change_interval_days\": \"a week\""),
        ("\"change_interval_days\": 7", "\"change_interval_days\": 7.5"),
        ("\"state\": \"active\"", "\"state\": \"activ\""),
        ("\"overjet_mm\": 3.5", "\"overjet_mm\": \"3,5\""),
        ("\"birth_year\": 2004", "\"birth_year\": null"),
        ("\"reason\": \"patient_wish\"}", "\"reason\": \"patient_wish\", \"reason\": \"health\"}"),
        ("\"scanned_on\": \"2031-01-08\"", "\"scanned_on\": \"2031-01-08\", \"scanned_on\": \"09.01.2031\""),
        ("\"scanned_on\": \"2031-01-08\"", "\"scanned_on\": \"09.01.2031\", \"scanned_on\": \"2031-01-08\""),
    ] {
        let before = edited(from, to);
        assert_ne!(rules(before.as_bytes()), Vec::<&str>::new(), "{to}");
        assert_eq!(repaired(before.as_bytes()).text, None, "{to}");
    }
}

#[test]
fn teeth_are_written_in_fdi_when_the_whole_record_is_in_another_notation() {
    let pages = include_str!("../../datasets/broken/other_notation.oar.json");
    let done = repaired(pages.as_bytes());
    let after: Value = serde_json::from_slice(&text(&done, pages.as_bytes())).unwrap();
    assert_eq!(after["dentition"]["absent"], serde_json::json!([18, 28, 38, 48]));
    // 4 to 13 are the upper teeth from one second premolar to the other, 20 to 29 the lower ones (Universal, by HL7).
    assert_eq!(moved(&after), [15, 14, 13, 12, 11, 21, 22, 23, 24, 25, 35, 34, 33, 32, 31, 41, 42, 43, 44, 45]);
    assert_eq!(rules(&text(&done, pages.as_bytes())), Vec::<&str>::new());
}

fn moved(record: &Value) -> Vec<u64> {
    let movements = record["series"][0]["movements"].as_array().unwrap();
    movements.iter().map(|one| one["tooth"].as_u64().unwrap()).collect()
}

/// A record with nothing but movements of these teeth.
fn with_teeth(absent: &Value, moved: &Value) -> Value {
    let mut record: Value =
        serde_json::from_str(include_str!("../../datasets/broken/other_notation.oar.json")).unwrap();
    record["dentition"] = serde_json::json!({ "absent": absent });
    let movement = |tooth: &Value| serde_json::json!({"tooth": tooth, "from_tray": 1, "to_tray": 6, "facial_mm": 0.6});
    record["series"][0]["movements"] = moved.as_array().unwrap().iter().map(movement).collect();
    record
}

#[test]
fn numbers_that_are_fdi_numbers_stay_when_others_are_quoted_or_mistyped() {
    use serde_json::json;
    for (absent, moved, finding) in [
        (json!([]), json!([11, 12, 13, 21, 22, 9]), "not_a_tooth"),
        (json!([]), json!([11, 12, 13, 21, 22, "9"]), "wrong_type"),
        (json!([1, 16]), json!([11, 12, 13, 21, 22, 23]), "not_a_tooth"),
        (json!([1]), json!([11, 12, 13, 21, 19, 9]), "not_a_tooth"),
        (json!([]), json!([1, 2, 3, 4]), "not_a_tooth"),
        (json!([16, 17, 32]), json!([11, 12, 13, 22, 23, 24, 25, 26, 27]), "other_notation"),
        (json!([1, 16]), json!(["13", 12, 11, 21, 22, 23, 33, 43]), "wrong_type"),
    ] {
        let record = with_teeth(&absent, &moved).to_string();
        assert!(rules(record.as_bytes()).contains(&finding), "{absent} {moved}: {:?}", rules(record.as_bytes()));
        assert_eq!(repaired(record.as_bytes()).text, None, "{absent} {moved}");
    }
    let record = with_teeth(&json!([]), &json!([11, 12, 13, 21, 22, "23"])).to_string();
    assert_eq!(rules(record.as_bytes()), ["wrong_type"]);
    let done = repaired(record.as_bytes());
    assert_eq!(fixes(&done), [(Fix::Quotes, 1)]);
    assert_eq!(moved(&serde_json::from_slice(&done.text.unwrap()).unwrap()), [11, 12, 13, 21, 22, 23]);
}

#[test]
fn why_the_teeth_are_left_is_said() {
    let left = |record: &str| repaired(record.as_bytes()).left.first().map_or("", |left| left.why);
    let absent = serde_json::json!([16, 17, 32]);
    let record = with_teeth(&absent, &serde_json::json!([11, 12, 13, 22, 23, 24, 25, 26, 27])).to_string();
    assert!(left(&record).ends_with("all or nearly all: convert them in the exporter"), "{}", left(&record));
    let other = include_str!("../../datasets/broken/other_notation.oar.json").replacen(
        "\"number\": 0",
        "\"number\": \"zero\"",
        1,
    );
    assert!(left(&other).starts_with("another error in the record hides what else is wrong"), "{}", left(&other));
}

#[test]
fn a_list_is_written_in_fdi_when_it_names_all_third_molars_of_another_notation() {
    let before = edited("[18, 28, 38, 48]", "[1, 16, 17, 32]");
    let done = repaired(before.as_bytes());
    assert_eq!(String::from_utf8(done.text.unwrap()).unwrap(), BASE);
    // One number that is none in FDI may be mistyped.
    for list in ["[1, 28]", "[1, 16]", "[1, 16, 17]", "[1, 16, 17, 17]", "[1, 16, 17, 32, 18]"] {
        assert_eq!(repaired(edited("[18, 28, 38, 48]", list).as_bytes()).text, None, "{list}");
    }
    // Where 16, 17 and 32 can be absent, only 1 is wrong.
    let absent = serde_json::json!([1, 16, 17, 32]);
    let record = with_teeth(&absent, &serde_json::json!([11, 12, 13, 21, 22, 23, 33, 43])).to_string();
    let done = repaired(record.as_bytes());
    assert_eq!(done.text, None);
    assert_eq!(done.left[0].why, "the list may be in another notation, or a number in it may be mistyped");
}

#[test]
fn no_record_of_the_datasets_changes_what_it_says() {
    let folder = concat!(env!("CARGO_MANIFEST_DIR"), "/datasets/broken");
    let mut changed = Vec::new();
    for entry in std::fs::read_dir(folder).unwrap().map(Result::unwrap) {
        let record = std::fs::read(entry.path()).unwrap();
        let done = repaired(&record);
        if let Some(after) = done.text {
            let name = entry.file_name().into_string().unwrap();
            assert!(repaired(&after).text.is_none(), "{name}: repaired twice is repaired once");
            changed.push(name.split('.').next().unwrap().to_owned());
        }
    }
    changed.sort();
    assert_eq!(changed, ["other_notation", "wrong_type"]);
}

#[test]
fn a_rule_that_is_off_still_says_that_a_repair_is_doubtful() {
    let mut record: Value =
        serde_json::from_str(include_str!("../../datasets/broken/other_notation.oar.json")).unwrap();
    let text = record.to_string();
    assert_eq!(fixes(&repaired(text.as_bytes())).first().map(|(fix, _)| *fix), Some(Fix::Notation));
    // Written in FDI, these two would be no neighbours.
    record["appointments"] = serde_json::json!([
        {"on": "2031-02-03", "reason": "review", "attended": true, "interproximal_reductions": [{"between": [3, 9], "amount_mm": 0.2}]},
    ]);
    let text = record.to_string();
    for rule in ["not_neighbours", "reductions"] {
        let mut settings = Settings::default();
        settings.everywhere.set_level(rule, Switch::Off).unwrap();
        let repaired = Repairer::with_settings(&settings).record(text.as_bytes());
        assert_eq!(fixes(&repaired), [], "{rule}");
        assert!(repaired.left[0].why.ends_with("they would contradict the record"), "{:?}", repaired.left);
    }
    let mut settings = Settings::default();
    settings.everywhere.set_level("other_notation", Switch::Off).unwrap();
    assert_eq!(Repairer::with_settings(&settings).record(text.as_bytes()).left, []);
}

#[test]
fn a_date_with_slashes_is_fixed_only_when_one_of_its_numbers_is_no_month() {
    for (written, is_fixed) in
        [("16/05/2031", true), ("05/16/2031", true), ("05/06/2031", false), ("16/17/2031", false)]
    {
        let mut record: Value = serde_json::from_str(BASE).unwrap();
        record["retention"] = serde_json::json!({"from": written, "wear_goal_minutes": 1320});
        let record = record.to_string();
        let fixes = text(&repaired(record.as_bytes()), record.as_bytes());
        let fixes: Value = serde_json::from_slice(&fixes).unwrap();
        let expected = if is_fixed { "2031-05-16" } else { written };
        assert_eq!(fixes["retention"]["from"], expected);
    }
}
