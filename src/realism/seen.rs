//! The observations of the measures in one record.

use std::collections::BTreeMap;

use crate::statistics::Outcome;

/// The name of an observation: the measure, and its subject when there are several, as in `["accuracy", "rotation", "upper_canine"]`.
pub type ObservationName = [&'static str; 3];

/// The name of a measure with a single subject.
pub const fn plain(measure: &'static str) -> ObservationName {
    [measure, "", ""]
}

/// The observations in one record, by name.
#[derive(Debug, Default)]
pub struct Seen {
    pub(super) values: Vec<(ObservationName, i64)>,
    pub(super) shares: Vec<(ObservationName, bool)>,
    pub(super) pooled: BTreeMap<ObservationName, (i64, i64)>,
    pub(super) times: Vec<(ObservationName, i32, Outcome)>,
    pub(super) points: BTreeMap<ObservationName, Vec<(i64, i64)>>,
}

impl Seen {
    /// A value of the patient, in hundredths of the unit.
    pub fn value(&mut self, name: ObservationName, hundredths: i64) {
        self.values.push((name, hundredths));
    }

    /// Whether something is true of the patient.
    pub fn share(&mut self, name: ObservationName, yes: bool) {
        self.shares.push((name, yes));
    }

    /// Adds to the patient's sums, from which the ratio over all patients is computed.
    pub fn pool(&mut self, name: ObservationName, above: i64, below: i64) {
        let sums = self.pooled.entry(name).or_default();
        *sums = (sums.0 + above, sums.1 + below);
    }

    /// One of several values of the patient, in hundredths; the mean is computed over all patients.
    pub fn one_of(&mut self, name: ObservationName, hundredths: i64) {
        self.pool(name, hundredths, 100);
    }

    /// One of several yes-or-no values of the patient.
    pub fn count(&mut self, name: ObservationName, yes: bool) {
        self.pool(name, i64::from(yes), 1);
    }

    /// A time in days and how it ended.
    pub fn time(&mut self, name: ObservationName, days: i32, outcome: Outcome) {
        self.times.push((name, days.max(0), outcome));
    }

    /// A point of a line, in hundredths.
    pub fn point(&mut self, name: ObservationName, x: i64, y: i64) {
        self.points.entry(name).or_default().push((x, y));
    }
}
