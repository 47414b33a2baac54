//! Measurements of an assessment compared with each other.

use oar_schema::derived::irregularity_index;
use oar_schema::number::Hundredths;
use oar_schema::record::AssessmentRow;
use oar_schema::teeth::{Arch, ToothSet};

use super::Mouth;
use crate::check::rules::prelude::*;

/// The last position, the second premolar, whose tooth counts when an arch lacks room.
const BEFORE_MOLARS: u8 = 5;

pub(super) fn assessment_disagrees(case: &Case<'_>, found: &mut Found) {
    for (i, assessment) in case[case.assessments].iter().enumerate() {
        for arch in Arch::ALL {
            let Some((crowding, irregularity)) = measures(case, assessment, arch) else { continue };
            let short = lacks_room_though_aligned(case, crowding, irregularity) && all_teeth_stand(case, arch);
            let wide = has_room_though_irregular(case, crowding, irregularity);
            let room = match (short, wide) {
                (true, _) => args!["crowding" = crowding],
                (_, true) => args!["spare" = crowding.abs()],
                _ => continue,
            };
            let args = [args!["arch" = arch.as_str(), "irregularity" = irregularity], room].concat();
            let stated = found.add(at!["assessments", i, "crowding_mm", arch.as_str()], args);
            stated.related(at!["assessments", i, "contact_displacements_mm", arch.as_str()]);
        }
    }
}

/// Crowding and irregularity of an arch, where both were measured.
fn measures(case: &Case<'_>, assessment: &AssessmentRow, arch: Arch) -> Option<(Hundredths, Hundredths)> {
    let (crowding, offsets) = (assessment.crowding_mm.as_ref()?, assessment.contact_displacements_mm.as_ref()?);
    let (crowding, offsets) = match arch {
        Arch::Upper => (crowding.upper?, offsets.upper?),
        Arch::Lower => (crowding.lower?, offsets.lower?),
    };
    Some((crowding, irregularity_index(&case[offsets])?))
}

fn lacks_room_though_aligned(case: &Case<'_>, crowding: Hundredths, irregularity: Hundredths) -> bool {
    i64::from(irregularity.0) <= case.limits.aligned_irregularity_mm
        && i64::from(crowding.0) > case.limits.crowding_when_aligned_mm
}

fn has_room_though_irregular(case: &Case<'_>, crowding: Hundredths, irregularity: Hundredths) -> bool {
    i64::from(irregularity.0) > case.limits.extreme_irregularity_mm
        && i64::from(-crowding.0) > case.limits.space_when_irregular_mm
}

/// Whether all permanent teeth in front of the molars are present in an arch. Room that is lacking for an unerupted
/// tooth, or beside primary teeth, leaves the front teeth aligned.
fn all_teeth_stand(case: &Case<'_>, arch: Arch) -> bool {
    let mouth = Mouth::of(case);
    let apart: ToothSet = mouth.absent.union(mouth.primary);
    !apart.iter().any(|tooth| tooth.arch() == arch && tooth.position() <= BEFORE_MOLARS)
}
