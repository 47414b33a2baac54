//! The teeth of one patient: which are present, how wide, in which rows, and how far from their ideal positions.

use oar_schema::teeth::{Arch, Side, Tooth, ToothSet};

use crate::maths::sin_deg;

/// Six axes of movement, with the signs of the format.
pub const AXES: usize = 6;
/// Toward the midline, in millimetres.
pub const MESIAL: usize = 0;
/// Toward the lip or cheek, in millimetres.
pub const FACIAL: usize = 1;
/// Toward the opposing arch, in millimetres.
pub const OCCLUSAL: usize = 2;
/// Mesial surface toward the tongue, in degrees.
pub const ROTATION: usize = 3;
/// Mesial tip of the crown, in degrees.
pub const TIP: usize = 4;
/// Facial torque of the crown, in degrees.
pub const TORQUE: usize = 5;

/// A displacement along all axes: the first three in millimetres, the others in degrees.
pub type Moves = [f64; AXES];

/// Something for each tooth, by its index.
pub type ForTeeth<T> = [T; Tooth::COUNT];

/// Teeth of one side that are in front.
const FRONT: u8 = 3;

/// The teeth of one patient.
#[derive(Clone, Debug)]
pub struct SimulatedMouth {
    /// Crowns that are present in the arch, on roots, implants or as pontics.
    pub standing: ToothSet,
    /// Permanent teeth on their own roots: those that can be moved.
    pub natural: ToothSet,
    /// Permanent teeth that are missing and not replaced.
    pub absent: ToothSet,
    /// Primary teeth that are present.
    pub primary: ToothSet,
    /// Crowns on implants.
    pub implants: ToothSet,
    /// Pontics.
    pub pontics: ToothSet,
    /// Crown widths in millimetres; third molars have those of second molars.
    pub widths: ForTeeth<f64>,
}

impl SimulatedMouth {
    /// The teeth present in an arch, from the patient's right to the left.
    pub fn row(&self, arch: Arch) -> Vec<Tooth> {
        let mut row: Vec<Tooth> = self.standing.iter().filter(|tooth| tooth.arch() == arch).collect();
        row.sort_by_key(|tooth| place(*tooth));
        row
    }
}

/// The position of a tooth along its arch; the right side is below 0.
pub fn place(tooth: Tooth) -> i32 {
    let position = i32::from(tooth.position());
    match tooth.side() {
        Side::Right => -position,
        Side::Left => position,
    }
}

/// The permanent tooth at a position of an arch, on the right and on the left.
pub fn pair(arch: Arch, position: u8) -> [Option<Tooth>; 2] {
    let [right, left] = match arch {
        Arch::Upper => [1, 2],
        Arch::Lower => [4, 3],
    };
    [Tooth::new(right * 10 + position), Tooth::new(left * 10 + position)]
}

/// The six front teeth of an arch, from the right canine to the left one.
pub fn front(arch: Arch) -> impl Iterator<Item = Tooth> {
    let [right, left] = [0, 1].map(|side| (1..=FRONT).filter_map(move |position| pair(arch, position)[side]));
    right.rev().chain(left)
}

/// The five contact displacements of the six front teeth, across the arch, in millimetres. A contact point is half the width
/// of a crown from its middle and rotates with the tooth. None if a front tooth is missing.
pub fn contact_offsets(mouth: &SimulatedMouth, arch: Arch, deviation: &ForTeeth<Moves>) -> Option<[f64; 5]> {
    let teeth: Vec<Tooth> = front(arch).filter(|tooth| mouth.standing.contains(*tooth)).collect();
    let teeth: [Tooth; 6] = teeth.try_into().ok()?;
    let point = |tooth: Tooth, toward_left: bool| {
        let moves = &deviation[tooth.index()];
        let mesial = (tooth.side() == Side::Right) == toward_left;
        let half = mouth.widths[tooth.index()] / 2.0 * sin_deg(moves[ROTATION]);
        moves[FACIAL] + if mesial { -half } else { half }
    };
    Some(std::array::from_fn(|contact| point(teeth[contact], true) - point(teeth[contact + 1], false)))
}

/// Little's irregularity index from contact displacements, ignoring their signs.
pub fn irregularity(offsets: &[f64; 5]) -> f64 {
    offsets.iter().map(|offset| offset.abs()).sum()
}
