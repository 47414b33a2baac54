//! Sums and sets over contacts, without allocation.

use oar_schema::number::Hundredths;
use oar_schema::teeth::{Side, Tooth};

/// The two teeth of a contact.
pub(crate) type Pair = [Tooth; 2];

/// How many pairs of teeth there are, in either order.
const PAIRS: usize = Tooth::COUNT * Tooth::COUNT;

/// The place of a pair in a table, the same in either order.
fn place([one, other]: Pair) -> usize {
    one.min(other).index() * Tooth::COUNT + one.max(other).index()
}

/// How far apart the teeth of a contact may be along the arch, to either side.
const REACH: i32 = 8;

/// Contacts of each tooth that have a place of their own: to either side, with permanent and with primary teeth.
const NEAR: usize = 4 * REACH as usize;

/// The place of a contact in the small table; none for teeth that lie too far apart to touch.
fn near([one, other]: Pair) -> Option<usize> {
    let (low, high) = (one.min(other), one.max(other));
    let apart = along(high) - along(low) + REACH;
    let primary = NEAR / 2 * usize::from(high.is_primary());
    let table = low.index() * NEAR + primary;
    (low.arch() == high.arch() && (0..2 * REACH).contains(&apart)).then(|| table + apart as usize)
}

/// Positions along the arch, from the patient's right to the left.
fn along(tooth: Tooth) -> i32 {
    let position = i32::from(tooth.position());
    if tooth.side() == Side::Right { 1 - position } else { position }
}

/// Enamel removed at each contact, in hundredths of a millimetre. Teeth that cannot touch have none: another rule reports
/// them.
pub(crate) struct EnamelTotals([i16; Tooth::COUNT * NEAR]);

impl Default for EnamelTotals {
    fn default() -> Self {
        Self([0; Tooth::COUNT * NEAR])
    }
}

impl EnamelTotals {
    /// Enamel removed at a contact so far.
    pub(crate) fn at(&self, between: Pair) -> i32 {
        near(between).map_or(0, |place| i32::from(self.0[place]))
    }

    /// Adds an amount at a contact.
    pub(crate) fn add(&mut self, between: Pair, amount: Hundredths) {
        if let Some(place) = near(between) {
            let amount = i16::try_from(amount.0).unwrap_or(i16::MAX);
            self.0[place] = self.0[place].saturating_add(amount);
        }
    }

    /// The contacts at which enamel is removed, with how much of it.
    pub(crate) fn each(&self) -> impl Iterator<Item = (Pair, i32)> + '_ {
        let pairs = Tooth::all().flat_map(|one| Tooth::all().map(move |other| [one, other]));
        pairs.filter(|[one, other]| one <= other).map(|pair| (pair, self.at(pair))).filter(|(_, amount)| *amount > 0)
    }
}

/// A set of contacts.
#[derive(Debug)]
pub(crate) struct ContactSet([u64; PAIRS.div_ceil(64)]);

impl Default for ContactSet {
    fn default() -> Self {
        Self([0; PAIRS.div_ceil(64)])
    }
}

impl ContactSet {
    /// Whether the contact is in the set.
    pub(crate) fn contains(&self, between: Pair) -> bool {
        let place = place(between);
        self.0[place / 64] >> (place % 64) & 1 == 1
    }

    /// Adds a contact. Returns whether it was new to the set.
    pub(crate) fn insert(&mut self, between: Pair) -> bool {
        let new = !self.contains(between);
        let place = place(between);
        self.0[place / 64] |= 1 << (place % 64);
        new
    }
}

#[cfg(test)]
mod tests {
    use std::collections::BTreeMap;

    use oar_schema::teeth::Tooth;

    use super::near;

    #[test]
    fn contacts_near_each_other_have_places_of_their_own_in_either_order() {
        let mut seen = BTreeMap::new();
        for one in Tooth::all() {
            for other in Tooth::all().filter(|other| one < *other) {
                let place = near([one, other]);
                assert_eq!(place, near([other, one]));
                if let Some(earlier) = place.and_then(|place| seen.insert(place, (one, other))) {
                    panic!("{one} {other} and {earlier:?}");
                }
            }
        }
        let teeth = |one, other| [Tooth::new(one), Tooth::new(other)].map(Option::unwrap);
        assert!(
            [(11, 21), (33, 36), (13, 54), (41, 31)].iter().all(|(one, other)| near(teeth(*one, *other)).is_some())
        );
        assert!(near(teeth(13, 33)).is_none() && near(teeth(18, 28)).is_none());
    }
}
