//! Parts of a record: its sections, and the fields of the objects that a section holds.
//!
//! Parts are as fine as the reports about unreadable data: `worn` is complete if all its entries could be read, `worn.to` if
//! that field could be read in all of them. Deeper values count with the field around them: a movement with `series.movements`.

use oar_schema::describe::{Described, Field, Type};
use oar_schema::record::Record;

const WORDS: usize = 4;

/// A set of parts.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq)]
pub struct Parts([u64; WORDS]);

/// The fields of the objects in a section; none for a section of another type.
const fn fields(section: usize) -> &'static [Field] {
    match &Record::OBJECT.fields[section].ty {
        Type::Object(object) | Type::List(Type::Object(object), _) => object.fields,
        _ => &[],
    }
}

/// The number of a section among all parts; those of its fields follow.
const fn first(section: usize) -> usize {
    let (mut number, mut before) = (0, 0);
    while before < section {
        number += 1 + fields(before).len();
        before += 1;
    }
    number
}

const _: () = assert!(first(Record::OBJECT.fields.len()) <= WORDS * 64, "the set has room for every part");

const fn same(left: &str, right: &str) -> bool {
    let (left, right) = (left.as_bytes(), right.as_bytes());
    if left.len() != right.len() {
        return false;
    }
    let mut at = 0;
    while at < left.len() {
        if left[at] != right[at] {
            return false;
        }
        at += 1;
    }
    true
}

/// The place of a field among others; a wrong name does not compile where it is asked for in a constant.
const fn place(fields: &[Field], name: &str) -> usize {
    let mut at = 0;
    while at < fields.len() {
        if same(fields[at].name, name) {
            return at;
        }
        at += 1;
    }
    panic!("there is no field of that name")
}

/// The bit of a section among the record's fields; a wrong name does not compile.
pub(crate) const fn section(name: &str) -> u32 {
    1 << place(Record::OBJECT.fields, name)
}

impl Parts {
    /// No part.
    pub const NONE: Self = Self([0; WORDS]);

    /// A section by its index, and the index of a field of its objects.
    pub(crate) const fn at(section: usize, field: Option<usize>) -> Self {
        let number = match field {
            Some(field) => first(section) + 1 + field,
            None => first(section),
        };
        let mut words = [0; WORDS];
        words[number / 64] = 1 << (number % 64);
        Self(words)
    }

    /// A section, and a field of its objects unless that is empty; a wrong name does not compile.
    pub(crate) const fn named(section: &str, field: &str) -> Self {
        let section = place(Record::OBJECT.fields, section);
        if field.is_empty() { Self::at(section, None) } else { Self::at(section, Some(place(fields(section), field))) }
    }

    /// Everything in the sections with these bits.
    pub(crate) const fn within(sections: u32) -> Self {
        let (mut all, mut section) = (Self::NONE, 0);
        while section < Record::OBJECT.fields.len() {
            if sections >> section & 1 == 1 {
                all = all.union(Self::at(section, None));
                let mut field = 0;
                while field < fields(section).len() {
                    all = all.union(Self::at(section, Some(field)));
                    field += 1;
                }
            }
            section += 1;
        }
        all
    }

    /// What is in either.
    #[must_use]
    pub(crate) const fn union(self, other: Self) -> Self {
        let (mut words, mut at) = (self.0, 0);
        while at < WORDS {
            words[at] |= other.0[at];
            at += 1;
        }
        Self(words)
    }

    /// What is in both.
    #[must_use]
    pub(crate) fn intersection(self, other: Self) -> Self {
        let mut words = self.0;
        words.iter_mut().zip(other.0).for_each(|(word, other)| *word &= other);
        Self(words)
    }

    /// Whether it is empty.
    pub(crate) fn is_empty(self) -> bool {
        self == Self::NONE
    }

    /// Their names: `worn`, `worn.to`.
    pub fn names(self) -> impl Iterator<Item = String> {
        let sections = Record::OBJECT.fields.iter().enumerate();
        sections
            .flat_map(|(section, top)| {
                let within = fields(section).iter().enumerate();
                let within = within
                    .map(move |(at, field)| (Self::at(section, Some(at)), format!("{}.{}", top.name, field.name)));
                std::iter::once((Self::at(section, None), top.name.to_owned())).chain(within)
            })
            .filter(move |(part, _)| !self.intersection(*part).is_empty())
            .map(|(_, name)| name)
    }
}

/// The parts of a record that could not be read.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq)]
pub(crate) struct Damage {
    /// The lists of which nothing is left, as bits in the order of the record's fields.
    pub(crate) gone: u32,
    /// The parts in which something is missing.
    pub(crate) holes: Parts,
}

impl Damage {
    /// Whether everything could be read.
    pub(crate) fn is_none(&self) -> bool {
        *self == Self::default()
    }

    /// Adds a section of which nothing is left. A single object gets substitutes for what is missing, so that rules which need
    /// none of its fields can run; a list could be taken for an empty one.
    pub(crate) fn lose_section(&mut self, section: usize) {
        if matches!(Record::OBJECT.fields[section].ty, Type::List(..)) {
            self.gone |= 1 << section;
        }
        self.lose(Parts::within(1 << section));
    }

    /// Everything is missing.
    pub(crate) fn everything() -> Self {
        let all = u32::MAX >> (32 - Record::OBJECT.fields.len());
        Self { gone: all, holes: Parts::within(all) }
    }

    /// Adds a part in which something is missing.
    pub(crate) fn lose(&mut self, part: Parts) {
        self.holes = self.holes.union(part);
    }

    /// Adds the unreadable parts of another.
    pub(crate) fn add(&mut self, other: &Self) {
        self.gone |= other.gone;
        self.lose(other.holes);
    }

    /// The sections in which something is missing, as bits in the order of the record's fields.
    pub(crate) fn sections(&self) -> u32 {
        let some = |section: &usize| !self.holes.intersection(Parts::within(1 << section)).is_empty();
        (0..Record::OBJECT.fields.len()).filter(some).fold(self.gone, |all, section| all | 1 << section)
    }
}

#[cfg(test)]
mod tests {
    use super::{Damage, Parts, section};

    #[test]
    fn parts_have_the_names_of_the_format() {
        let both = Parts::named("wear_periods", "to").union(Parts::named("wear_periods", ""));
        assert_eq!(both.names().collect::<Vec<_>>(), ["wear_periods", "wear_periods.to"]);
        assert_eq!(Parts::within(section("status")).names().count(), 4);
    }

    #[test]
    fn a_list_that_is_gone_lacks_all_its_parts() {
        let mut damage = Damage::default();
        damage.lose_section(section("wear_periods").trailing_zeros() as usize);
        assert!(!damage.holes.intersection(Parts::named("wear_periods", "ended")).is_empty());
        assert_eq!(damage.sections(), section("wear_periods"));
    }
}
