//! Rare but valid cases that a tester finds by name. They are searched among the patients of the recipe for rare cases, and the
//! smallest record with the wanted property is used.

use std::io;

use oar_schema::zones::Zone;
use serde_json::Value;

use super::builder::{Builder, accept_case};
use super::clean_records::{Clean, CleanRecords};
use super::edits::{self, is_day_of};
use super::manifest::{CaseKind, KitCase};

/// The number of patients that are searched.
const LOOKED_AT: u64 = 400;

/// How well a record shows a case, greater is better; none when it does not.
type Shows = fn(&Value) -> Option<i64>;

/// A wanted case: its name, what is special, and how well a record shows it.
struct Sought {
    name: &'static str,
    what: &'static str,
    shows: Shows,
}

macro_rules! sought {
    ($($name:ident: $what:literal, $shows:expr;)*) => {
        const SOUGHT: &[Sought] = &[$(Sought { name: stringify!($name), what: $what, shows: $shows },)*];
    };
}

sought! {
    leap_day: "an event on 29 February", |record| small(record, has_date(record, &|date| date.ends_with("-02-29")));
    clocks_forward: "a logged day of 23 hours", |record| small(record, logs_day_of(record, 1380));
    clocks_back: "a logged day of 25 hours", |record| small(record, logs_day_of(record, 1500));
    clocks_forward_half: "a logged day of 23.5 hours", |record| small(record, logs_day_of(record, 1410));
    clocks_back_half: "a logged day of 24.5 hours", |record| small(record, logs_day_of(record, 1470));
    offset_of_quarter_hours: "a time zone at UTC+05:45", |record| small(record, in_zone(record, "Asia/Kathmandu"));
    far_east: "a time zone at UTC+14", |record| small(record, in_zone(record, "Pacific/Kiritimati"));
    far_west: "a time zone at UTC-11", |record| small(record, in_zone(record, "Pacific/Pago_Pago"));
    change_at_midnight: "a time zone whose clocks change at midnight", |record| small(record, in_zone(record, "America/Havana"));
    upper_arch_only: "only the upper arch is treated", |record| small(record, treats(record, "upper", "lower"));
    lower_arch_only: "only the lower arch is treated", |record| small(record, treats(record, "lower", "upper"));
    primary_teeth: "primary teeth are present", |record| small(record, filled(record, "/dentition/primary"));
    agenesis: "permanent teeth other than third molars are absent", |record| small(record, lacks_teeth(record));
    implants: "a tooth is an implant", |record| small(record, filled(record, "/dentition/implants"));
    pontics: "a tooth is a pontic", |record| small(record, filled(record, "/dentition/pontics"));
    extraction: "a tooth is extracted during the treatment", |record| small(record, filled(record, "/dentition/extracted"));
    very_short: "the fewest trays found, all worn", |record| fewest_trays(record);
    very_long: "the most wear periods found", |record| Some(count(record, "/wear_periods"));
    many_refinements: "the most series found", |record| Some(count(record, "/series")).filter(|series| *series > 2);
    not_begun: "planned, no tray worn yet", |record| small(record, is_state(record, "planned"));
    paused: "wear is interrupted for a time", |record| small(record, is_state(record, "paused"));
    finished: "ended as planned", |record| small(record, is_state(record, "finished"));
    discontinued: "ended before the plan was completed", |record| small(record, is_state(record, "discontinued"));
    fixed: "continued with fixed appliances", |record| small(record, is_state(record, "fixed"));
    transferred: "continued at another clinic", |record| small(record, is_state(record, "transferred"));
    hold: "the current tray is held at a check-in", |record| small(record, holds_current(record));
    step_back: "an earlier tray went back in", |record| small(record, ended(record, "stepped_back"));
    tray_lost: "a tray was lost", |record| small(record, ended(record, "lost"));
    tray_broken: "a tray broke", |record| small(record, ended(record, "broken"));
    missed_visit: "a visit that was missed", |record| small(record, each(record, "/appointments").any(|visit| visit["attended"] == false));
    day_of_no_wear: "a logged day of 0 minutes", |record| small(record, each(record, "/wear_log").any(|day| day["minutes"] == 0));
    no_wear_log: "trays were worn and nothing was logged", |record| small(record, filled(record, "/wear_periods") && !filled(record, "/wear_log"));
    old_patient: "the earliest year of birth found", |record| record.pointer("/patient/birth_year")?.as_i64().map(|year| -year);
    young_patient: "the latest year of birth found", |record| record.pointer("/patient/birth_year")?.as_i64();
}

/// Adds the cases that are found, then those that are edited.
pub(super) fn add(builder: &mut Builder<'_>) -> io::Result<()> {
    let mut best: Vec<Option<(i64, Clean)>> = SOUGHT.iter().map(|_| None).collect();
    look(builder, CleanRecords::early("edge", builder.seed), LOOKED_AT / 8, &mut best);
    look(builder, CleanRecords::new(&["edge", "general"], builder.seed), LOOKED_AT, &mut best);
    for (sought, best) in SOUGHT.iter().zip(best) {
        if let Some((_, clean)) = best {
            let case = accept_case(CaseKind::Edge, sought.name, sought.what);
            builder.write(KitCase { derived: Some(clean.derived.clone()), ..case }, &clean.text)?;
            if sought.name == "clocks_back" {
                edits::longest_day(builder, &clean)?;
            }
        }
    }
    edits::add(builder)
}

/// Keeps those patients that show a case better than the best so far.
fn look(builder: &mut Builder<'_>, mut source: CleanRecords, patients: u64, best: &mut [Option<(i64, Clean)>]) {
    for _ in 0..patients {
        let Some(clean) = source.next(&mut builder.checker) else { continue };
        let Ok(tree) = serde_json::to_value(&clean.record) else { continue };
        for (sought, best) in SOUGHT.iter().zip(&mut *best) {
            let score = (sought.shows)(&tree);
            if score > best.as_ref().map(|(score, _)| *score) {
                *best = score.map(|score| (score, clean.clone()));
            }
        }
    }
}

/// The smaller the record, the better it shows what it has.
fn small(record: &Value, has: bool) -> Option<i64> {
    has.then(|| {
        -(["/wear_periods", "/wear_log", "/check_ins", "/series"].iter().map(|list| count(record, list)).sum::<i64>())
    })
}

fn each<'r>(record: &'r Value, list: &str) -> impl Iterator<Item = &'r Value> {
    record.pointer(list).and_then(Value::as_array).into_iter().flatten()
}

fn count(record: &Value, list: &str) -> i64 {
    each(record, list).count() as i64
}

fn filled(record: &Value, list: &str) -> bool {
    count(record, list) > 0
}

fn has_date(record: &Value, fits: &dyn Fn(&str) -> bool) -> bool {
    let fields = [("/wear_log", "on"), ("/wear_periods", "from"), ("/appointments", "on")];
    fields.iter().any(|(list, field)| each(record, list).any(|entry| entry[*field].as_str().is_some_and(fits)))
}

fn zone(record: &Value) -> Option<&str> {
    record.pointer("/patient/time_zone")?.as_str()
}

fn in_zone(record: &Value, name: &str) -> bool {
    zone(record) == Some(name) && filled(record, "/check_ins")
}

/// Whether a day of that many minutes is logged.
fn logs_day_of(record: &Value, minutes: i32) -> bool {
    let Some(zone) = zone(record).and_then(Zone::named) else { return false };
    each(record, "/wear_log").any(|entry| is_day_of(entry, &zone, minutes))
}

fn treats(record: &Value, one: &str, other: &str) -> bool {
    let mut series = each(record, "/series");
    filled(record, "/wear_periods") && series.all(|series| series["trays"][one] != 0 && series["trays"][other] == 0)
}

fn lacks_teeth(record: &Value) -> bool {
    each(record, "/dentition/absent").filter_map(Value::as_i64).any(|tooth| tooth % 10 < 7)
        && !filled(record, "/dentition/primary")
}

/// The fewer trays of a finished treatment, the better.
fn fewest_trays(record: &Value) -> Option<i64> {
    let trays = each(record, "/series").flat_map(|series| [&series["trays"]["upper"], &series["trays"]["lower"]]);
    let most: i64 = trays.filter_map(Value::as_i64).sum();
    is_state(record, "finished").then_some(-most)
}

fn is_state(record: &Value, state: &str) -> bool {
    record.pointer("/status/state").is_some_and(|is| is == state)
}

fn ended(record: &Value, how: &str) -> bool {
    each(record, "/wear_periods").any(|stretch| stretch["ended"] == how)
}

fn current(record: &Value) -> Option<&Value> {
    each(record, "/wear_periods").last().filter(|stretch| stretch.get("to").is_none())
}

fn holds_current(record: &Value) -> bool {
    current(record).is_some_and(|now| {
        each(record, "/check_ins").any(|check_in| {
            let same = check_in["series"] == now["series"] && check_in["tray"] == now["tray"];
            same && check_in["decision"]["kind"] == "hold"
        })
    })
}
