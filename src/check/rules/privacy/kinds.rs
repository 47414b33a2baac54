//! What a text may look like.

/// Something that could identify a person.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(super) enum IdentityKind {
    Email,
    Web,
    Telephone,
    BirthDate,
    NationalNumber,
    RecordNumber,
    Address,
    Name,
}

/// All kinds, in the order of messages, with their words.
const WORDS: [(IdentityKind, &str); 8] = [
    (IdentityKind::Email, "an e-mail address"),
    (IdentityKind::Web, "a web address"),
    (IdentityKind::Telephone, "a telephone number"),
    (IdentityKind::BirthDate, "a date of birth"),
    (IdentityKind::NationalNumber, "a national number"),
    (IdentityKind::RecordNumber, "a record number"),
    (IdentityKind::Address, "a postal address"),
    (IdentityKind::Name, "a name"),
];

/// A set of kinds.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq)]
pub(super) struct Kinds(u8);

impl Kinds {
    /// The empty set.
    pub(super) const NONE: Self = Self(0);

    /// The set with that kind added, if there is one.
    pub(super) fn with(self, kind: Option<IdentityKind>) -> Self {
        Self(kind.map_or(self.0, |kind| self.0 | 1 << kind as u8))
    }

    /// The set without that kind.
    pub(super) fn without(self, kind: IdentityKind) -> Self {
        Self(self.0 & !(1 << kind as u8))
    }

    /// The union of two sets.
    pub(super) fn and(self, other: Self) -> Self {
        Self(self.0 | other.0)
    }

    /// Whether the set is empty.
    pub(super) fn is_empty(self) -> bool {
        self.0 == 0
    }

    /// The kinds in words, such as `an e-mail address and a name`.
    pub(super) fn in_words(self) -> String {
        let there = |(kind, _): &&(IdentityKind, &str)| self.0 >> *kind as u8 & 1 == 1;
        let words: Vec<&str> = WORDS.iter().filter(there).map(|(_, words)| *words).collect();
        match words.as_slice() {
            [first @ .., last] if !first.is_empty() => format!("{} and {last}", first.join(", ")),
            _ => words.concat(),
        }
    }
}

/// The kind of text: what is usual differs between them.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(super) enum TextKind {
    /// A note.
    Note,
    /// An id.
    Id,
    /// A text in `extensions`: web addresses are usual there.
    Extension,
}
