//! The plan: the aim, divided into trays. The number of trays is a result.

pub mod aim;
pub mod attachments;
pub mod space;
pub mod staging;

use oar_schema::record::{Attachment, Elastic};
use oar_schema::teeth::Tooth;

use crate::layers::population::Person;
use crate::mouth::{ForTeeth, Moves};
use crate::random::RandomStream;
use crate::recipe::Parameters;

use aim::Aim;

/// Habits of a clinic and of the one who plans.
#[derive(Clone, Copy, Debug)]
pub struct PlanStyle {
    /// Share of the usual step that one tray asks for.
    pub step_share: f64,
    /// Share of the lacking room that is taken from enamel.
    pub reduction_share: f64,
    /// How far teeth that are soon there are spread over the whole series: 0 not, 1 all the way.
    pub spread: f64,
}

impl PlanStyle {
    /// The style of a plan in a clinic.
    pub fn draw(values: &Parameters, clinic: &mut RandomStream, patient: &mut RandomStream) -> Self {
        let own = values.clinic.staging_mean + values.clinic.staging_sd * clinic.normal();
        let reduction = values.plan.reduction_share + values.plan.reduction_sd * patient.normal();
        Self { step_share: own.clamp(0.4, 1.0), reduction_share: reduction.clamp(0.0, 1.0), spread: patient.unit() }
    }
}

/// What is asked for in one series.
pub struct Task<'a> {
    /// The patient.
    pub person: &'a Person,
    /// The aim of the whole treatment.
    pub aim: &'a Aim,
    /// How far each tooth is to move in this series.
    pub moves: &'a ForTeeth<Moves>,
    /// Reductions to be planned, in hundredths of a millimetre.
    pub reductions: Vec<([Tooth; 2], i32)>,
    /// The number of the series.
    pub number: i32,
}

/// A segment of movement of one tooth. Totals are whole hundredths.
#[derive(Clone, Copy, Debug)]
pub struct Segment {
    /// The tooth.
    pub tooth: Tooth,
    /// Its totals along the axes.
    pub moves: Moves,
    /// The first tray that moves it.
    pub from: i32,
    /// The last tray that moves it.
    pub to: i32,
}

/// Enamel to be removed at a contact.
#[derive(Clone, Copy, Debug)]
pub struct StagedReduction {
    /// The two teeth.
    pub between: [Tooth; 2],
    /// The amount in whole hundredths of a millimetre.
    pub amount: i32,
    /// The tray before which it is to be done.
    pub before_tray: i32,
}

/// One series of trays.
#[derive(Clone, Debug, Default)]
pub struct SeriesPlan {
    /// How many trays the upper and the lower arch have.
    pub trays: [i32; 2],
    /// The movements, by tooth.
    pub segments: Vec<Segment>,
    /// The attachments, by tooth.
    pub attachments: Vec<Attachment>,
    /// The reductions.
    pub reductions: Vec<StagedReduction>,
    /// The elastics.
    pub elastics: Vec<Elastic>,
}

impl SeriesPlan {
    /// Trays of the longer arch.
    pub fn longest(&self) -> i32 {
        self.trays[0].max(self.trays[1])
    }
}
