//! Crown widths and missing teeth.

use std::collections::BTreeMap;

use oar_schema::teeth::{Arch, Tooth, ToothKind};

use super::Measure;
use crate::realism::patient::Patient;
use crate::realism::seen::{Seen, plain};

pub(super) const MEASURES: &[Measure] = &[
    Measure {
        name: "crown_width",
        unit: "mm",
        definition: "mesiodistal crown width by kind of tooth: for each patient the mean of right and left, or the one that was measured",
        observe: crown_width,
    },
    Measure {
        name: "missing",
        unit: "%",
        definition: "patients of 14 years or more with a missing permanent tooth, except third molars: absent, or replaced by an implant or pontic; also by kind, on either side",
        observe: missing,
    },
    Measure {
        name: "missing_teeth",
        unit: "teeth",
        definition: "missing permanent teeth of patients with any, except third molars",
        observe: missing_teeth,
    },
    Measure {
        name: "missing_share",
        unit: "%",
        definition: "missing teeth by kind, as a share of all missing permanent teeth, except third molars",
        observe: missing_share,
    },
    Measure {
        name: "third_molar_missing",
        unit: "%",
        definition: "patients with a third molar absent: never formed, not erupted, or extracted before",
        observe: third_molar_missing,
    },
];

/// The name of a permanent tooth's kind, as in `upper_canine`.
pub(super) fn kind_name(tooth: Tooth) -> Option<&'static str> {
    let place = ToothKind::ALL.iter().position(|kind| *kind == tooth.kind())?;
    let names = match tooth.arch() {
        Arch::Upper => UPPER,
        Arch::Lower => LOWER,
    };
    (!tooth.is_primary()).then(|| names[place])
}

const UPPER: [&str; 8] = [
    "upper_central",
    "upper_lateral",
    "upper_canine",
    "upper_first_premolar",
    "upper_second_premolar",
    "upper_first_molar",
    "upper_second_molar",
    "upper_third_molar",
];
const LOWER: [&str; 8] = [
    "lower_central",
    "lower_lateral",
    "lower_canine",
    "lower_first_premolar",
    "lower_second_premolar",
    "lower_first_molar",
    "lower_second_molar",
    "lower_third_molar",
];

fn crown_width(patient: &Patient<'_>, seen: &mut Seen) {
    let mut sides: BTreeMap<&'static str, (i64, i64)> = BTreeMap::new();
    for width in patient.record.dentition.crown_widths.iter().flatten() {
        if let Some(kind) = kind_name(width.tooth) {
            let (sum, n) = sides.entry(kind).or_default();
            (*sum, *n) = (*sum + i64::from(width.width_mm.0), *n + 1);
        }
    }
    for (kind, (sum, n)) in sides {
        seen.value(["crown_width", kind, ""], sum / n);
    }
}

/// Missing permanent teeth except third molars. Unknown while the patient is younger than 14: unerupted teeth are listed as
/// absent.
fn gone(patient: &Patient<'_>) -> Option<Vec<Tooth>> {
    let teeth = &patient.record.dentition;
    let replaced = teeth.implants.iter().chain(&teeth.pontics).flatten();
    let mut gone: Vec<Tooth> = teeth
        .absent
        .iter()
        .chain(replaced)
        .copied()
        .filter(|tooth| !tooth.is_primary() && tooth.kind() != ToothKind::ThirdMolar)
        .collect();
    gone.sort_unstable();
    gone.dedup();
    (patient.age() >= 14.0).then_some(gone)
}

fn missing(patient: &Patient<'_>, seen: &mut Seen) {
    let Some(gone) = gone(patient) else { return };
    seen.share(plain("missing"), !gone.is_empty());
    for kind in UPPER[..7].iter().chain(&LOWER[..7]) {
        seen.share(["missing", kind, ""], gone.iter().any(|tooth| kind_name(*tooth) == Some(kind)));
    }
    if !gone.is_empty() {
        seen.share(["missing", "one_or_two_of_those_with_any", ""], gone.len() <= 2);
        seen.share(["missing", "six_or_more_of_those_with_any", ""], gone.len() >= 6);
    }
}

fn missing_teeth(patient: &Patient<'_>, seen: &mut Seen) {
    if let Some(gone) = gone(patient).filter(|gone| !gone.is_empty()) {
        seen.value(plain("missing_teeth"), 100 * gone.len() as i64);
    }
}

fn missing_share(patient: &Patient<'_>, seen: &mut Seen) {
    for tooth in gone(patient).unwrap_or_default() {
        for kind in UPPER[..7].iter().chain(&LOWER[..7]) {
            seen.count(["missing_share", kind, ""], kind_name(tooth) == Some(kind));
        }
    }
}

fn third_molar_missing(patient: &Patient<'_>, seen: &mut Seen) {
    let gone = patient.record.dentition.absent.iter().any(|tooth| tooth.kind() == ToothKind::ThirdMolar);
    seen.share(plain("third_molar_missing"), gone);
}
