//! Declared values of a recipe, with the realised ones.

use oar_generators::key::Truth;
use oar_generators::recipe::Parameters;
use oar_schema::record::{Record, WearEnd, WearSource};

use super::Distribution;
use crate::realism::Observations;
use crate::realism::published::Statistic;
use crate::statistics::json::Estimated;
use crate::statistics::numbers::steady;
use crate::statistics::{Estimate, Share, Tally};

/// A value of a recipe that can be observed in a cohort.
struct Declared {
    key: &'static str,
    what: &'static str,
    unit: &'static str,
    /// What the recipe declares, in the unit; as a share where that is percent.
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
fn ended(record: &Record, end: WearEnd) -> (u64, u64) {
    (record.wear_periods.iter().filter(|worn| worn.ended == Some(end)).count() as u64, record.wear_periods.len() as u64)
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

/// Declares the table: `group.name, "unit", "what", realised;`, with `= value` after the name if the value is not the one of
/// that name, and with a remark at the end if there is one.
macro_rules! declared {
    (@value $group:ident.$name:ident) => { |values| values.$group.$name };
    (@value $group:ident.$name:ident $value:expr) => { $value };
    ($($group:ident.$name:ident $(= $value:expr)?, $unit:literal, $what:literal, $realised:expr $(, $remark:literal)?;)*) => {
        const DECLARED: &[Declared] = &[$(Declared {
            key: concat!(stringify!($group), ".", stringify!($name)),
            what: $what,
            unit: $unit,
            value: declared!(@value $group.$name $($value)?),
            realised: $realised,
            remark: concat!($($remark)?),
        }),*];
    };
}

declared! {
    population.female_share, "%", "women and girls", Of("share female");
    population.age_median_years, "years", "median age at the first tray",
        Of("median age"), "records have the year of birth only; ages outside the bounds are drawn again";
    population.widths_known_share, "%", "records with crown widths",
        Counted(|record| one(record.dentition.crown_widths.is_some()));
    start.class_ii_share, "%", "class II", Of("share molar_class:ii");
    start.class_iii_share, "%", "class III", Of("share molar_class:iii");
    start.overbite_mm, "mm", "mean overbite before the first tray", Of("mean overbite");
    plan.one_arch_share, "%", "treatments of one arch",
        Counted(|record| {
            one(record.series.first().is_some_and(|series| series.trays.upper == 0 || series.trays.lower == 0))
        }),
        "an arch without planned movements has no trays either";
    plan.change_days_shares
        = |values| values.plan.change_days_shares[0] / values.plan.change_days_shares.iter().sum::<f64>(),
        "%", "trays changed every 7 days", Of("share weekly_change");
    plan.wear_goal_minutes = |values| f64::from(values.plan.wear_goal_minutes), "minutes", "wear goal",
        Mean(|record, _| f64::from(record.prescription.wear_goal_minutes));
    plan.remote_share, "%", "followed up remotely", Counted(|record| one(follow_up(record).0));
    plan.reminders_share, "%", "with reminders", Counted(|record| one(follow_up(record).1));
    plan.sensor_share, "%", "trays with a sensor", Counted(|record| one(follow_up(record).2));
    wear.adherence_alpha
        = |values| values.wear.adherence_alpha / (values.wear.adherence_alpha + values.wear.adherence_beta),
        "%", "mean share of trays worn as prescribed, in the long run (from the answer key)",
        Mean(|_, truth| 100.0 * truth.adherence), "reminders and age change it";
    clinic.expression_sd, "log-odds", "how much clinics differ in expression (from the answer key)",
        Sd(|_, truth| truth.clinic_effect), "there are few clinics";
    response.patient_sd, "log-odds", "how much patients differ in expression (from the answer key)",
        Sd(|_, truth| truth.patient_effect);
    care.no_show_share, "%", "appointments missed", Of("percent no_show"), "bonding appointments are missed less often";
    care.tray_lost_share, "%", "trays lost",
        Counted(|record| ended(record, WearEnd::Lost)), "of wear periods; a tray can have several";
    care.tray_broken_share, "%", "trays broken",
        Counted(|record| ended(record, WearEnd::Broken)), "of wear periods; a tray can have several";
    care.reduction_done_mean, "%", "interproximal reduction carried out, as a share of planned",
        Of("percent reduction_done"), "carried out in steps of 0.05 mm, at least one per contact";
    report.logged_share, "%", "records with a wear log",
        Counted(|record| one(record.wear_log.is_some())), "patients with a sensor have one";
    report.timer_share, "%", "wear logged by a timer, of those with a log and no sensor",
        Counted(|record| {
            if record.wear_log.is_none() || follow_up(record).2 { (0, 0) } else { one(logs(record, WearSource::Timer)) }
        });
    report.comfort_share, "%", "records with comfort reports", Counted(|record| one(record.comfort.is_some()));
}

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
            declared: steady((declared.value)(values) * if declared.unit == "%" { 100.0 } else { 1.0 }),
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
