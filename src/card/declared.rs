//! Declared values of a recipe, with the realised ones.

use oar_generators::key::Truth;
use oar_generators::recipe::Parameters;
use oar_schema::record::{Record, WearSource, WornEnd};

use super::{Distribution, Estimated};
use crate::realism::Observations;
use crate::realism::published::Statistic;
use crate::statistics::numbers::steady;
use crate::statistics::{Estimate, Share, Tally};

/// A value of a recipe that can be observed in a cohort.
struct Declared {
    key: &'static str,
    what: &'static str,
    unit: &'static str,
    /// What the recipe declares, in the unit.
    value: fn(&Parameters) -> f64,
    realised: Realised,
    remark: &'static str,
}

/// How it is observed.
enum Realised {
    /// As a statistic of the realism report.
    Statistic(&'static str),
    /// As a share in percent.
    Share(fn(&Record) -> (u64, u64)),
    /// As the mean of a value of patients, which need not be in the records.
    Mean(fn(&Record, &Truth) -> f64),
    /// As the standard deviation of one.
    Sd(fn(&Record, &Truth) -> f64),
}
use Realised::{Mean, Sd, Share as Counted, Statistic as Of};

/// One patient, with or without it.
fn one(has: bool) -> (u64, u64) {
    (u64::from(has), 1)
}

/// Trays that ended this way, of all that were put in.
fn ended(record: &Record, end: WornEnd) -> (u64, u64) {
    (record.worn.iter().filter(|worn| worn.ended == Some(end)).count() as u64, record.worn.len() as u64)
}

fn follow_up(record: &Record) -> (bool, bool, bool) {
    record
        .prescription
        .follow_up
        .as_ref()
        .map_or((false, false, false), |follow| (follow.remote, follow.reminders, follow.sensor))
}

fn logs(record: &Record, source: WearSource) -> bool {
    record.wear_log.iter().flatten().any(|day| day.source == source)
}

const DECLARED: &[Declared] = &[
    Declared {
        key: "population.female_share",
        what: "women and girls",
        unit: "%",
        value: |values| 100.0 * values.population.female_share,
        realised: Of("share female"),
        remark: "",
    },
    Declared {
        key: "population.age_median_years",
        what: "median age at the first tray",
        unit: "years",
        value: |values| values.population.age_median_years,
        realised: Of("median age"),
        remark: "records have the year of birth only; ages outside the bounds are drawn again",
    },
    Declared {
        key: "population.widths_known_share",
        what: "records with crown widths",
        unit: "%",
        value: |values| 100.0 * values.population.widths_known_share,
        realised: Counted(|record| one(record.dentition.crown_widths.is_some())),
        remark: "",
    },
    Declared {
        key: "start.class_ii_share",
        what: "class II",
        unit: "%",
        value: |values| 100.0 * values.start.class_ii_share,
        realised: Of("share molar_class:ii"),
        remark: "",
    },
    Declared {
        key: "start.class_iii_share",
        what: "class III",
        unit: "%",
        value: |values| 100.0 * values.start.class_iii_share,
        realised: Of("share molar_class:iii"),
        remark: "",
    },
    Declared {
        key: "start.overbite_mm",
        what: "mean overbite before the first tray",
        unit: "mm",
        value: |values| values.start.overbite_mm,
        realised: Of("mean overbite"),
        remark: "",
    },
    Declared {
        key: "plan.one_arch_share",
        what: "treatments of one arch",
        unit: "%",
        value: |values| 100.0 * values.plan.one_arch_share,
        realised: Counted(|record| {
            one(record.series.first().is_some_and(|series| series.trays.upper == 0 || series.trays.lower == 0))
        }),
        remark: "an arch without planned movements has no trays either",
    },
    Declared {
        key: "plan.change_days_shares",
        what: "trays changed every 7 days",
        unit: "%",
        value: |values| 100.0 * values.plan.change_days_shares[0] / values.plan.change_days_shares.iter().sum::<f64>(),
        realised: Of("share weekly_change"),
        remark: "",
    },
    Declared {
        key: "plan.wear_goal_minutes",
        what: "wear goal",
        unit: "minutes",
        value: |values| f64::from(values.plan.wear_goal_minutes),
        realised: Mean(|record, _| f64::from(record.prescription.wear_goal_minutes)),
        remark: "",
    },
    Declared {
        key: "plan.remote_share",
        what: "followed up remotely",
        unit: "%",
        value: |values| 100.0 * values.plan.remote_share,
        realised: Counted(|record| one(follow_up(record).0)),
        remark: "",
    },
    Declared {
        key: "plan.reminders_share",
        what: "with reminders",
        unit: "%",
        value: |values| 100.0 * values.plan.reminders_share,
        realised: Counted(|record| one(follow_up(record).1)),
        remark: "",
    },
    Declared {
        key: "plan.sensor_share",
        what: "trays with a sensor",
        unit: "%",
        value: |values| 100.0 * values.plan.sensor_share,
        realised: Counted(|record| one(follow_up(record).2)),
        remark: "",
    },
    Declared {
        key: "wear.adherence_alpha",
        what: "mean share of trays worn as prescribed, in the long run (from the answer key)",
        unit: "%",
        value: |values| {
            100.0 * values.wear.adherence_alpha / (values.wear.adherence_alpha + values.wear.adherence_beta)
        },
        realised: Mean(|_, truth| 100.0 * truth.adherence),
        remark: "reminders and age change it",
    },
    Declared {
        key: "clinic.expression_sd",
        what: "how much clinics differ in expression (from the answer key)",
        unit: "log-odds",
        value: |values| values.clinic.expression_sd,
        realised: Sd(|_, truth| truth.clinic_effect),
        remark: "there are few clinics",
    },
    Declared {
        key: "response.patient_sd",
        what: "how much patients differ in expression (from the answer key)",
        unit: "log-odds",
        value: |values| values.response.patient_sd,
        realised: Sd(|_, truth| truth.patient_effect),
        remark: "",
    },
    Declared {
        key: "care.no_show_share",
        what: "appointments missed",
        unit: "%",
        value: |values| 100.0 * values.care.no_show_share,
        realised: Of("percent no_show"),
        remark: "bonding appointments are missed less often",
    },
    Declared {
        key: "care.tray_lost_share",
        what: "trays lost",
        unit: "%",
        value: |values| 100.0 * values.care.tray_lost_share,
        realised: Counted(|record| ended(record, WornEnd::Lost)),
        remark: "of wear periods; a tray can have several",
    },
    Declared {
        key: "care.tray_broken_share",
        what: "trays broken",
        unit: "%",
        value: |values| 100.0 * values.care.tray_broken_share,
        realised: Counted(|record| ended(record, WornEnd::Broken)),
        remark: "of wear periods; a tray can have several",
    },
    Declared {
        key: "care.reduction_done_mean",
        what: "interproximal reduction carried out, as a share of planned",
        unit: "%",
        value: |values| 100.0 * values.care.reduction_done_mean,
        realised: Of("percent reduction_done"),
        remark: "carried out in steps of 0.05 mm, at least one per contact",
    },
    Declared {
        key: "report.logged_share",
        what: "records with a wear log",
        unit: "%",
        value: |values| 100.0 * values.report.logged_share,
        realised: Counted(|record| one(record.wear_log.is_some())),
        remark: "patients with a sensor have one",
    },
    Declared {
        key: "report.timer_share",
        what: "wear logged by a timer, of those with a log and no sensor",
        unit: "%",
        value: |values| 100.0 * values.report.timer_share,
        realised: Counted(|record| {
            if record.wear_log.is_none() || follow_up(record).2 { (0, 0) } else { one(logs(record, WearSource::Timer)) }
        }),
        remark: "",
    },
    Declared {
        key: "report.comfort_share",
        what: "records with comfort reports",
        unit: "%",
        value: |values| 100.0 * values.report.comfort_share,
        realised: Counted(|record| one(record.comfort.is_some())),
        remark: "",
    },
];

/// The observations of each declared value, by its index in the table.
#[derive(Clone, Debug, Default)]
pub(super) struct DeclaredTallies(Vec<(Share, Tally)>);

impl DeclaredTallies {
    pub(super) fn add(&mut self, record: &Record, truth: &Truth) {
        self.0.resize_with(DECLARED.len(), Default::default);
        for ((share, tally), declared) in self.0.iter_mut().zip(DECLARED) {
            match declared.realised {
                Of(_) => {}
                Counted(count) => {
                    let (yes, of) = count(record);
                    share.merge(Share { yes, of });
                }
                Mean(value) | Sd(value) => tally.add((value(record, truth) * 100.0).round() as i64),
            }
        }
    }

    pub(super) fn merge(&mut self, other: Self) {
        self.0.resize_with(DECLARED.len(), Default::default);
        for ((share, tally), (more, others)) in self.0.iter_mut().zip(other.0) {
            share.merge(more);
            tally.merge(&others);
        }
    }

    pub(super) fn told(&self, values: &Parameters, cohort: &Observations) -> Vec<Distribution> {
        let mut sums = self.clone();
        sums.0.resize_with(DECLARED.len(), Default::default);
        let row = |(declared, (share, tally)): (&Declared, &(Share, Tally))| Distribution {
            key: declared.key,
            what: declared.what,
            unit: declared.unit,
            declared: steady((declared.value)(values)),
            realised: estimate(&declared.realised, cohort, *share, tally).as_ref().map(Estimated::of),
            remark: declared.remark,
        };
        DECLARED.iter().zip(&sums.0).map(row).collect()
    }
}

fn estimate(realised: &Realised, cohort: &Observations, share: Share, tally: &Tally) -> Option<Estimate> {
    match realised {
        Of(statistic) => cohort.estimate(&Statistic::parse(statistic)?),
        Counted(_) => share.percent(),
        Mean(_) => tally.mean_estimate(),
        Sd(_) => Some(Estimate { value: tally.sd()?, interval: None, n: tally.n(), how: "none" }),
    }
}
