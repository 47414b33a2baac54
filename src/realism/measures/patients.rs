//! The patients and their prescriptions.

use oar_schema::record::Sex;

use super::Measure;
use crate::realism::patient::Patient;
use crate::realism::seen::{Seen, plain};

pub(super) const MEASURES: &[Measure] = &[
    Measure {
        name: "age",
        unit: "years",
        definition: "age at the first tray, from the year of birth, as if born in the middle of it",
        observe: age,
    },
    Measure {
        name: "female",
        unit: "%",
        definition: "female patients, among those whose sex is recorded",
        observe: female,
    },
    Measure {
        name: "weekly_change",
        unit: "%",
        definition: "patients with a prescribed tray change every 7 days or sooner",
        observe: weekly_change,
    },
    Measure {
        name: "retention_open",
        unit: "%",
        definition: "retention phases without a planned end",
        observe: retention_open,
    },
];

fn age(patient: &Patient<'_>, seen: &mut Seen) {
    seen.value(plain("age"), (patient.age() * 100.0).round() as i64);
}

fn female(patient: &Patient<'_>, seen: &mut Seen) {
    if let Some(sex) = patient.record.patient.sex {
        seen.share(plain("female"), sex == Sex::Female);
    }
}

fn weekly_change(patient: &Patient<'_>, seen: &mut Seen) {
    seen.share(plain("weekly_change"), patient.record.prescription.change_interval_days <= 7);
}

fn retention_open(patient: &Patient<'_>, seen: &mut Seen) {
    if let Some(retention) = &patient.record.retention {
        seen.share(plain("retention_open"), retention.until.is_none());
    }
}
