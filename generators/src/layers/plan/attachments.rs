//! Which teeth get attachments: round teeth that turn, teeth that come down, roots that move, and anchors beside them.

use oar_schema::record::{Attachment, AttachmentShape, Id, Orientation, Support};
use oar_schema::teeth::{Arch, Surface, Tooth};

use super::{SeriesPlan, Task};
use crate::mouth::{AXES, FACIAL, MESIAL, Moves, OCCLUSAL, ROTATION, TIP, TORQUE};
use crate::random::RandomStream;
use crate::recipe::PlanValues;

/// A shift along the arch from which on an attachment keeps the root with the crown.
const BODILY_MM: f64 = 1.0;

/// Chooses the attachments of a series.
pub fn choose(values: &PlanValues, task: &Task<'_>, plan: &SeriesPlan, stream: &mut RandomStream) -> Vec<Attachment> {
    let mut chosen = Vec::new();
    for arch in Arch::ALL.into_iter().filter(|arch| plan.trays[*arch as usize] > 0) {
        for tooth in task.person.mouth.natural.iter().filter(|tooth| tooth.arch() == arch && tooth.position() <= 7) {
            let anchors = stream.chance(values.attachment_anchor_share);
            if task.aim.rooms[arch as usize].extracted.contains(&tooth) {
                continue;
            }
            let moves = total(plan, tooth);
            let mut supports = supports(values, tooth, &moves);
            if supports.is_empty() && anchors && matches!(tooth.position(), 4..=6) {
                supports.push(Support::Anchorage);
            }
            if !supports.is_empty() {
                chosen.push(attachment(task.number, tooth, supports, plan.trays[arch as usize]));
            }
        }
    }
    chosen
}

fn total(plan: &SeriesPlan, tooth: Tooth) -> Moves {
    let mut total = [0.0; AXES];
    for segment in plan.segments.iter().filter(|segment| segment.tooth == tooth) {
        for (sum, value) in total.iter_mut().zip(segment.moves) {
            *sum += value;
        }
    }
    total
}

/// The movements of a tooth that need a hold.
fn supports(values: &PlanValues, tooth: Tooth, moves: &Moves) -> Vec<Support> {
    let kind = tooth.kind();
    let round = kind.is_canine() || kind.is_premolar();
    let mut supports = Vec::new();
    if round && moves[ROTATION].abs() >= values.attachment_rotation_deg
        || !round && moves[ROTATION].abs() >= 2.5 * values.attachment_rotation_deg
    {
        supports.push(Support::Rotation);
    }
    if moves[OCCLUSAL] >= values.attachment_extrusion_mm {
        supports.push(Support::Extrusion);
    }
    if moves[TORQUE].abs() >= values.attachment_torque_deg {
        supports.push(Support::Torque);
    }
    if moves[TIP].abs() >= values.attachment_tip_deg {
        supports.push(Support::Tip);
    }
    if moves[MESIAL].abs() >= BODILY_MM {
        supports.push(if moves[MESIAL] > 0.0 { Support::Mesial } else { Support::Distal });
    }
    supports
}

fn attachment(number: i32, tooth: Tooth, supports: Vec<Support>, trays: i32) -> Attachment {
    let letter = char::from(b'A' + (number % 26) as u8);
    let (shape, orientation) = match supports[0] {
        Support::Extrusion => (AttachmentShape::Wedge, Orientation::Horizontal),
        Support::Torque => (AttachmentShape::Rounded, Orientation::Horizontal),
        Support::Anchorage => (AttachmentShape::Block, Orientation::Horizontal),
        _ => (AttachmentShape::Block, Orientation::Vertical),
    };
    let id = Id(format!("{letter}{tooth}"));
    Attachment::new(id, tooth, Surface::Facial, shape, 1, trays).orientation(orientation).supports(supports)
}

/// Whether an attachment is there for a movement along an axis.
pub fn is_for(attachment: &Attachment, axis: usize, toward: f64) -> bool {
    attachment.supports.iter().flatten().any(|support| match support {
        Support::Mesial => axis == MESIAL && toward > 0.0,
        Support::Distal => axis == MESIAL && toward < 0.0,
        Support::Facial => axis == FACIAL && toward > 0.0,
        Support::Lingual => axis == FACIAL && toward < 0.0,
        Support::Extrusion => axis == OCCLUSAL && toward > 0.0,
        Support::Intrusion => axis == OCCLUSAL && toward < 0.0,
        Support::Rotation => axis == ROTATION,
        Support::Tip => axis == TIP,
        Support::Torque => axis == TORQUE,
        Support::Anchorage => false,
    })
}
