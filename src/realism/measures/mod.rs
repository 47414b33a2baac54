//! The measures: values that are computed from a record, each with its definition.
//!
//! A measure reads only the record, never the knowledge of a generator. What a record omits is unknown, and the patient is
//! then not counted.

mod accuracy;
mod attachments;
mod bite;
mod comfort;
mod course;
mod patients;
mod reductions;
mod teeth;
mod visits;
mod wear;

use super::patient::Patient;
use super::seen::Seen;

/// A value that is computed from records.
pub struct Measure {
    /// Its name, in `snake_case`.
    pub name: &'static str,
    /// The unit of its values.
    pub unit: &'static str,
    /// Its exact definition.
    pub definition: &'static str,
    /// Reads one record.
    pub observe: fn(&Patient<'_>, &mut Seen),
}

/// All measures by theme.
pub const THEMES: &[(&str, &[Measure])] = &[
    ("patients", patients::MEASURES),
    ("bite", bite::MEASURES),
    ("teeth", teeth::MEASURES),
    ("wear", wear::MEASURES),
    ("course", course::MEASURES),
    ("accuracy", accuracy::MEASURES),
    ("attachments", attachments::MEASURES),
    ("reductions", reductions::MEASURES),
    ("visits", visits::MEASURES),
    ("comfort", comfort::MEASURES),
];

/// All measures.
pub fn all() -> impl Iterator<Item = &'static Measure> {
    THEMES.iter().flat_map(|(_, measures)| *measures)
}

/// The measure with that name.
pub fn find(name: &str) -> Option<&'static Measure> {
    all().find(|measure| measure.name == name)
}
