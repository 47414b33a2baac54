//! Values that follow from a record, each defined once.

pub mod arches;
pub mod as_of;
pub mod bonds;
pub mod course;
pub mod values;
mod wear_periods;

use crate::number::Hundredths;
use crate::record::CrownWidthRow;
use crate::teeth::{Arch, Tooth};

/// Front teeth on a side: central incisor, lateral incisor, canine.
const FRONT: u8 = 3;
/// Teeth on a side from the central incisor to the first molar.
const TO_FIRST_MOLAR: u8 = 6;

/// Little's irregularity index in millimetres (Little 1975): the five displacements between neighbouring contact points
/// of the six front teeth of an arch, added up without their signs. None unless there are five.
pub fn irregularity_index(contact_displacements_mm: &[Hundredths]) -> Option<Hundredths> {
    let five: &[Hundredths; 5] = contact_displacements_mm.try_into().ok()?;
    Some(Hundredths(five.iter().map(|offset| offset.abs().0).sum()))
}

/// Bolton's overall ratio in percent (Bolton 1958): widths of the twelve lower teeth from first molar to first molar
/// divided by those of the upper ones. None unless all twenty-four are recorded.
pub fn bolton_overall(widths: &[CrownWidthRow]) -> Option<Hundredths> {
    ratio(widths, TO_FIRST_MOLAR)
}

/// Bolton's anterior ratio in percent (Bolton 1958): widths of the six lower front teeth divided by those of the upper
/// ones. None unless all twelve are recorded.
pub fn bolton_anterior(widths: &[CrownWidthRow]) -> Option<Hundredths> {
    ratio(widths, FRONT)
}

/// Widths of the lower teeth up to a position, in percent of those of the upper ones, to the nearest hundredth.
fn ratio(widths: &[CrownWidthRow], to_position: u8) -> Option<Hundredths> {
    let mut first = [0i64; Tooth::COUNT];
    for row in widths.iter().rev().filter(|row| counts(row.tooth, to_position)) {
        first[row.tooth.index()] = i64::from(row.width_mm.0);
    }
    let mut sums = [0i64; Arch::ALL.len()];
    for tooth in Tooth::all().filter(|tooth| counts(*tooth, to_position)) {
        match first[tooth.index()] {
            0 => return None,
            width => sums[tooth.arch() as usize] += width,
        }
    }
    let [upper, lower] = sums;
    Some(Hundredths(((lower * 20_000 + upper) / (2 * upper)) as i32))
}

fn counts(tooth: Tooth, to_position: u8) -> bool {
    !tooth.is_primary() && tooth.position() <= to_position
}
