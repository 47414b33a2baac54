//! Which teeth are neighbours.
//!
//! An arch is a row of sixteen slots, from the patient's right third molar across the midline to
//! the left one. A slot belongs to a permanent tooth and, at positions 1 to 5, to the primary
//! tooth it replaces. One tooth holds a slot:
//!
//! - the primary tooth, if it is present; its successor, if also listed, is assumed to be unerupted beneath it;
//! - otherwise the permanent tooth, if it is present;
//! - otherwise the slot is empty, and its neighbours are neighbours of each other.
//!
//! The caller says which teeth are present (crowns in the arch, bridge teeth among them), so a
//! mixed dentition needs no special case: 16 is next to 55 until 55 is gone, then next to 15.
//! A tooth that does not hold its slot has no neighbours, so the relation is always symmetric.
//! The width of a space is not known here: teeth on either side of a wide one are neighbours.

use super::notation::AROUND;
use super::{Arch, Side, Tooth, ToothSet};

/// Slots in an arch.
const SLOTS: usize = 16;

impl Tooth {
    /// The mesial and the distal neighbour among the teeth present, in this order.
    ///
    /// The mesial neighbour of the tooth nearest to the midline is on the other side. Slots
    /// without a tooth are skipped; a tooth that does not hold its slot has no neighbours. See
    /// the notes of [`are_neighbours`] on who holds a slot.
    pub fn neighbours(self, present: &ToothSet) -> [Option<Self>; 2] {
        let slot = self.slot();
        if holder(self.arch(), slot, *present) != Some(self) {
            return [None; 2];
        }
        let to_right = (0..slot).rev().find_map(|at| holder(self.arch(), at, *present));
        let to_left = (slot + 1..SLOTS).find_map(|at| holder(self.arch(), at, *present));
        match self.side() {
            Side::Right => [to_left, to_right],
            Side::Left => [to_right, to_left],
        }
    }

    /// The slot in its arch, 0 at the patient's right third molar to 15 at the left one.
    fn slot(self) -> usize {
        let position = usize::from(self.position());
        match self.side() {
            Side::Right => SLOTS / 2 - position,
            Side::Left => SLOTS / 2 - 1 + position,
        }
    }
}

/// Whether two teeth are neighbours among the teeth present.
///
/// A slot of the arch is held by the primary tooth if that is present, otherwise by the permanent
/// one; empty slots are skipped, including across the midline.
///
/// ```
/// use oar_schema::teeth::{Tooth, ToothSet, are_neighbours};
///
/// let [canine, first, second] = [13, 14, 15].map(|fdi| Tooth::new(fdi).unwrap());
/// let mut present = ToothSet::PERMANENT;
/// assert!(!are_neighbours(canine, second, &present));
/// present.remove(first);
/// assert!(are_neighbours(canine, second, &present));
/// ```
pub fn are_neighbours(a: Tooth, b: Tooth, present: &ToothSet) -> bool {
    a.neighbours(present).contains(&Some(b))
}

/// The tooth that holds a slot of an arch.
fn holder(arch: Arch, slot: usize, present: ToothSet) -> Option<Tooth> {
    let permanent = match arch {
        Arch::Upper => AROUND[slot],
        Arch::Lower => AROUND[AROUND.len() - 1 - slot],
    };
    let primary = permanent.predecessor();
    primary.into_iter().chain([permanent]).find(|&tooth| present.contains(tooth))
}
