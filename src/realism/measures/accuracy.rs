//! How much of the planned movement teeth achieved.

use oar_schema::number::Hundredths;
use oar_schema::record::{AchievedMovement, Movement, Series};
use oar_schema::teeth::{Arch, Tooth, ToothKind};

use super::Measure;
use super::teeth::kind_name;
use crate::realism::patient::Patient;
use crate::realism::seen::{Seen, plain};

/// A planned movement smaller than this is within the error of measurement: 0.2 mm or 2 degrees (assumption).
const LEAST: i64 = 20;
const LEAST_DEG: i64 = 200;

pub(super) const MEASURES: &[Measure] = &[
    Measure {
        name: "accuracy",
        unit: "%",
        definition: "100 minus the difference between achieved and planned in percent of planned, for each tooth movement in the first series that was planned to be at least 0.2 mm or 2 degrees. Planned is the amount due by the end of the highest tray put in before the measurement. A movement that is too large counts like one that is too small",
        observe: accuracy,
    },
    Measure {
        name: "reached",
        unit: "%",
        definition: "movement achieved in the planned direction as a share of planned (as for accuracy); both are summed over the movements of the first series that were planned to be at least 0.2 mm or 2 degrees",
        observe: reached,
    },
    Measure {
        name: "short_by",
        unit: "mm or degrees",
        definition: "planned minus achieved in the planned direction, for each such movement of patients with a refinement, by kind of tooth",
        observe: short_by,
    },
    Measure {
        name: "missed_by",
        unit: "mm or degrees",
        definition: "difference between achieved and planned without its sign, for each such movement",
        observe: missed_by,
    },
    Measure {
        name: "lacking_angle",
        unit: "degrees",
        definition: "regression line of planned minus achieved on planned degrees, for rotation, tip and torque in the first series",
        observe: lacking_angle,
    },
];

/// One tooth along one axis: planned and achieved, in hundredths, with the signs set so that planned is positive.
struct Moved {
    tooth: Tooth,
    axis: &'static str,
    planned: i64,
    achieved: i64,
}

/// The axes: the names of the positive and the negative direction, and whether the unit is degrees.
type Axis = (
    &'static str,
    &'static str,
    bool,
    fn(&Movement) -> Option<Hundredths>,
    fn(&AchievedMovement) -> Option<Hundredths>,
);

const AXES: &[Axis] = &[
    ("mesial", "distal", false, |plan| plan.mesial_mm, |done| done.mesial_mm),
    ("expansion", "constriction", false, |plan| plan.facial_mm, |done| done.facial_mm),
    ("extrusion", "intrusion", false, |plan| plan.occlusal_mm, |done| done.occlusal_mm),
    ("rotation", "rotation", true, |plan| plan.rotation_deg, |done| done.rotation_deg),
    ("tip", "tip", true, |plan| plan.tip_deg, |done| done.tip_deg),
    ("facial_torque", "lingual_torque", true, |plan| plan.torque_deg, |done| done.torque_deg),
];

/// The part of a segment that is due by the end of that tray.
fn part_done(plan: &Movement, whole: Hundredths, trays_done: i32) -> f64 {
    let trays = plan.to_tray - plan.from_tray + 1;
    let done = (trays_done.min(plan.to_tray) - plan.from_tray + 1).clamp(0, trays.max(1));
    f64::from(whole.0) * f64::from(done) / f64::from(trays.max(1))
}

/// Every movement of the first series for which planned and achieved are known and planned is large enough.
fn moved(patient: &Patient<'_>) -> Vec<Moved> {
    let Some(series) = patient.first_series() else { return Vec::new() };
    let Some(achieved) = &series.achieved else { return Vec::new() };
    let trays_done = patient.tray_by(0, achieved.on);
    let each = achieved.movements.iter().flat_map(|done| AXES.iter().map(move |axis| (done, axis)));
    each.filter_map(|(done, axis)| one(series, trays_done, done, axis)).collect()
}

fn one(series: &Series, trays_done: i32, done: &AchievedMovement, axis: &Axis) -> Option<Moved> {
    let (positive, negative, degrees, planned_of, achieved_of) = *axis;
    let achieved = i64::from(achieved_of(done)?.0);
    let segments = series.movements.iter().filter(|plan| plan.tooth == done.tooth);
    let planned: f64 =
        segments.filter_map(|plan| planned_of(plan).map(|whole| part_done(plan, whole, trays_done))).sum();
    let planned = planned.round() as i64;
    let least = if degrees { LEAST_DEG } else { LEAST };
    let (axis, sign) = if planned > 0 { (positive, 1) } else { (negative, -1) };
    let moved = Moved { tooth: done.tooth, axis, planned: planned.abs(), achieved: achieved * sign };
    (moved.planned >= least && !done.tooth.is_primary()).then_some(moved)
}

/// The groups of teeth that a tooth is in, narrowest first.
fn teeth(tooth: Tooth) -> Vec<&'static str> {
    let kind = tooth.kind();
    let mut groups = vec![""];
    groups.extend(kind_name(tooth));
    if kind.is_anterior() {
        groups.push("front");
    }
    groups.extend(match (kind, tooth.arch()) {
        (kind, Arch::Upper) if kind.is_incisor() => Some("upper_incisor"),
        (kind, Arch::Lower) if kind.is_incisor() => Some("lower_incisor"),
        (kind, Arch::Upper) if kind.is_premolar() => Some("upper_premolar"),
        (kind, Arch::Lower) if kind.is_premolar() => Some("lower_premolar"),
        (kind, Arch::Upper) if kind.is_molar() => Some("upper_molar"),
        (kind, Arch::Lower) if kind.is_molar() => Some("lower_molar"),
        _ => None,
    });
    groups.extend(kind.is_incisor().then_some("incisor"));
    groups.extend(kind.is_canine().then_some("canine"));
    groups.extend(kind.is_premolar().then_some("premolar"));
    groups.extend((!kind.is_incisor() && kind != ToothKind::ThirdMolar).then_some("canine_to_molar"));
    groups
}

/// The axes under which a movement is counted: its own, and a separate one for large movements.
fn axes(moved: &Moved) -> Vec<&'static str> {
    let mut axes = vec![moved.axis];
    if moved.axis.ends_with("torque") {
        axes.push("torque");
        axes.extend((moved.planned > 1000).then_some("torque_over_10_deg"));
    }
    axes.extend((moved.axis == "rotation" && moved.planned > 1000).then_some("rotation_over_10_deg"));
    axes.extend((moved.axis == "distal" && moved.planned > 150).then_some("distal_over_1.5_mm"));
    axes
}

/// Reports each movement under all its names; all axes together only for all teeth and for the front teeth.
fn each(patient: &Patient<'_>, measure: &'static str, tell: &mut dyn FnMut([&'static str; 3], &Moved)) {
    for moved in moved(patient) {
        let groups = teeth(moved.tooth);
        for group in groups.iter().filter(|group| ["", "front"].contains(group)) {
            tell([measure, "", group], &moved);
        }
        for axis in axes(&moved) {
            for group in &groups {
                tell([measure, axis, group], &moved);
            }
        }
    }
}

fn accuracy(patient: &Patient<'_>, seen: &mut Seen) {
    each(patient, "accuracy", &mut |name, moved| {
        let off = (moved.planned - moved.achieved).abs();
        seen.one_of(name, 10_000 - 10_000 * off / moved.planned);
    });
}

fn reached(patient: &Patient<'_>, seen: &mut Seen) {
    each(patient, "reached", &mut |name, moved| seen.pool(name, moved.achieved, moved.planned));
}

fn short_by(patient: &Patient<'_>, seen: &mut Seen) {
    for moved in moved(patient).iter().filter(|_| patient.refinements().next().is_some()) {
        if let Some(kind) = kind_name(moved.tooth) {
            seen.value(["short_by", moved.axis, kind], moved.planned - moved.achieved);
        }
    }
}

fn missed_by(patient: &Patient<'_>, seen: &mut Seen) {
    each(patient, "missed_by", &mut |name, moved| seen.one_of(name, (moved.planned - moved.achieved).abs()));
}

fn lacking_angle(patient: &Patient<'_>, seen: &mut Seen) {
    let angles = ["rotation", "tip", "facial_torque", "lingual_torque"];
    for moved in moved(patient).iter().filter(|moved| angles.contains(&moved.axis)) {
        seen.point(plain("lacking_angle"), moved.planned, moved.planned - moved.achieved);
    }
}
