//! Privacy: values that could identify the patient. No text of the record is ever shown, only what it looks like.

mod extensions;
mod kinds;
mod names;
mod numbers;
mod scan;
mod words;

use oar_schema::rows::Str;

use super::table::rules;
use crate::check::case::state::is_very_old;
use crate::check::rules::prelude::*;

use extensions::each_telling;
use kinds::{Kinds, TextKind};
use scan::scan;

rules! { "privacy":
    Warning note_may_identify (check_ins, appointments, patient) needs ();
    Warning id_may_identify (id, patient) needs (id, patient.id, patient.birth_year);
    Warning extension_may_identify (extensions, series, check_ins, patient) needs ();
    Warning age_over_89 (patient, source, wear_periods, status) unless (dates, birth_year);
    Note synthetic_not_marked (id, source, patient) needs (id, patient.id, source.synthetic);
}

fn note_may_identify(case: &Case<'_>, found: &mut Found) {
    let mut look = |note: Option<Str>, list: &'static str, i: usize| {
        let kinds = note.map_or(Kinds::NONE, |note| scan(case.text(note), case.patient.birth_year, TextKind::Note));
        if !kinds.is_empty() {
            found.add(at![list, i, "note"], args!["what" = kinds.in_words()]);
        }
    };
    for (i, check_in) in case[case.check_ins].iter().enumerate() {
        look(check_in.note, "check_ins", i);
    }
    for (i, visit) in case[case.appointments].iter().enumerate() {
        look(visit.note, "appointments", i);
    }
}

/// One finding if both ids look alike: one of them is made from the other.
fn id_may_identify(case: &Case<'_>, found: &mut Found) {
    let look = |id: Str| {
        let text = case.text(id);
        scan(text, case.patient.birth_year, TextKind::Id).with(names::is_name(text))
    };
    let (record, patient) = (look(case.id), look(case.patient.id));
    if !patient.is_empty() {
        let stated = found.add(at!["patient", "id"], args!["of" = "patient", "what" = patient.in_words()]);
        if record == patient {
            stated.related(at!["id"]);
        }
    }
    if !record.is_empty() && record != patient {
        found.add(at!["id"], args!["of" = "record", "what" = record.in_words()]);
    }
}

fn extension_may_identify(case: &Case<'_>, found: &mut Found) {
    let mut look = |extensions: Option<Str>, path: &dyn Fn() -> Path| {
        let Some(extensions) = extensions else { return };
        each_telling(case.text(extensions), case.patient.birth_year, |kinds, way| {
            let path = path().into_iter().chain(way.into_iter().map(Into::into)).collect();
            found.add(path, args!["what" = kinds.in_words()]);
        });
    };
    look(case.extensions, &|| at!["extensions"]);
    for (i, series) in case[case.series].iter().enumerate() {
        look(series.extensions, &|| at!["series", i, "extensions"]);
    }
    for (i, check_in) in case[case.check_ins].iter().enumerate() {
        look(check_in.extensions, &|| at!["check_ins", i, "extensions"]);
    }
}

/// The year of the whole group is the year of birth of its youngest members. Synthetic patients, and years that are
/// more likely mistyped, are skipped.
fn age_over_89(case: &Case<'_>, found: &mut Found) {
    let year = case.today.civil().0;
    let group = i64::from(year) - case.limits.oldest_told_years - 1;
    if case.source.synthetic.is_none() && i64::from(case.patient.birth_year) < group && !is_very_old(case) {
        let args = args!["year" = year, "limit" = case.limits.oldest_told_years, "group" = group];
        found.add(at!["patient", "birth_year"], args);
    }
}

fn synthetic_not_marked(case: &Case<'_>, found: &mut Found) {
    if case.source.synthetic.is_some() {
        return;
    }
    let places: [(Str, &'static [&'static str]); 3] =
        [(case.id, &["id"]), (case.source.system, &["source", "system"]), (case.patient.id, &["patient", "id"])];
    let mut stated = None;
    for (text, way) in places {
        let Some(word) = names::made_up_word(case.text(text)) else { continue };
        let path = || way.iter().map(|name| (*name).into()).collect();
        match stated.take() {
            None => stated = Some(found.add(path(), args!["field" = way.join("/"), "word" = word])),
            Some(first) => stated = Some(first.related(path())),
        }
    }
}
