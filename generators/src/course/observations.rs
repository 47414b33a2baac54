//! Observations at check-ins other than fit gaps: plaque, gums, and the state of the tray.

use oar_schema::record::{Advice, Observation, ObservationKind};

use super::Treatment;
use crate::random::RandomStream;
use crate::recipe::ReportValues;

/// How evenly patients keep their teeth clean: the two parameters of a beta distribution add up to this (assumption).
const EVENNESS: f64 = 1.5;
/// Days of a tray from which stains are visible, and the share of check-ins at which they are recorded.
const STAINED_FROM: i32 = 5;
const STAINS_TOLD: f64 = 0.35;

/// How a patient keeps teeth and trays.
#[derive(Clone, Copy, Debug)]
pub(super) struct Keeping {
    /// Share of check-ins with plaque.
    plaque: f64,
    stains: bool,
}

impl Keeping {
    /// Draws a patient's way.
    pub(super) fn draw(report: &ReportValues, stream: &mut RandomStream) -> Self {
        let share = report.plaque_share;
        let plaque = stream.beta(share * EVENNESS + 1e-6, (1.0 - share) * EVENNESS + 1e-6);
        Self { plaque, stains: stream.chance(report.stain_share) }
    }
}

impl Treatment<'_> {
    /// The observations of today other than fit gaps, and the advice for them.
    pub(super) fn sights(&mut self, days_in: i32) -> (Vec<Observation>, Vec<Advice>) {
        let (report, keeping, stream) = (&self.recipe.values.report, self.keeping, &mut self.streams.sights);
        let plaque = stream.chance(keeping.plaque);
        let gum = stream.chance(report.gum_share) && plaque;
        let stained = stream.chance(STAINS_TOLD) && keeping.stains && days_in >= STAINED_FROM;
        let cracked = stream.chance(report.crack_share);
        let rough = stream.chance(report.edge_share);
        let all = [
            (plaque, ObservationKind::Plaque),
            (gum, ObservationKind::GumSwelling),
            (stained, ObservationKind::TrayStained),
            (cracked, ObservationKind::TrayCracked),
            (rough, ObservationKind::RoughEdge),
        ];
        let seen = all.into_iter().filter(|(there, _)| *there).map(|(_, what)| Observation { what, tooth: None });
        let advice = [(plaque || stained, Advice::CleanMore), (rough, Advice::SmoothEdge)];
        (seen.collect(), advice.into_iter().filter(|(given, _)| *given).map(|(_, advice)| advice).collect())
    }
}
