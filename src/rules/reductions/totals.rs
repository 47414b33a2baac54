//! Sums and sets over contacts, without memory of their own.

use oar_schema::number::Hundredths;
use oar_schema::teeth::Tooth;

use super::Contact;

/// How many pairs of teeth there are, in either order.
const PAIRS: usize = Tooth::COUNT * Tooth::COUNT;

/// The place of a pair in a table, the same in either order.
fn place([one, other]: Contact) -> usize {
    one.min(other).index() * Tooth::COUNT + one.max(other).index()
}

/// Enamel taken off at each contact, in hundredths of a millimetre.
pub(super) struct Totals([i32; PAIRS]);

impl Default for Totals {
    fn default() -> Self {
        Self([0; PAIRS])
    }
}

impl Totals {
    /// Enamel taken off at a contact so far.
    pub(super) fn at(&self, between: Contact) -> i32 {
        self.0[place(between)]
    }

    /// Adds an amount at a contact.
    pub(super) fn add(&mut self, between: Contact, amount: Hundredths) {
        let total = &mut self.0[place(between)];
        *total = total.saturating_add(amount.0);
    }

    /// The contacts at which enamel is taken off, with how much of it.
    pub(super) fn each(&self) -> impl Iterator<Item = (Contact, i32)> + '_ {
        let pairs = Tooth::all().flat_map(|one| Tooth::all().map(move |other| [one, other]));
        pairs.filter(|[one, other]| one <= other).map(|pair| (pair, self.at(pair))).filter(|(_, amount)| *amount > 0)
    }
}

/// A set of contacts.
#[derive(Debug)]
pub(super) struct ContactSet([u64; PAIRS.div_ceil(64)]);

impl Default for ContactSet {
    fn default() -> Self {
        Self([0; PAIRS.div_ceil(64)])
    }
}

impl ContactSet {
    /// Whether the contact is in the set.
    pub(super) fn contains(&self, between: Contact) -> bool {
        let place = place(between);
        self.0[place / 64] >> (place % 64) & 1 == 1
    }

    /// Adds a contact. Returns whether it was new to the set.
    pub(super) fn insert(&mut self, between: Contact) -> bool {
        let new = !self.contains(between);
        let place = place(between);
        self.0[place / 64] |= 1 << (place % 64);
        new
    }
}
