//! The positions of the teeth before treatment. Large crowns in a small jaw lack space; crowns that overlap slip past each
//! other; the irregularity index is then measured at the contact points.

use oar_schema::record::AngleClass;
use oar_schema::teeth::{Arch, Tooth};

use super::population::Person;
use crate::mouth::{FACIAL, ForTeeth, Moves, OCCLUSAL, ROTATION, TIP, TORQUE, place};
use crate::random::RandomStream;
use crate::recipe::StartValues;

/// Neighbours tend to be displaced to opposite sides of the arch.
const ZIGZAG: f64 = 0.7;

/// How far a tooth is turned that came through turned: from, on average more, and at most (assumptions).
const TURNED_FROM_DEG: f64 = 25.0;
const TURNED_MORE_DEG: f64 = 14.0;
const TURNED_MOST_DEG: f64 = 75.0;

/// One arch at the start.
#[derive(Clone, Debug)]
pub struct ArchStart {
    /// The standing teeth, from the patient's right to the left.
    pub row: Vec<Tooth>,
    /// How much each crown overlaps the next one along the arch, in millimetres; negative is a space.
    pub overlaps: Vec<f64>,
    /// Their sum: how much room is lacking.
    pub crowding_mm: f64,
}

/// The bite and both arches at the start.
#[derive(Clone, Debug)]
pub struct InitialState {
    /// Upper and lower arch.
    pub arches: [ArchStart; 2],
    /// How the first molars meet, right and left.
    pub molars: [AngleClass; 2],
    /// Overjet in millimetres.
    pub overjet_mm: f64,
    /// Overbite in millimetres.
    pub overbite_mm: f64,
    /// How far each tooth is from an ideal arch.
    pub deviation: ForTeeth<Moves>,
}

/// Draws the positions of the teeth of a person.
pub fn draw(values: &StartValues, person: &Person, stream: &mut RandomStream) -> InitialState {
    let mut deviation = [[0.0; 6]; Tooth::COUNT];
    let shared = stream.normal();
    let arches = Arch::ALL.map(|arch| arch_start(values, person, arch, shared, &mut deviation, stream));
    let molars = molars(values, stream);
    let step = |class: AngleClass| match class {
        AngleClass::ClassI => 0.0,
        AngleClass::ClassII => 0.5,
        AngleClass::ClassIII => -0.5,
    };
    let class = step(molars[0]) + step(molars[1]);
    let overjet_mm = values.overjet_mm + values.overjet_class_mm * class + values.overjet_sd_mm * stream.normal();
    let overbite_mm = values.overbite_mm + values.overbite_sd_mm * stream.normal();
    InitialState {
        arches,
        molars,
        overjet_mm: overjet_mm.clamp(-4.0, 12.0),
        overbite_mm: overbite_mm.clamp(-3.0, 9.0),
        deviation,
    }
}

/// Some teeth erupted with a far larger rotation than their neighbours: round teeth and upper laterals.
pub fn turn_some(values: &StartValues, start: &mut InitialState, stream: &mut RandomStream) {
    let rows: Vec<Tooth> = start.arches.iter().flat_map(|arch| arch.row.clone()).collect();
    for tooth in rows {
        let kind = tooth.kind();
        let turns = kind.is_canine() || kind.is_premolar() || (tooth.arch() == Arch::Upper && tooth.position() == 2);
        let (happens, more) = (stream.unit(), stream.exponential(TURNED_MORE_DEG));
        if turns && happens < values.turned_share {
            let toward = if start.deviation[tooth.index()][ROTATION] < 0.0 { -1.0 } else { 1.0 };
            start.deviation[tooth.index()][ROTATION] = toward * (TURNED_FROM_DEG + more).min(TURNED_MOST_DEG);
        }
    }
}

fn molars(values: &StartValues, stream: &mut RandomStream) -> [AngleClass; 2] {
    let (second, third) = (values.class_ii_share, values.class_iii_share);
    let classes = [AngleClass::ClassI, AngleClass::ClassII, AngleClass::ClassIII];
    let class = classes[stream.choice(&[(1.0 - second - third).max(0.0), second, third])];
    let one_sided = stream.chance(values.one_sided_share);
    let left = stream.chance(0.5);
    match (one_sided, left) {
        (true, true) => [AngleClass::ClassI, class],
        (true, false) => [class, AngleClass::ClassI],
        _ => [class, class],
    }
}

fn arch_start(
    values: &StartValues,
    person: &Person,
    arch: Arch,
    shared: f64,
    deviation: &mut ForTeeth<Moves>,
    stream: &mut RandomStream,
) -> ArchStart {
    let row = person.mouth.row(arch);
    let mean = match arch {
        Arch::Upper => values.crowding_upper_mm,
        Arch::Lower => values.crowding_lower_mm,
    };
    let by_width = values.crowding_width_correlation;
    let rest = (1.0 - by_width * by_width).sqrt();
    let together = values.crowding_arch_correlation.sqrt();
    let alone = (1.0 - values.crowding_arch_correlation).sqrt();
    let jaw = together * shared + alone * stream.normal();
    let score = by_width * person.width_score + rest * jaw;
    let crowding = mean + values.crowding_sd_mm * score - room_of_missing(person, arch);
    let overlaps = spread(values, &row, crowding, stream);
    set_across(values, arch, &row, &overlaps, deviation, stream);
    set_turns(values, &row, crowding, deviation, stream);
    ArchStart { crowding_mm: overlaps.iter().sum(), row, overlaps }
}

/// A tooth that never formed or was lost leaves some of its room, most of which closes by itself.
fn room_of_missing(person: &Person, arch: Arch) -> f64 {
    let missing = person.mouth.absent.iter().filter(|tooth| tooth.arch() == arch && tooth.position() <= 6);
    let primary = |tooth: &Tooth| tooth.predecessor().is_some_and(|primary| person.mouth.primary.contains(primary));
    missing.filter(|tooth| !primary(tooth)).map(|tooth| 0.2 * person.mouth.widths[tooth.index()]).sum()
}

/// Shares the lacking room, or the spare one, among the contacts.
fn spread(values: &StartValues, row: &[Tooth], crowding: f64, stream: &mut RandomStream) -> Vec<f64> {
    let shares: Vec<f64> = row
        .windows(2)
        .map(|pair| {
            let from_midline = if place(pair[0]) < 0 && place(pair[1]) > 0 {
                0
            } else {
                pair[0].position().min(pair[1].position()) as usize
            };
            let weight = values.overlap_weights.get(from_midline).copied().unwrap_or(0.0);
            weight * stream.gamma(values.overlap_evenness)
        })
        .collect();
    let sum: f64 = shares.iter().sum::<f64>().max(1e-9);
    shares.iter().map(|share| crowding * share / sum).collect()
}

/// Sets teeth across the arch: where two crowns overlap, they slip past each other as two curves do.
fn set_across(
    values: &StartValues,
    arch: Arch,
    row: &[Tooth],
    overlaps: &[f64],
    deviation: &mut ForTeeth<Moves>,
    stream: &mut RandomStream,
) {
    let mut across = vec![0.0; row.len()];
    let toss = stream.unit();
    let mut sign = 1.0;
    for (contact, overlap) in overlaps.iter().enumerate() {
        let slip = 2.0 * (values.contact_radius_mm * overlap.max(0.0)).sqrt();
        across[contact + 1] = across[contact] + sign * slip;
        sign = if stream.chance(ZIGZAG) { -sign } else { sign };
    }
    let count = f64::from(row.len().max(2) as u32 - 1);
    let drift = across.last().copied().unwrap_or(0.0) / count;
    let mut along = 0.0;
    for offset in &mut across {
        *offset -= drift * along;
        along += 1.0;
    }
    let behind = if arch == Arch::Upper { values.laterals_behind_share } else { 0.5 };
    if (laterals_out(row, &across) > 0.0) == (toss < behind) {
        for offset in &mut across {
            *offset = -*offset;
        }
    }
    let mean = across.iter().sum::<f64>() / (count + 1.0);
    for (tooth, offset) in row.iter().zip(&across) {
        let back = if tooth.position() > 5 { 0.5 } else { 1.0 };
        deviation[tooth.index()][FACIAL] =
            (offset - mean).clamp(-3.5, 3.5) * back + values.facial_sd_mm * stream.normal();
    }
}

/// How far the laterals are outward of their neighbours, in total.
fn laterals_out(row: &[Tooth], across: &[f64]) -> f64 {
    let triples = row.windows(3).zip(across.windows(3)).filter(|(teeth, _)| teeth[1].position() == 2);
    triples.map(|(_, offsets)| offsets[1] - f64::midpoint(offsets[0], offsets[2])).sum()
}

fn set_turns(
    values: &StartValues,
    row: &[Tooth],
    crowding: f64,
    deviation: &mut ForTeeth<Moves>,
    stream: &mut RandomStream,
) {
    let more = 0.6 + 0.35 * crowding.abs().sqrt();
    for tooth in row {
        let by_position = usize::from(tooth.position().min(7)) - 1;
        let rotations = match tooth.arch() {
            Arch::Upper => values.rotation_sd_upper_deg,
            Arch::Lower => values.rotation_sd_lower_deg,
        };
        let front = tooth.kind().is_anterior();
        let vertical = if front { 1.0 } else { 0.4 };
        let lean = if front { 1.0 } else { 0.6 };
        let moves = &mut deviation[tooth.index()];
        moves[ROTATION] = (rotations[by_position] * more * stream.normal()).clamp(-50.0, 50.0);
        moves[TIP] = (values.tip_sd_deg * stream.normal()).clamp(-12.0, 12.0);
        moves[TORQUE] = (values.torque_sd_deg * lean * stream.normal()).clamp(-14.0, 14.0);
        let short = values.behind_short_share * vertical * (-moves[FACIAL]).max(0.0);
        moves[OCCLUSAL] = (values.vertical_sd_mm * vertical * stream.normal() - short).clamp(-2.0, 2.0);
    }
}
