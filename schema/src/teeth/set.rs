//! A set of teeth in one machine word.

use std::fmt;

use super::Tooth;

/// The bits of the 32 permanent teeth, which come first in [`Tooth::index`].
const PERMANENT_BITS: u64 = u32::MAX as u64;

/// A set of teeth, one bit for each [`Tooth::index`].
#[derive(Clone, Copy, Default, PartialEq, Eq, Hash)]
pub struct ToothSet(u64);

impl ToothSet {
    /// The 32 permanent teeth.
    pub const PERMANENT: Self = Self(PERMANENT_BITS);

    /// The 20 primary teeth.
    pub const PRIMARY: Self = Self(((1 << Tooth::COUNT) - 1) & !PERMANENT_BITS);

    /// A set without teeth.
    pub const fn new() -> Self {
        Self(0)
    }

    /// Adds a tooth. Returns whether it was new to the set.
    pub const fn insert(&mut self, tooth: Tooth) -> bool {
        let is_new = !self.contains(tooth);
        self.0 |= bit(tooth);
        is_new
    }

    /// Takes a tooth out. Returns whether it was in the set.
    pub const fn remove(&mut self, tooth: Tooth) -> bool {
        let was_there = self.contains(tooth);
        self.0 &= !bit(tooth);
        was_there
    }

    /// Whether the tooth is in the set.
    pub const fn contains(self, tooth: Tooth) -> bool {
        self.0 & bit(tooth) != 0
    }

    /// How many teeth are in the set.
    pub const fn len(self) -> usize {
        self.0.count_ones() as usize
    }

    /// Whether there is no tooth in the set.
    pub const fn is_empty(self) -> bool {
        self.0 == 0
    }

    /// The teeth in either set.
    #[must_use]
    pub const fn union(self, other: Self) -> Self {
        Self(self.0 | other.0)
    }

    /// The teeth in both sets.
    #[must_use]
    pub const fn intersection(self, other: Self) -> Self {
        Self(self.0 & other.0)
    }

    /// The teeth of this set that are not in the other.
    #[must_use]
    pub const fn difference(self, other: Self) -> Self {
        Self(self.0 & !other.0)
    }

    /// The teeth by rising FDI code.
    pub const fn iter(self) -> Iter {
        Iter(self.0)
    }
}

const fn bit(tooth: Tooth) -> u64 {
    1 << tooth.index()
}

/// The teeth of a [`ToothSet`] by rising FDI code.
#[derive(Clone, Debug)]
pub struct Iter(u64);

impl Iterator for Iter {
    type Item = Tooth;

    fn next(&mut self) -> Option<Tooth> {
        let tooth = Tooth::from_index(self.0.trailing_zeros() as usize)?;
        self.0 &= self.0 - 1;
        Some(tooth)
    }

    fn size_hint(&self) -> (usize, Option<usize>) {
        let left = self.0.count_ones() as usize;
        (left, Some(left))
    }
}

impl ExactSizeIterator for Iter {}

impl IntoIterator for ToothSet {
    type Item = Tooth;
    type IntoIter = Iter;

    fn into_iter(self) -> Iter {
        self.iter()
    }
}

impl IntoIterator for &ToothSet {
    type Item = Tooth;
    type IntoIter = Iter;

    fn into_iter(self) -> Iter {
        self.iter()
    }
}

impl Extend<Tooth> for ToothSet {
    fn extend<I: IntoIterator<Item = Tooth>>(&mut self, teeth: I) {
        for tooth in teeth {
            self.insert(tooth);
        }
    }
}

impl FromIterator<Tooth> for ToothSet {
    fn from_iter<I: IntoIterator<Item = Tooth>>(teeth: I) -> Self {
        let mut set = Self::new();
        set.extend(teeth);
        set
    }
}

impl fmt::Debug for ToothSet {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.debug_set().entries(self).finish()
    }
}
