//! Totals over the records of a clinic. Everything is a count or a tally, so memory does not grow with the records.

use std::collections::BTreeMap;

use oar_schema::record::{Record, State};
use oar_schema::teeth::Tooth;
use oar_schema::time::Date;

use super::{Priority, Review};
use crate::check::rule::Level;
use crate::statistics::{Outcome, Survival, Tally};

/// Counts over the records of a review.
#[derive(Clone, Debug, Default)]
pub struct Clinic {
    /// Records that were reviewed.
    pub reviewed: u64,
    /// Records with errors, which were not reviewed.
    pub refused: u64,
    /// Records by state.
    pub states: BTreeMap<&'static str, u64>,
    /// Records by their most urgent priority; those with no signal are left out.
    pub priorities: BTreeMap<Priority, u64>,
    /// Records that raise each signal, by its name.
    pub signals: BTreeMap<&'static str, u64>,
    /// Wear share over the whole log, in percent, for each record with a log.
    pub wear_share: Tally,
    /// Days logged, in percent of the days with a tray in.
    pub coverage: Tally,
    /// Fit gaps at the latest check-in, by tooth, in millimetres.
    pub gaps: BTreeMap<Tooth, Tally>,
    /// Records in which a tooth lags.
    pub lagging: BTreeMap<Tooth, u64>,
    /// Refinement series of treatments that are over.
    pub refinements: Tally,
    /// Days from the first tray to the finish. Treatments that ended otherwise are competing events; those that continue are
    /// censored at the day of the review.
    pub to_finish: Survival,
    /// Days from the first tray to the scan for the first refinement.
    pub to_refinement: Survival,
    /// Records with findings of each rule, by level and name.
    pub findings: BTreeMap<(Level, &'static str), u64>,
    /// The first and the last day of the reviews.
    pub days: Option<(Date, Date)>,
}

impl Clinic {
    /// Counts a reviewed record and its findings.
    pub fn add(&mut self, review: &Review, findings: &[(Level, &'static str)]) {
        self.reviewed += 1;
        self.note(findings);
        let record = &review.record;
        *self.states.entry(record.status.state.as_str()).or_default() += 1;
        if let Some(priority) = review.priority() {
            *self.priorities.entry(priority).or_default() += 1;
        }
        let mut names: Vec<&str> = review.raised.iter().map(|raised| raised.signal.name).collect();
        names.sort_unstable();
        names.dedup();
        for name in names {
            *self.signals.entry(name).or_default() += 1;
        }
        percent(&mut self.wear_share, review.values.wear_share);
        percent(&mut self.coverage, review.values.days_logged);
        for gap in record.check_ins.iter().flatten().next_back().iter().flat_map(|last| last.fit_gaps.iter().flatten())
        {
            self.gaps.entry(gap.tooth).or_default().add(i64::from(gap.gap_mm.0));
        }
        for lag in review.values.lagging_teeth.iter().flatten() {
            *self.lagging.entry(lag.tooth).or_default() += 1;
        }
        self.add_times(record, review.day);
        let (first, last) = self.days.unwrap_or((review.day, review.day));
        self.days = Some((first.min(review.day), last.max(review.day)));
    }

    /// Counts a record that has errors.
    pub fn refuse(&mut self, findings: &[(Level, &'static str)]) {
        self.refused += 1;
        self.note(findings);
    }

    fn note(&mut self, findings: &[(Level, &'static str)]) {
        let mut found = findings.to_vec();
        found.sort_unstable();
        found.dedup();
        for one in found {
            *self.findings.entry(one).or_default() += 1;
        }
    }

    fn add_times(&mut self, record: &Record, day: Date) {
        let Some(start) = record.wear_periods.first().map(|worn| worn.from) else { return };
        let over = !matches!(record.status.state, State::Planned | State::Active | State::Paused);
        let end = if over { record.status.since } else { day };
        let outcome = match record.status.state {
            State::Finished => Outcome::Event,
            _ if over => Outcome::Other,
            _ => Outcome::Cut,
        };
        self.to_finish.add(end.days_since(start).max(0), outcome);
        let scans = record.series.iter().filter(|series| series.number > 0).filter_map(|series| series.scanned_on);
        let (until, outcome) = match scans.min() {
            Some(scan) => (scan, Outcome::Event),
            None if over => (end, Outcome::Other),
            None => (end, Outcome::Cut),
        };
        self.to_refinement.add(until.days_since(start).max(0), outcome);
        if over {
            let count = record.series.iter().filter(|series| series.number > 0).count();
            self.refinements.add(100 * count as i64);
        }
    }

    /// Adds the counts of other records.
    pub fn merge(&mut self, other: &Self) {
        self.reviewed += other.reviewed;
        self.refused += other.refused;
        add_counts(&mut self.states, &other.states);
        add_counts(&mut self.priorities, &other.priorities);
        add_counts(&mut self.signals, &other.signals);
        add_counts(&mut self.lagging, &other.lagging);
        add_counts(&mut self.findings, &other.findings);
        self.wear_share.merge(&other.wear_share);
        self.coverage.merge(&other.coverage);
        self.refinements.merge(&other.refinements);
        for (tooth, tally) in &other.gaps {
            self.gaps.entry(*tooth).or_default().merge(tally);
        }
        self.to_finish.merge(&other.to_finish);
        self.to_refinement.merge(&other.to_refinement);
        self.days = match (self.days, other.days) {
            (Some((one, two)), Some((three, four))) => Some((one.min(three), two.max(four))),
            (own, others) => own.or(others),
        };
    }
}

fn percent(tally: &mut Tally, share: Option<f64>) {
    if let Some(share) = share {
        tally.add((share * 10_000.0).round() as i64);
    }
}

fn add_counts<K: Copy + Ord>(own: &mut BTreeMap<K, u64>, others: &BTreeMap<K, u64>) {
    for (key, count) in others {
        *own.entry(*key).or_default() += count;
    }
}
