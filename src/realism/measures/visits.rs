//! Visits attended and missed, and lagging teeth at holds.

use oar_schema::record::{Appointment, AppointmentReason, DecisionKind};
use oar_schema::teeth::Tooth;

use super::Measure;
use super::teeth::kind_name;
use crate::realism::patient::Patient;
use crate::realism::seen::{Seen, plain};

/// The fit gap from which a tooth counts as lagging here, in hundredths of a millimetre (common practice, no source).
const LAGS: i32 = 50;

pub(super) const MEASURES: &[Measure] = &[
    Measure {
        name: "visits",
        unit: "visits",
        definition: "visits attended from the first tray to the end of completed treatments, for any reason except retention",
        observe: visits,
    },
    Measure {
        name: "urgent_visits",
        unit: "visits",
        definition: "urgent visits attended in completed treatments",
        observe: urgent_visits,
    },
    Measure {
        name: "no_show",
        unit: "%",
        definition: "missed appointments as a share of all; also by reason",
        observe: no_show,
    },
    Measure {
        name: "never_missed",
        unit: "%",
        definition: "patients who missed no appointment, among those with three or more",
        observe: never_missed,
    },
    Measure {
        name: "between_visits",
        unit: "days",
        definition: "days from one attended visit to the next during treatment",
        observe: between_visits,
    },
    Measure {
        name: "lags_at_hold",
        unit: "%",
        definition: "check-ins that decided on a hold or a step back and found a fit gap of 0.5 mm or more at a tooth of that kind",
        observe: lags_at_hold,
    },
];

fn during<'r>(patient: &Patient<'r>) -> Option<impl Iterator<Item = &'r Appointment> + use<'r>> {
    let (from, to) = (patient.start, patient.until);
    let visits = patient.record.appointments.as_ref()?.iter();
    Some(visits.filter(move |visit| visit.on >= from && visit.on <= to && visit.reason != AppointmentReason::Retention))
}

fn visits(patient: &Patient<'_>, seen: &mut Seen) {
    if let Some(visits) = during(patient).filter(|_| patient.is_completed()) {
        seen.value(plain("visits"), 100 * visits.filter(|visit| visit.attended).count() as i64);
    }
}

fn urgent_visits(patient: &Patient<'_>, seen: &mut Seen) {
    if let Some(visits) = during(patient).filter(|_| patient.is_completed()) {
        let urgent = visits.filter(|visit| visit.attended && visit.reason == AppointmentReason::Urgent);
        seen.value(plain("urgent_visits"), 100 * urgent.count() as i64);
    }
}

fn no_show(patient: &Patient<'_>, seen: &mut Seen) {
    for visit in patient.record.appointments.iter().flatten() {
        seen.count(plain("no_show"), !visit.attended);
        if visit.reason == AppointmentReason::Bonding {
            seen.count(["no_show", "bonding", ""], !visit.attended);
        }
    }
}

fn never_missed(patient: &Patient<'_>, seen: &mut Seen) {
    if let Some(visits) = patient.record.appointments.as_ref().filter(|visits| visits.len() >= 3) {
        seen.share(plain("never_missed"), visits.iter().all(|visit| visit.attended));
    }
}

fn between_visits(patient: &Patient<'_>, seen: &mut Seen) {
    let days: Vec<_> =
        during(patient).into_iter().flatten().filter(|visit| visit.attended).map(|visit| visit.on).collect();
    for pair in days.windows(2).filter(|pair| pair[1] > pair[0]) {
        seen.value(plain("between_visits"), 100 * i64::from(pair[1].days_since(pair[0])));
    }
}

fn lags_at_hold(patient: &Patient<'_>, seen: &mut Seen) {
    for check_in in patient.record.check_ins.iter().flatten() {
        let Some(gaps) = &check_in.fit_gaps else { continue };
        if !matches!(check_in.decision.kind, DecisionKind::Hold | DecisionKind::StepBack) {
            continue;
        }
        let lagging: Vec<_> =
            gaps.iter().filter(|gap| gap.gap_mm.0 >= LAGS).filter_map(|gap| kind_name(gap.tooth)).collect();
        let mut kinds: Vec<_> = Tooth::all().filter_map(kind_name).collect();
        kinds.sort_unstable();
        kinds.dedup();
        for kind in kinds {
            seen.count(["lags_at_hold", kind, ""], lagging.contains(&kind));
        }
    }
}
