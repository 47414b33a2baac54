//! Planted faults: for each rule of the checker one mistake-maker.
//!
//! A maker takes the [`Draft`] of a clean record and makes one mistake in it, such as real exports have, so that the checker
//! finds exactly one thing more: that rule, at the place that the maker gives back. When the record does not suit, it gives
//! back nothing and has changed nothing. One module for each theme; [`FaultPlan`] says which mistakes go where.

mod attachments;
mod check_ins;
mod cohort;
mod deliveries;
mod draft;
mod field_locations;
mod file;
mod plan;
mod privacy;
mod record_queries;
mod reductions;
mod series;
mod shape;
mod teeth;
mod time_and_state;
mod wear_log;
mod wear_periods;
mod worn_trays;

pub use draft::{Draft, FaultLocation};
pub use plan::{ChosenMaker, FaultPlan, WrittenPatient};

use crate::random::RandomStream;

/// Makes one mistake in a draft and tells where it is found.
pub type Make = fn(&mut Draft<'_>, &mut RandomStream) -> Option<FaultLocation>;

/// How many records a mistake suits.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Suits {
    /// Many: it comes up by itself.
    Many,
    /// A part of them, up to two in five: it is tried after those that suit few and before those that suit many.
    Part,
    /// Few: it is tried first wherever another one did not suit.
    Few,
    /// Any, but it is only made when it is asked for by name, since it is very large.
    Asked,
}

/// A mistake-maker.
#[derive(Clone, Copy, Debug)]
pub struct Maker {
    /// The rule that finds its mistake.
    pub rule: &'static str,
    /// The theme of the rule.
    pub theme: &'static str,
    /// How many records it suits.
    pub suits: Suits,
    /// What it does.
    pub make: Make,
}

/// Declares the makers of a theme: `Many missing_field;` is the function `missing_field`, for the rule of that name.
macro_rules! makers {
    ($theme:literal: $($suits:ident $rule:ident;)*) => {
        /// The mistake-makers of this theme.
        pub(super) const MAKERS: &[$crate::faults::Maker] = &[
            $($crate::faults::Maker {
                rule: stringify!($rule),
                theme: $theme,
                suits: $crate::faults::Suits::$suits,
                make: $rule,
            },)*
        ];
    };
}
pub(crate) use makers;

/// The makers, theme by theme.
const THEMES: &[&[Maker]] = &[
    file::MAKERS,
    shape::MAKERS,
    teeth::MAKERS,
    series::MAKERS,
    attachments::MAKERS,
    reductions::MAKERS,
    worn_trays::MAKERS,
    deliveries::MAKERS,
    wear_log::MAKERS,
    check_ins::MAKERS,
    time_and_state::MAKERS,
    privacy::MAKERS,
    cohort::MAKERS,
];

/// All makers, theme by theme.
pub fn all() -> impl Iterator<Item = &'static Maker> {
    THEMES.iter().flat_map(|theme| theme.iter())
}
