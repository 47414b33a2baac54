//! Elastics: whether they hang as their pattern says.

use oar_schema::record::{ElasticPattern, ElasticRow};
use oar_schema::teeth::{Arch, Side, Tooth};

/// How many teeth a vertical or cross elastic may lean to the front or back.
const LEAN: i32 = 2;

/// Whether an elastic hangs on an upper and a lower tooth, as its pattern says.
pub(crate) fn hangs_as_its_pattern_says(elastic: &ElasticRow) -> bool {
    elastic.upper_tooth.arch() == Arch::Upper && elastic.lower_tooth.arch() == Arch::Lower && hangs_right(elastic)
}

/// Whether an elastic between an upper and a lower tooth pulls as its pattern says.
pub(crate) fn hangs_right(elastic: &ElasticRow) -> bool {
    let (upper, lower) = (elastic.upper_tooth, elastic.lower_tooth);
    let same_side = upper.side() == lower.side();
    match elastic.pattern {
        ElasticPattern::ClassII => same_side && upper.position() < lower.position(),
        ElasticPattern::ClassIII => same_side && upper.position() > lower.position(),
        ElasticPattern::Cross | ElasticPattern::Vertical => (along(upper) - along(lower)).abs() <= LEAN,
    }
}

/// Where a tooth stands along the arch, counted from the midline, the right side below 0.
fn along(tooth: Tooth) -> i32 {
    let position = i32::from(tooth.position());
    match tooth.side() {
        Side::Right => -position,
        Side::Left => position - 1,
    }
}
