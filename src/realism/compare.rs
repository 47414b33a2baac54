//! Compares statistics of a cohort with published ones.

use super::cohort::{Asked, Observations};
use super::published::{Comparable, How, Published, Statistic};
use crate::statistics::Estimate;
use serde::Serialize;

use crate::text::counted;

/// How a cohort's statistic compares with the published one.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Serialize)]
#[serde(rename_all = "snake_case")]
#[cfg_attr(feature = "schemas", derive(schemars::JsonSchema))]
pub enum Verdict {
    /// In the published interval.
    Inside,
    /// Outside it, but the two intervals overlap, or it is no further away than half the width of the published one.
    Near,
    /// Further away.
    Outside,
    /// Nothing can be compared.
    NotComparable,
}

impl Verdict {
    /// All verdicts.
    pub const ALL: [Self; 4] = [Self::Inside, Self::Near, Self::Outside, Self::NotComparable];

    /// The word for people.
    pub const fn words(self) -> &'static str {
        match self {
            Self::Inside => "inside",
            Self::Near => "near",
            Self::Outside => "outside",
            Self::NotComparable => "not comparable",
        }
    }
}

/// One published statistic and the cohort's.
#[derive(Clone, Debug, PartialEq)]
pub struct Compared<'p> {
    /// The published one.
    pub published: &'p Published,
    /// The cohort's, if it could be computed.
    pub cohort: Option<Estimate>,
    /// How they compare.
    pub verdict: Verdict,
    /// Why they are not comparable; empty otherwise.
    pub reason: String,
}

/// Compares a cohort with each published statistic. A statistic with a count below `least` is not compared.
pub fn compare<'p>(cohort: &Observations, published: &'p [Published], least: u64) -> Vec<Compared<'p>> {
    published.iter().map(|row| one(cohort, row, least)).collect()
}

fn one<'p>(cohort: &Observations, published: &'p Published, least: u64) -> Compared<'p> {
    let estimate = published.statistic().and_then(|statistic| cohort.estimate(&statistic));
    let (verdict, reason) = match estimate {
        _ if published.comparable == Comparable::No => (Verdict::NotComparable, published.note.clone()),
        None => (Verdict::NotComparable, "no record of the cohort contains it".to_owned()),
        Some(seen) if seen.n < least => {
            (Verdict::NotComparable, format!("observed {}, fewer than {least}", counted(seen.n, "time")))
        }
        Some(seen) => (verdict(&seen, published.low, published.high), String::new()),
    };
    Compared { published, cohort: estimate, verdict, reason }
}

/// How an estimate compares with an interval, which may be open at one end.
pub fn verdict(seen: &Estimate, low: Option<f64>, high: Option<f64>) -> Verdict {
    let (low, high) = (low.unwrap_or(f64::NEG_INFINITY), high.unwrap_or(f64::INFINITY));
    if (low..=high).contains(&seen.value) {
        return Verdict::Inside;
    }
    let off = (low - seen.value).max(seen.value - high);
    let overlaps = seen.interval.is_some_and(|(from, to)| from <= high && to >= low);
    // A rank has no width: the next one is near.
    let room = if low < high { (high - low) / 2.0 } else { 1.0 };
    if overlaps || (room.is_finite() && off <= room) { Verdict::Near } else { Verdict::Outside }
}

impl Observations {
    /// A statistic of the cohort. None when no record contains what it needs.
    pub fn estimate(&self, statistic: &Statistic) -> Option<Estimate> {
        let of = statistic.of.first()?;
        match statistic.how {
            How::Mean => self.mean(of),
            How::Sd => Some(bare(self.tally(of)?.sd()?, self.tally(of)?.n())),
            How::Quantile(p) => self.tally(of)?.quantile_estimate(p),
            How::QuartileWidth => {
                let tally = self.tally(of)?;
                Some(bare(tally.quantile(0.75)? - tally.quantile(0.25)?, tally.n()))
            }
            How::Share => self.share(of)?.percent(),
            How::Ratio => self.pooled(of)?.estimate(),
            How::Percent => Some(self.pooled(of)?.estimate()?.times(100.0)),
            How::Difference => self.tally(of)?.difference(self.tally(statistic.of.get(1)?)?),
            How::ShareRatio => self.share(of)?.ratio(self.share(statistic.of.get(1)?)?),
            How::OddsRatio => self.share(of)?.odds_ratio(self.share(statistic.of.get(1)?)?),
            How::Slope => self.line(of)?.slope(),
            How::ByDay(day) => self.times(of)?.curve().percent_by(day),
            How::RankHighest => self.rank(&statistic.of, |own, other| other > own),
            How::RankLowest => self.rank(&statistic.of, |own, other| other < own),
            How::PeakDay => self.peak(of),
        }
    }

    /// The mean of a value, a pooled ratio or a share, depending on the measure.
    pub fn mean(&self, of: &Asked) -> Option<Estimate> {
        if let Some(tally) = self.tally(of) {
            return tally.mean_estimate();
        }
        if let Some(pooled) = self.pooled(of) {
            return pooled.estimate();
        }
        self.share(of)?.percent()
    }

    /// The rank: one plus the number of others that come before it. All must be available.
    fn rank(&self, of: &[Asked], before: impl Fn(f64, f64) -> bool) -> Option<Estimate> {
        let means: Option<Vec<Estimate>> = of.iter().map(|one| self.mean(one)).collect();
        let means = means?;
        let own = means.first()?.value;
        let rank = 1 + means[1..].iter().filter(|other| before(own, other.value)).count();
        Some(bare(rank as f64, means.iter().map(|mean| mean.n).min()?))
    }

    /// The day with the highest mean; the first of several.
    fn peak(&self, of: &Asked) -> Option<Estimate> {
        let mut peak: Option<(f64, Estimate)> = None;
        for day in self.parts(of) {
            let (Ok(number), Some(mean)) = (day.name[1].parse(), self.mean(&day)) else { continue };
            if peak.is_none_or(|(_, highest)| mean.value > highest.value) {
                peak = Some((number, mean));
            }
        }
        let (day, highest) = peak?;
        Some(bare(day, highest.n))
    }
}

/// An estimate without an interval.
fn bare(value: f64, n: u64) -> Estimate {
    Estimate { value, interval: None, n, how: "none" }
}
