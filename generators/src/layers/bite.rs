//! The molar relationship, and how elastics change it each day.

use oar_schema::record::{AngleClass, ElasticPattern};

use super::start::InitialState;
use crate::random::RandomStream;
use crate::recipe::BiteValues;

/// How far a lower molar is behind its position from which the class is II, and in front of it for III: a quarter of a
/// premolar's width (common practice).
const BORDER_MM: f64 = 1.5;
/// Days of a month.
const MONTH: f64 = 30.4;
/// Minutes of wear that count as full.
const FULL_MINUTES: f64 = 1320.0;

/// The molar relationship of both sides, right and left.
#[derive(Clone, Debug)]
pub struct Bite {
    /// How far the lower molar is behind its place, in millimetres; negative is in front of it.
    offset_mm: [f64; 2],
    /// What elastics have corrected of it.
    corrected_mm: [f64; 2],
    /// Share of the prescribed hours that elastics are worn when trays are worn in full.
    worn_share: f64,
}

impl Bite {
    /// Draws how far molars are off within their class.
    pub fn draw(values: &BiteValues, start: &InitialState, stream: &mut RandomStream) -> Self {
        let offset_mm = start.molars.map(|class| {
            let off = (values.class_sd_mm * stream.normal()).abs().min(values.class_most_mm) + 0.1;
            let within = off.min(BORDER_MM - 0.1) * if stream.chance(0.5) { 1.0 } else { -1.0 };
            match class {
                AngleClass::ClassI => within,
                AngleClass::ClassII => BORDER_MM + off,
                AngleClass::ClassIII => -BORDER_MM - off,
            }
        });
        let spread = stream.between(0.6, 1.4);
        Self { offset_mm, corrected_mm: [0.0; 2], worn_share: (values.elastics_worn_share * spread).min(1.0) }
    }

    /// A day of wear in minutes, with elastics of that pattern on a side, prescribed for some minutes.
    pub fn pull(&mut self, values: &BiteValues, side: usize, pattern: ElasticPattern, minutes: (i32, i32)) {
        let toward = match pattern {
            ElasticPattern::ClassII => 1.0,
            ElasticPattern::ClassIII => -1.0,
            _ => return,
        };
        let left = (self.offset_mm[side] - self.corrected_mm[side]) * toward;
        let (worn, goal) = (f64::from(minutes.0), f64::from(minutes.1));
        let share = self.worn_share * (worn / FULL_MINUTES).min(1.0) * (goal / FULL_MINUTES).min(1.0);
        let step = values.elastics_mm_per_month / MONTH * share;
        self.corrected_mm[side] += toward * step.min(left.max(0.0));
    }

    /// The class of both sides, when upper and lower first molars have moved mesially so far; right and left.
    pub fn classes(&self, upper_mm: [f64; 2], lower_mm: [f64; 2]) -> [AngleClass; 2] {
        std::array::from_fn(|side| {
            let offset = self.offset_mm[side] - self.corrected_mm[side] + upper_mm[side] - lower_mm[side];
            match offset {
                _ if offset >= BORDER_MM => AngleClass::ClassII,
                _ if offset <= -BORDER_MM => AngleClass::ClassIII,
                _ => AngleClass::ClassI,
            }
        })
    }

    /// How much smaller overjet has become by elastics.
    pub fn overjet_corrected_mm(&self, values: &BiteValues) -> f64 {
        values.elastics_overjet_share * (self.corrected_mm[0] + self.corrected_mm[1]) / 2.0
    }
}
