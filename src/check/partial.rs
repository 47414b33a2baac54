//! Records that could be checked only in part, because something in them cannot be read.

use crate::check::parts::Damage;
use crate::check::rule::Rule;

/// The maximum number of part names in a sentence.
const NAMED: usize = 3;

/// What could not be checked in a record, and why.
#[derive(Clone, Debug, PartialEq)]
#[non_exhaustive]
pub struct Partial {
    /// The rules that were not applied.
    pub rules: Vec<&'static Rule>,
    /// The parts that could not be read in full: `worn.to`, `patient.time_zone`; none when nothing of the record could be read.
    pub unread: Vec<String>,
    /// Whether a finding that counts says what could not be read: not one that is waived or in the baseline, nor one whose rule is off.
    pub reported: bool,
}

impl Partial {
    pub(crate) fn new(rules: Vec<&'static Rule>, damage: &Damage) -> Self {
        let unread = if *damage == Damage::everything() { Vec::new() } else { damage.holes.names().collect() };
        Self { rules, unread, reported: true }
    }

    /// `12 rules not applied: patient.time_zone could not be read`.
    pub fn line(&self) -> String {
        let rules = match self.rules.len() {
            1 => "1 rule".to_owned(),
            count => format!("{count} rules"),
        };
        format!("{rules} not applied: {} could not be read", self.what())
    }

    fn what(&self) -> String {
        match self.unread.len() {
            0 => "the record".to_owned(),
            count if count <= NAMED => self.unread.join(", "),
            count => format!("{} and {} more fields", self.unread[..NAMED].join(", "), count - NAMED),
        }
    }
}
