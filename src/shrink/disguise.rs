//! Identifiers, texts and whatever else a person could have typed: replaced by invented ones.

use std::collections::{BTreeMap, BTreeSet};

use oar_schema::describe::Type;

use super::trial::Trial;
use super::value::{Leaf, Value, is_word};
use crate::check::shape::told;

/// Replaces what could tell whose record it was.
pub(super) fn disguise(value: &mut Value, original: &Value, trial: &mut Trial<'_>) {
    let known = sensitive(original);
    ids(value, &known, trial);
    for leaf in value.leaves() {
        if is_sensitive(value, &leaf, &known) {
            leaf_of_its_own(value, &leaf, &known, trial);
        }
    }
    names(value, &mut Vec::new(), &known, trial);
}

/// Where something of the original stays, and that the finding needs it.
pub(super) fn leftovers(value: &Value, original: &Value) -> Vec<String> {
    let known = sensitive(original);
    let left = value.leaves().into_iter().filter(|leaf| is_sensitive(value, leaf, &known) && leaf.field != "time_zone");
    left.map(|leaf| format!("the text or number at {}, which the finding needs", shown(value, &leaf))).collect()
}

/// The way to a value, without names that a person could have typed.
fn shown(value: &Value, leaf: &Leaf) -> String {
    let pointer = value.pointer(&leaf.way);
    let steps = pointer.split('/').skip(1).map(|step| {
        let plain = step.bytes().all(|byte| byte.is_ascii_digit()) || told::name(step).is_some();
        if plain { step } else { "…" }
    });
    steps.fold(String::new(), |text, step| text + "/" + step)
}

/// Texts and numbers of a record that could tell something: all that are no words of the format.
fn sensitive(value: &Value) -> BTreeSet<String> {
    let leaves = value.leaves();
    leaves.iter().filter_map(|leaf| telling(value, leaf)).collect()
}

/// The text of a value, if it could tell something.
fn telling(value: &Value, leaf: &Leaf) -> Option<String> {
    match (value.get(&leaf.way)?, leaf.ty) {
        (Value::Text(text), Some(ty)) if is_word(ty, text) => None,
        (Value::Text(text), _) => Some(text.clone()),
        (Value::Number(_), Some(Type::Whole(_) | Type::Hundredths(_) | Type::Tooth | Type::Truth)) => None,
        (Value::Number(number), _) if number.len() > 1 => Some(number.clone()),
        _ => None,
    }
}

fn is_sensitive(value: &Value, leaf: &Leaf, known: &BTreeSet<String>) -> bool {
    telling(value, leaf).is_some_and(|text| known.contains(&text))
}

/// The letter of the invented identifiers of a field.
fn letter(leaf: &Leaf, value: &Value) -> char {
    let pointer = value.pointer(&leaf.way);
    match (leaf.field.as_str(), pointer.as_str()) {
        (_, "/id") => 'R',
        (_, "/patient/id") => 'P',
        ("system", _) => 'S',
        ("system_version", _) => 'V',
        ("id" | "attachment" | "attachments_debonded", _) => 'A',
        _ => 'N',
    }
}

/// Replaces all identifiers at once, each by the same one wherever it stands; one by one where that loses the finding.
fn ids(value: &mut Value, known: &BTreeSet<String>, trial: &mut Trial<'_>) {
    let leaves: Vec<Leaf> = value.leaves().into_iter().filter(|leaf| matches!(leaf.ty, Some(Type::Id))).collect();
    let mut invented: BTreeMap<(char, String), String> = BTreeMap::new();
    let mut counts: BTreeMap<char, usize> = BTreeMap::new();
    let mut changes: Vec<(Leaf, String)> = Vec::new();
    for leaf in leaves {
        let Some(Value::Text(text)) = value.get(&leaf.way) else { continue };
        if !oar_schema::record::Id::fits(text.as_bytes()) {
            continue;
        }
        let letter = letter(&leaf, value);
        let new = invented.entry((letter, text.clone())).or_insert_with(|| next(letter, &mut counts, known));
        changes.push((leaf, new.clone()));
    }
    if attempt(value, &changes, trial) {
        return;
    }
    for change in changes {
        attempt(value, &[change], trial);
    }
}

/// The next invented identifier that is none of the record's own.
fn next(letter: char, counts: &mut BTreeMap<char, usize>, known: &BTreeSet<String>) -> String {
    let count = counts.entry(letter).or_default();
    loop {
        *count += 1;
        let text = format!("{letter}{count}");
        if !known.contains(&text) {
            return text;
        }
    }
}

/// Puts texts in the place of values, if the finding stays.
fn attempt(value: &mut Value, changes: &[(Leaf, String)], trial: &mut Trial<'_>) -> bool {
    if trial.budget.is_spent() {
        return false;
    }
    let mut other = value.clone();
    for (leaf, text) in changes {
        if let Some(spot) = other.get_mut(&leaf.way) {
            *spot = Value::Text(text.clone());
        }
    }
    let pointer = trial.pointer.clone();
    let holds = trial.holds(&other, &pointer);
    if holds {
        *value = other;
    }
    holds
}

/// Replaces one value by the first of those that usually stand in such a place and give the finding.
fn leaf_of_its_own(value: &mut Value, leaf: &Leaf, known: &BTreeSet<String>, trial: &mut Trial<'_>) {
    let Some(now) = value.get(&leaf.way).cloned() else { return };
    for other in instead(&now, leaf.ty, super::clock::birth_year(value)) {
        let is_known = |text: &String| known.contains(text);
        if matches!(&other, Value::Text(text) | Value::Number(text) if is_known(text)) {
            continue;
        }
        let mut changed = value.clone();
        if let Some(spot) = changed.get_mut(&leaf.way) {
            *spot = other;
        }
        let pointer = trial.pointer.clone();
        if trial.holds(&changed, &pointer) {
            *value = changed;
            return;
        }
    }
}

/// What can stand in the place of a value, the plainest first.
fn instead(now: &Value, ty: Option<&'static Type>, born: Option<i32>) -> Vec<Value> {
    let texts: Vec<String> = match now {
        Value::Number(number) => {
            let numbers = [
                "0",
                "1",
                "-1",
                "1.5",
                "0.001",
                "100",
                "1990",
                "1991",
                "20010203",
                "1000000000",
                "1000000000000",
                "9007199254740993",
                "1e400",
            ];
            let masked = masked(number);
            return numbers.into_iter().map(str::to_owned).chain([masked]).map(Value::Number).collect();
        }
        Value::Text(text) => {
            let mut texts = usual(ty);
            texts.extend(["x", "", "x x", "x@x", ".x"].map(str::to_owned));
            texts.extend(telling_of_nobody(born));
            texts.push("x".repeat(text.chars().count()));
            texts.push(masked(text));
            texts
        }
        _ => Vec::new(),
    };
    texts.into_iter().map(Value::Text).collect()
}

/// Texts of the forms that tell who somebody is, and that tell of nobody: example.org is kept free by RFC 2606, the telephone
/// number is from a range that Ofcom keeps for fiction (from memory).
fn telling_of_nobody(born: Option<i32>) -> Vec<String> {
    let year = born.unwrap_or(1990);
    let texts = [
        "x-test",
        "test",
        "x@example.org",
        "https://example.org",
        "07700 900000",
        "07700-900000",
        "MRN 0000001",
        "MRN-0000001",
    ];
    let mut texts: Vec<String> = texts.map(str::to_owned).into();
    texts.extend(["12 Xx Lane", "Mrs Xx", "Xx-Xx", "xx.xx"].map(str::to_owned));
    texts.extend([
        format!("X-{year}0102"),
        format!("{year}-01-02"),
        format!("born {year}-01-02"),
        format!("2 January {year}"),
    ]);
    texts
}

/// Wrong texts that are often found in the place of a type.
fn usual(ty: Option<&'static Type>) -> Vec<String> {
    let texts: &[&str] = match ty {
        Some(Type::Date) => &[
            "2001-02-30",
            "2001-13-01",
            "2001/02/03",
            "01.02.2001",
            "02/03/2001",
            "2001-2-3",
            "2001-02-03T04:05:06",
            "0001-01-01",
            "2001",
        ],
        Some(Type::Instant) => &[
            "2001-02-03T04:05:06",
            "2001-02-03",
            "2001-02-03 04:05:06Z",
            "2001-02-30T04:05:06Z",
            "2001-02-03T23:59:60Z",
            "2001-02-03T25:00:00Z",
        ],
        Some(Type::TimeZone) => &["Europe/Viena", "europe/vienna", "Xx/Xxxx", "CEST", "+01:00"],
        Some(Type::Tooth) => &["UR1", "1.1", "#1", "A", "11", "1"],
        Some(Type::Whole(_) | Type::Hundredths(_)) => &["1", "1.5", "1,5", "20:00", "20 h", "1 mm", "2001-02-03"],
        Some(Type::Version) => &["2.0", "1.1", "1"],
        Some(Type::Word(vocabulary)) => return slips(vocabulary),
        _ => &[],
    };
    texts.iter().map(|text| (*text).to_owned()).collect()
}

/// The words of a vocabulary with a slip in each.
fn slips(vocabulary: &oar_schema::words::Vocabulary) -> Vec<String> {
    let words = || vocabulary.words.iter().map(|word| word.word);
    let shorter = words().map(|word| word[..word.len() - 1].to_owned());
    shorter.chain(words().map(str::to_uppercase)).collect()
}

/// The shape of a text: letters and digits without what they say.
fn masked(text: &str) -> String {
    let mask = |letter: char| match letter {
        _ if letter.is_ascii_uppercase() => 'X',
        _ if letter.is_ascii_digit() => '0',
        _ if letter.is_ascii() && !letter.is_ascii_alphabetic() => letter,
        _ if letter.is_alphabetic() || letter.is_ascii() => 'x',
        _ if letter.is_numeric() => '0',
        other => other,
    };
    text.chars().map(mask).collect()
}

/// Renames fields that the format does not have, unless their names are such as the checker tells.
fn names(value: &mut Value, way: &mut Vec<usize>, known: &BTreeSet<String>, trial: &mut Trial<'_>) {
    let count = value.get(way).map_or(0, Value::len);
    for place in 0..count {
        if let Some(Value::Object(members)) = value.get(way) {
            let name = members[place].0.clone();
            if told::name(&name).is_none() {
                rename(value, way, place, &name, known, trial);
            }
        }
        way.push(place);
        names(value, way, known, trial);
        way.pop();
    }
}

fn rename(value: &mut Value, way: &[usize], place: usize, name: &str, known: &BTreeSet<String>, trial: &mut Trial<'_>) {
    let before = value.pointer(&[way, &[place]].concat());
    for new in [format!("x{place}"), format!("org.example.x{place}"), masked(name)] {
        if new == name || known.contains(&new) || trial.budget.is_spent() {
            continue;
        }
        let mut changed = value.clone();
        if let Some(Value::Object(members)) = changed.get_mut(way) {
            members[place].0 = new;
        }
        let after = changed.pointer(&[way, &[place]].concat());
        let pointer = match trial.pointer.strip_prefix(&before) {
            Some(rest) if rest.is_empty() || rest.starts_with('/') => format!("{after}{rest}"),
            _ => trial.pointer.clone(),
        };
        if trial.holds(&changed, &pointer) {
            *value = changed;
            return;
        }
    }
}
