//! Trays, refinements, months, and the ends of treatments.

use oar_schema::record::State;

use super::Measure;
use crate::realism::patient::{Patient, longer, months};
use crate::realism::seen::{Seen, plain};
use crate::statistics::Outcome;

pub(super) const MEASURES: &[Measure] = &[
    Measure {
        name: "refined",
        unit: "%",
        definition: "completed treatments (finished or converted) with at least one refinement series; also by minimum number",
        observe: refined,
    },
    Measure {
        name: "refinements",
        unit: "series",
        definition: "refinement series of completed treatments",
        observe: refinements,
    },
    Measure {
        name: "converted",
        unit: "%",
        definition: "completed treatments that were converted to fixed appliances",
        observe: converted,
    },
    Measure {
        name: "months",
        unit: "months",
        definition: "months of 30.44 days from the first tray to the end of completed treatments",
        observe: duration,
    },
    Measure {
        name: "months_over",
        unit: "months",
        definition: "months of completed treatments minus the planned length of the first series: trays of the longer arch times days per tray",
        observe: months_over,
    },
    Measure {
        name: "trays_in_all",
        unit: "trays",
        definition: "planned trays of completed treatments in all series; for each series, those of the longer arch",
        observe: trays_in_all,
    },
    Measure {
        name: "trays_per_arch",
        unit: "trays",
        definition: "planned trays of each treated arch of completed treatments: of the first series, also by arch; or of all refinements combined",
        observe: trays_per_arch,
    },
    Measure {
        name: "refinement_trays",
        unit: "%",
        definition: "trays of refinements as a share of all planned trays per arch, in completed treatments",
        observe: refinement_trays,
    },
    Measure {
        name: "days_a_tray",
        unit: "days",
        definition: "total days of completed treatments divided by their total planned trays",
        observe: days_a_tray,
    },
    Measure {
        name: "first_series_worn_through",
        unit: "%",
        definition: "treatments in which the last tray of the first series was worn, among those whose first series is over",
        observe: first_series_worn_through,
    },
    Measure {
        name: "to_first_refinement",
        unit: "days",
        definition: "days from the first tray to the scan for the first refinement, or to its first tray. An earlier end of treatment is a competing event; the export censors",
        observe: to_first_refinement,
    },
    Measure {
        name: "to_finish",
        unit: "days",
        definition: "days from the first tray to the finish. Conversion, discontinuation and transfer are competing events; the export censors",
        observe: to_finish,
    },
];

fn refined(patient: &Patient<'_>, seen: &mut Seen) {
    if patient.is_completed() {
        let count = patient.refinements().count();
        seen.share(["refined", "once", ""], count >= 1);
        seen.share(["refined", "twice", ""], count >= 2);
        seen.share(["refined", "never", ""], count == 0);
    }
}

fn refinements(patient: &Patient<'_>, seen: &mut Seen) {
    if patient.is_completed() {
        seen.value(plain("refinements"), 100 * patient.refinements().count() as i64);
    }
}

fn converted(patient: &Patient<'_>, seen: &mut Seen) {
    if patient.is_completed() {
        seen.share(plain("converted"), patient.record.status.state == State::Fixed);
    }
}

fn duration(patient: &Patient<'_>, seen: &mut Seen) {
    if patient.is_completed() {
        seen.value(plain("months"), months(patient.days()));
    }
}

fn months_over(patient: &Patient<'_>, seen: &mut Seen) {
    if let Some(series) = patient.first_series().filter(|_| patient.is_completed()) {
        let planned = longer(series) * patient.record.prescription.change_interval_days;
        seen.value(plain("months_over"), months(patient.days()) - months(planned));
    }
}

fn trays(patient: &Patient<'_>) -> i64 {
    patient.record.series.iter().map(|series| i64::from(longer(series))).sum()
}

fn trays_in_all(patient: &Patient<'_>, seen: &mut Seen) {
    if patient.is_completed() {
        seen.value(plain("trays_in_all"), 100 * trays(patient));
    }
}

/// For each treated arch: its name, trays of the first series, trays of all refinements.
fn arches(patient: &Patient<'_>) -> Vec<(&'static str, i64, i64)> {
    let Some(first) = patient.first_series().filter(|_| patient.is_completed()) else { return Vec::new() };
    let upper = patient.refinements().map(|series| i64::from(series.trays.upper)).sum();
    let lower = patient.refinements().map(|series| i64::from(series.trays.lower)).sum();
    let arches = [("upper", i64::from(first.trays.upper), upper), ("lower", i64::from(first.trays.lower), lower)];
    arches.into_iter().filter(|(_, first, later)| first + later > 0).collect()
}

fn trays_per_arch(patient: &Patient<'_>, seen: &mut Seen) {
    for (arch, first, later) in arches(patient) {
        seen.value(["trays_per_arch", "first", ""], 100 * first);
        seen.value(["trays_per_arch", "first", arch], 100 * first);
        seen.value(["trays_per_arch", "refinements", ""], 100 * later);
    }
}

fn refinement_trays(patient: &Patient<'_>, seen: &mut Seen) {
    for (_, first, later) in arches(patient) {
        seen.pool(plain("refinement_trays"), later, first + later);
    }
}

fn days_a_tray(patient: &Patient<'_>, seen: &mut Seen) {
    if patient.is_completed() && trays(patient) > 0 {
        seen.pool(plain("days_a_tray"), i64::from(patient.days()), trays(patient));
    }
}

fn first_series_worn_through(patient: &Patient<'_>, seen: &mut Seen) {
    let Some(first) = patient.first_series() else { return };
    if (patient.is_ended() || patient.refinements().next().is_some()) && patient.worn(0).next().is_some() {
        let last = patient.worn(0).map(|worn| worn.tray).max();
        seen.share(plain("first_series_worn_through"), last >= Some(longer(first)));
    }
}

fn to_first_refinement(patient: &Patient<'_>, seen: &mut Seen) {
    if patient.record.wear_periods.is_empty() {
        return;
    }
    let first_tray = patient.worn(1).map(|worn| worn.from).next();
    let scan = patient.refinements().next().and_then(|series| series.scanned_on.or(first_tray));
    let (day, outcome) = match scan {
        Some(day) => (day, Outcome::Event),
        None if patient.is_ended() => (patient.until, Outcome::Other),
        None => (patient.until, Outcome::Cut),
    };
    seen.time(plain("to_first_refinement"), day.days_since(patient.start), outcome);
}

fn to_finish(patient: &Patient<'_>, seen: &mut Seen) {
    if patient.record.wear_periods.is_empty() {
        return;
    }
    let outcome = match patient.record.status.state {
        State::Finished => Outcome::Event,
        _ if patient.is_ended() => Outcome::Other,
        _ => Outcome::Cut,
    };
    seen.time(plain("to_finish"), patient.days(), outcome);
}
