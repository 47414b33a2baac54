//! Arches and bite at the start.

use oar_schema::derived::irregularity_index;
use oar_schema::number::Hundredths;
use oar_schema::record::AngleClass;

use super::Measure;
use crate::realism::patient::Patient;
use crate::realism::seen::{Seen, plain};

pub(super) const MEASURES: &[Measure] = &[
    Measure {
        name: "molar_class",
        unit: "%",
        definition: "patients by Angle's class before the first tray; class II or III on one side counts as that class, and II takes precedence over III",
        observe: molar_class,
    },
    Measure {
        name: "overjet_1_to_3",
        unit: "%",
        definition: "patients with an overjet of 1 to 3 mm before the first tray",
        observe: overjet,
    },
    Measure { name: "overbite", unit: "mm", definition: "overbite before the first tray", observe: overbite },
    Measure {
        name: "overbite_1_to_3",
        unit: "%",
        definition: "patients with an overbite of 1 to 3 mm before the first tray",
        observe: overbite_1_to_3,
    },
    Measure {
        name: "overbite_6_or_more",
        unit: "%",
        definition: "patients with an overbite of 6 mm or more before the first tray",
        observe: overbite_6_or_more,
    },
    Measure {
        name: "open_bite",
        unit: "%",
        definition: "patients with a negative overbite before the first tray",
        observe: open_bite,
    },
    Measure {
        name: "irregularity",
        unit: "mm",
        definition: "Little's irregularity index of the six front teeth before the first tray, by arch",
        observe: irregularity,
    },
    Measure {
        name: "irregularity_class",
        unit: "%",
        definition: "patients by Little's index before the first tray: well aligned up to 1 mm, mild up to 3, moderate up to 6, severe above",
        observe: irregularity_class,
    },
];

fn molar_class(patient: &Patient<'_>, seen: &mut Seen) {
    let Some(molars) = patient.at_start().and_then(|start| start.molar_class.as_ref()) else { return };
    let has = |class| molars.right == class || molars.left == class;
    let (second, third) = (has(AngleClass::ClassII), has(AngleClass::ClassIII));
    seen.share(["molar_class", "i", ""], !second && !third);
    seen.share(["molar_class", "ii", ""], second);
    seen.share(["molar_class", "iii", ""], third && !second);
}

fn overjet(patient: &Patient<'_>, seen: &mut Seen) {
    if let Some(overjet) = patient.at_start().and_then(|start| start.overjet_mm) {
        seen.share(plain("overjet_1_to_3"), (100..=300).contains(&overjet.0));
    }
}

fn start_overbite(patient: &Patient<'_>) -> Option<Hundredths> {
    patient.at_start()?.overbite_mm
}

fn overbite(patient: &Patient<'_>, seen: &mut Seen) {
    if let Some(overbite) = start_overbite(patient) {
        seen.value(plain("overbite"), i64::from(overbite.0));
    }
}

fn overbite_1_to_3(patient: &Patient<'_>, seen: &mut Seen) {
    if let Some(overbite) = start_overbite(patient) {
        seen.share(plain("overbite_1_to_3"), (100..=300).contains(&overbite.0));
    }
}

fn overbite_6_or_more(patient: &Patient<'_>, seen: &mut Seen) {
    if let Some(overbite) = start_overbite(patient) {
        seen.share(plain("overbite_6_or_more"), overbite.0 >= 600);
    }
}

fn open_bite(patient: &Patient<'_>, seen: &mut Seen) {
    if let Some(overbite) = start_overbite(patient) {
        seen.share(plain("open_bite"), overbite.0 < 0);
    }
}

/// The indices of both arches, if all five contacts were measured.
fn indices(patient: &Patient<'_>) -> impl Iterator<Item = (&'static str, i64)> {
    let offsets = patient.at_start().and_then(|start| start.contact_displacements_mm.as_ref());
    let arch = |name, offsets: Option<&Vec<Hundredths>>| {
        offsets.and_then(|five| irregularity_index(five)).map(|index| (name, i64::from(index.0)))
    };
    let upper = arch("upper", offsets.and_then(|offsets| offsets.upper.as_ref()));
    let lower = arch("lower", offsets.and_then(|offsets| offsets.lower.as_ref()));
    upper.into_iter().chain(lower)
}

fn irregularity(patient: &Patient<'_>, seen: &mut Seen) {
    for (arch, index) in indices(patient) {
        seen.value(["irregularity", arch, ""], index);
    }
}

fn irregularity_class(patient: &Patient<'_>, seen: &mut Seen) {
    for (arch, index) in indices(patient) {
        let classes =
            [("well_aligned", 0..=100), ("mild", 101..=300), ("moderate", 301..=600), ("severe", 601..=i64::MAX)];
        for (class, range) in classes {
            seen.share(["irregularity_class", arch, class], range.contains(&index));
        }
    }
}
