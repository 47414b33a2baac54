//! Mistakes that only several records together show: a record is added beside the one that is there.

use oar_schema::record::{Sex, State};
use oar_schema::time::Instant;
use serde_json::{Value, json};

use super::{Draft, FaultLocation, makers};
use crate::random::RandomStream;

makers! { "cohort":
    Many record_id_repeated;
    Many same_record_twice;
    Many record_exported_again;
    Many export_order_odd;
    Many patient_contradicts;
    Many patients_overlap;
    Many same_log_in_two_patients;
    Many mixed_versions;
}

/// What comes with wear and is left out of a plan that has not begun.
const OF_WEAR: [&str; 8] =
    ["deliveries", "wear_log", "check_ins", "attachment_events", "appointments", "comfort", "retention", "assessments"];

/// An export on the same day, so many minutes later or earlier.
fn minutes_later(draft: &Draft<'_>, minutes: i32) -> Option<String> {
    let exported = draft.clean.source.exported_at;
    let later = Instant { seconds: exported.seconds + i64::from(minutes) * 60, ..exported };
    (later.written_date() == exported.written_date()).then(|| later.to_string())
}

/// Writes a value into a tree.
fn put(tree: &mut Value, pointer: &str, value: impl Into<Value>) -> Option<()> {
    *tree.pointer_mut(pointer)? = value.into();
    Some(())
}

/// The tree of the draft, exported up to five hours later on the same day.
fn exported_later(draft: &Draft<'_>, stream: &mut RandomStream) -> Option<Value> {
    let mut tree = draft.tree.clone();
    put(&mut tree, "/source/exported_at", minutes_later(draft, stream.whole(1, 300))?)?;
    Some(tree)
}

/// An id that no patient of the cohort has: that of the draft with a letter more.
fn other_id(id: &str, letter: char) -> String {
    format!("{id}{letter}")
}

/// The first plan alone, as a treatment that has not begun, under an id of its own.
fn not_begun(draft: &Draft<'_>, mut tree: Value, letter: char) -> Option<Value> {
    for list in OF_WEAR {
        tree.as_object_mut()?.shift_remove(list);
    }
    put(&mut tree, "/id", other_id(&draft.clean.id.0, letter))?;
    put(&mut tree, "/wear_periods", json!([]))?;
    let ordered = draft.clean.series.first().and_then(|series| series.ordered_on.or(series.scanned_on))?;
    let years = draft.limits.dates_apart_years as i32 - 1;
    let since = ordered.max(draft.today().plus_days(-365 * years));
    // Those whose age would tell something else years later are left alone.
    let (later, born) = (since.civil().0, draft.clean.patient.birth_year);
    let has_primary = draft.clean.dentition.primary.as_ref().is_some_and(|teeth| !teeth.is_empty());
    if later > ordered.civil().0 && (has_primary || later - born > 85) {
        return None;
    }
    put(&mut tree, "/status", json!({"state": State::Planned.as_str(), "since": since.to_string()}))?;
    let series = tree.get_mut("series")?.as_array_mut()?;
    series.truncate(1);
    series.first_mut().and_then(Value::as_object_mut).map(|series| series.shift_remove("achieved"));
    Some(tree)
}

/// Counting began anew: another patient's record got an id that was given before.
fn record_id_repeated(draft: &mut Draft<'_>, stream: &mut RandomStream) -> Option<FaultLocation> {
    let mut other = exported_later(draft, stream)?;
    put(&mut other, "/patient/id", other_id(&draft.clean.patient.id.0, 'B'))?;
    if stream.chance(0.5) {
        other = not_begun(draft, other, 'B')?;
        put(&mut other, "/id", draft.clean.id.0.clone())?;
    }
    let number = draft.add_beside(other);
    Some(FaultLocation::beside(number, "/id", &[(0, "/id")]))
}

/// A file that was copied, once or several times, as it is or with its names in another order.
fn same_record_twice(draft: &mut Draft<'_>, stream: &mut RandomStream) -> Option<FaultLocation> {
    let mut copy = draft.tree.clone();
    if stream.chance(0.3) {
        copy.as_object_mut()?.sort_keys();
    }
    for _ in 0..stream.whole(1, 3) {
        draft.add_beside(copy.clone());
    }
    Some(FaultLocation::beside(1, "", &[(0, "")]))
}

/// The export ran twice on one day, and both went into the folder.
fn record_exported_again(draft: &mut Draft<'_>, stream: &mut RandomStream) -> Option<FaultLocation> {
    let again = exported_later(draft, stream)?;
    let number = draft.add_beside(again);
    Some(FaultLocation::beside(number, "/source/exported_at", &[(0, "/source/exported_at")]))
}

/// The day of an entry of a list that loses its end, and the list.
const TAILS: [(&str, &str); 4] = [("appointments", "on"), ("wear_log", "on"), ("comfort", "on"), ("check_ins", "at")];

/// The last day that a record tells of, as text; the end of the retention is a plan.
fn last_day(tree: &Value) -> Option<String> {
    let mut last = String::new();
    collect_days(tree, &mut |name, day| {
        if name != "until" && name != "exported_at" && last.as_str() < day {
            day.clone_into(&mut last);
        }
    });
    (!last.is_empty()).then_some(last)
}

/// Tells every date within a tree, with the name of its field.
fn collect_days(tree: &Value, tell: &mut impl FnMut(&str, &str)) {
    match tree {
        Value::Array(entries) => entries.iter().for_each(|entry| collect_days(entry, tell)),
        Value::Object(members) => {
            for (name, value) in members {
                match value.as_str().and_then(|text| text.get(..10)) {
                    Some(day) if oar_schema::time::Date::parse(day.as_bytes()).is_some() => tell(name, day),
                    _ => collect_days(value, tell),
                }
            }
        }
        _ => {}
    }
}

/// Takes off the last day of which a record tells; none when more than the ends of lists tells of it.
fn without_last_day(tree: &Value) -> Option<Value> {
    let (mut tree, day) = (tree.clone(), last_day(tree)?);
    for (list, field) in TAILS {
        let Some(entries) = tree.get_mut(list).and_then(Value::as_array_mut) else { continue };
        let of_day = |entry: &Value| entry[field].as_str().is_some_and(|at| at.starts_with(&day));
        while entries.last().is_some_and(of_day) {
            entries.pop();
        }
    }
    (last_day(&tree)? < day).then_some(tree)
}

/// A copy that was restored and lacks the last days, exported after the full record.
fn export_order_odd(draft: &mut Draft<'_>, stream: &mut RandomStream) -> Option<FaultLocation> {
    let mut restored = without_last_day(&exported_later(draft, stream)?)?;
    for _ in 0..stream.whole(0, 3) {
        restored = without_last_day(&restored).unwrap_or(restored);
    }
    let number = draft.add_beside(restored);
    Some(FaultLocation::beside(number, "/source/exported_at", &[(0, "/source/exported_at")]))
}

/// A second plan of the patient, entered anew with a slip: the sex, or the year of birth.
fn patient_contradicts(draft: &mut Draft<'_>, stream: &mut RandomStream) -> Option<FaultLocation> {
    let mut second = exported_later(draft, stream)?;
    let patient = &draft.clean.patient;
    let age = draft.today().civil().0 - patient.birth_year;
    let other = match patient.sex {
        Some(Sex::Female) => Some(Sex::Male),
        Some(Sex::Male) => Some(Sex::Female),
        _ => None,
    };
    let pointer = match other {
        Some(other) if !(30..70).contains(&age) || stream.chance(0.4) => {
            put(&mut second, "/patient/sex", other.as_str())?;
            "/patient/sex"
        }
        _ if (30..70).contains(&age) => {
            let years = *stream.one_of(&[-9, -3, -1, 1, 2, 9])?;
            put(&mut second, "/patient/birth_year", patient.birth_year + years)?;
            "/patient/birth_year"
        }
        _ => return None,
    };
    let second = not_begun(draft, second, 'B')?;
    let number = draft.add_beside(second);
    Some(FaultLocation::beside(number, pointer, &[(0, pointer)]))
}

/// One treatment that two people entered, each under an id of its own.
fn patients_overlap(draft: &mut Draft<'_>, stream: &mut RandomStream) -> Option<FaultLocation> {
    let worn = &draft.clean.wear_periods;
    if worn.iter().filter_map(|worn| worn.to).max() <= worn.first().map(|worn| worn.from) {
        return None;
    }
    let mut second = exported_later(draft, stream)?;
    put(&mut second, "/id", other_id(&draft.clean.id.0, 'B'))?;
    if stream.chance(0.5) {
        second.as_object_mut()?.shift_remove("comfort");
    }
    let number = draft.add_beside(second);
    Some(FaultLocation::beside(number, "/wear_periods/0/from", &[(0, "/wear_periods/0/from")]))
}

/// The log of a sensor or an app that was imported into another patient's record as well.
fn same_log_in_two_patients(draft: &mut Draft<'_>, stream: &mut RandomStream) -> Option<FaultLocation> {
    let log = draft.clean.wear_log.as_ref()?;
    let differing = log.windows(2).filter(|pair| pair[0].minutes != pair[1].minutes).count() as i64 + 1;
    if differing < draft.limits.same_log_days {
        return None;
    }
    let mut other = exported_later(draft, stream)?;
    put(&mut other, "/id", other_id(&draft.clean.id.0, 'B'))?;
    put(&mut other, "/patient/id", other_id(&draft.clean.patient.id.0, 'B'))?;
    other.as_object_mut()?.shift_remove("comfort");
    let number = draft.add_beside(other);
    Some(FaultLocation::beside(number, "/wear_log", &[(0, "/wear_log")]))
}

/// Two computers of a site, of which one was not updated: they write in turns.
fn mixed_versions(draft: &mut Draft<'_>, stream: &mut RandomStream) -> Option<FaultLocation> {
    let (old, new) = (draft.clean.source.system_version.as_ref()?.0.clone(), format!("0.{}.0", stream.whole(2, 9)));
    let site = format!("{}-{}", draft.clean.source.system.0, draft.clean.id.0.to_ascii_lowercase());
    let of_site = |minutes: i32, version: &str, letter: char| {
        let mut tree = draft.tree.clone();
        put(&mut tree, "/source/exported_at", minutes_later(draft, minutes)?)?;
        put(&mut tree, "/source/system", site.clone())?;
        put(&mut tree, "/source/system_version", version.to_owned())?;
        put(&mut tree, "/patient/id", other_id(&draft.clean.patient.id.0, letter))?;
        not_begun(draft, tree, letter)
    };
    let first = stream.whole(1, 90);
    let (one, two) = if stream.chance(0.5) {
        (of_site(first, &new, 'B')?, of_site(first + stream.whole(1, 90), &old, 'C')?)
    } else {
        (of_site(-first, &new, 'B')?, of_site(first, &new, 'C')?)
    };
    let between = one.pointer("/source/system_version") != two.pointer("/source/system_version");
    draft.set("/source/system", site)?;
    let (one, two) = (draft.add_beside(one), draft.add_beside(two));
    // Old, new, old: told of the new one; new, old, new: told of the old one, the draft.
    let (at, other) = if between { (one, two) } else { (0, two) };
    Some(FaultLocation::beside(at, "/source/system_version", &[(other, "/source/system_version")]))
}
