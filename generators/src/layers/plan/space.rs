//! The sources of space: enamel, expansion, moving the front; teeth are extracted when these are not enough.

use oar_schema::teeth::{Arch, Tooth};

use super::PlanStyle;
use crate::layers::start::ArchStart;
use crate::mouth::{SimulatedMouth, pair};
use crate::recipe::PlanValues;

/// Reductions are planned in tenths of a millimetre.
const REDUCTION_STEP_MM: f64 = 0.1;
/// Share of the room beyond enamel that widening gives before the front goes forward.
const WIDENING_SHARE: f64 = 0.45;
/// Spaces: share that is closed by moving the front back.
const RETRACTION_SHARE: f64 = 0.5;
/// Most that the front goes back.
const RETRACTION_MOST_MM: f64 = 2.5;
/// Most that teeth are moved apart along an arch in all; what is lacking beyond it stays.
const APART_MOST_MM: f64 = 1.6;
/// The premolars that are extracted.
const EXTRACTED_POSITION: u8 = 4;

/// How room is found in an arch.
#[derive(Clone, Debug, Default)]
pub struct Room {
    /// How far back teeth go outward on each side, in millimetres.
    pub expansion_mm: f64,
    /// How far the front goes forward; negative is back.
    pub forward_mm: f64,
    /// Enamel to be removed, contact by contact, in hundredths of a millimetre.
    pub reductions: Vec<([Tooth; 2], i32)>,
    /// What is left for teeth to move apart along the arch, for each contact of the row; negative closes a space.
    pub apart: Vec<f64>,
    /// Teeth to be extracted.
    pub extracted: Vec<Tooth>,
}

/// Finds the room that an arch lacks, or closes its spaces.
pub fn find(values: &PlanValues, style: PlanStyle, mouth: &SimulatedMouth, arch: Arch, start: &ArchStart) -> Room {
    let lacking = start.crowding_mm;
    if lacking <= 0.0 {
        let forward_mm = (lacking * RETRACTION_SHARE / values.proclination_room).max(-RETRACTION_MOST_MM);
        let left = lacking - forward_mm * values.proclination_room;
        return Room { forward_mm, apart: shared(start, left), ..Room::default() };
    }
    let mut enamel = reduce(values, mouth, start, style.reduction_share * lacking);
    let widened = widen(values, lacking - total_mm(&enamel));
    if widened.2 > REDUCTION_STEP_MM {
        enamel = reduce(values, mouth, start, total_mm(&enamel) + widened.2);
    }
    let (expansion_mm, forward_mm, left) = widen(values, lacking - total_mm(&enamel));
    if left > values.extraction_from_mm
        && let Some(teeth) = premolars(mouth, arch)
    {
        return extract(values, mouth, start, teeth);
    }
    let apart = shared(start, left.min(APART_MOST_MM));
    Room { expansion_mm, forward_mm, reductions: enamel, apart, extracted: Vec::new() }
}

/// Premolars are extracted in this arch although it alone would not need it.
pub fn with_extraction(values: &PlanValues, mouth: &SimulatedMouth, arch: Arch, start: &ArchStart) -> Option<Room> {
    premolars(mouth, arch).map(|teeth| extract(values, mouth, start, teeth))
}

fn total_mm(reductions: &[([Tooth; 2], i32)]) -> f64 {
    reductions.iter().map(|(_, amount)| f64::from(*amount) / 100.0).sum()
}

/// Widening, then moving the front forward; what is left.
fn widen(values: &PlanValues, needed: f64) -> (f64, f64, f64) {
    let needed = needed.max(0.0);
    let expansion = (needed * WIDENING_SHARE / values.expansion_room).min(values.expansion_most_mm);
    let left = needed - expansion * values.expansion_room;
    let forward = (left / values.proclination_room).min(values.proclination_most_mm);
    (expansion, forward, left - forward * values.proclination_room)
}

/// Shares an amount among the contacts as their overlaps are.
fn shared(start: &ArchStart, amount: f64) -> Vec<f64> {
    let whole = if start.crowding_mm.abs() < 1e-6 { 1.0 } else { start.crowding_mm };
    start.overlaps.iter().map(|overlap| amount * overlap / whole).collect()
}

fn reduce(values: &PlanValues, mouth: &SimulatedMouth, start: &ArchStart, wanted: f64) -> Vec<([Tooth; 2], i32)> {
    let contacts = start.row.windows(2).zip(shared(start, wanted));
    let reduced = contacts.filter_map(|(teeth, share)| {
        let between = [teeth[0], teeth[1]];
        let cap = most_at(values, between);
        let steps = (share.min(cap) / REDUCTION_STEP_MM + 0.5).floor().min((cap / REDUCTION_STEP_MM).floor());
        let natural = between.iter().all(|tooth| mouth.natural.contains(*tooth) && tooth.position() <= 6);
        (natural && steps >= 1.0).then_some((between, steps as i32 * 10))
    });
    reduced.collect()
}

/// Most enamel that is planned at a contact.
pub fn most_at(values: &PlanValues, between: [Tooth; 2]) -> f64 {
    if between.iter().any(|tooth| tooth.kind().is_anterior()) {
        values.reduction_front_mm
    } else {
        values.reduction_back_mm
    }
}

fn premolars(mouth: &SimulatedMouth, arch: Arch) -> Option<[Tooth; 2]> {
    let [right, left] = pair(arch, EXTRACTED_POSITION);
    let teeth = [right?, left?];
    let all_stand = |tooth: &Tooth| {
        (1..=6).all(|position| {
            pair(tooth.arch(), position).into_iter().flatten().all(|tooth| mouth.natural.contains(tooth))
        })
    };
    teeth.iter().all(all_stand).then_some(teeth)
}

/// Two premolars are extracted: crowded front teeth spread into their spaces, the rest closes from both ends.
fn extract(values: &PlanValues, mouth: &SimulatedMouth, start: &ArchStart, teeth: [Tooth; 2]) -> Room {
    let gained: f64 = teeth.iter().map(|tooth| mouth.widths[tooth.index()]).sum();
    let surplus = (gained - start.crowding_mm).max(0.0);
    let forward_mm = (-0.45 * surplus / values.proclination_room).max(-RETRACTION_MOST_MM);
    Room { forward_mm, apart: start.overlaps.clone(), extracted: teeth.to_vec(), ..Room::default() }
}
