//! Teeth: which are present, and what can be said about them.
//!
//! `other_notation` reports a record whose tooth numbers are doubted as a whole; the other rules then report nothing.

mod ages;
mod fitted;
mod lists;
mod measures;
mod moved;
mod seen;
mod widths;

use oar_schema::rows::{InTable, Span};
use oar_schema::teeth::{Tooth, ToothSet};

use super::table::rules;
use crate::check::case::doubt::Written;
use crate::check::rules::prelude::*;

use ages::{beside_successor, early_tooth, primary_tooth_in_adult};
use fitted::{absent_tooth_measured, elastic_on_absent_tooth};
use lists::{permanent_tooth_in_primary, primary_beside_successor, tooth_listed_twice};
use measures::assessment_disagrees;
use moved::{absent_tooth_moved, extracted_tooth_moved, implant_moved, pontic_moved};
use seen::{absent_tooth_seen, absent_tooth_with_attachment};
use widths::{bolton_ratio_extreme, crown_width_implausible, crown_widths_uneven};

rules! { "teeth":
    Error other_notation (source, patient, dentition, series, check_ins, appointments) needs (patient.birth_year, dentition.primary, dentition.absent, series, series.movements);
    Error tooth_listed_twice (dentition, source, patient, wear_periods, status) needs () unless (tooth_numbers, dates);
    Error permanent_tooth_in_primary (dentition) needs () unless (tooth_numbers);
    Error absent_tooth_moved (dentition, series, source, patient, wear_periods, status) needs (dentition.absent, dentition.primary) unless (tooth_numbers, dates, primary_teeth);
    Error absent_tooth_with_attachment (dentition, series, source, patient, wear_periods, status) needs (dentition.absent, dentition.primary) unless (tooth_numbers, dates, primary_teeth);
    Error elastic_on_absent_tooth (dentition, series, source, patient, wear_periods, status) needs (dentition.absent, dentition.primary) unless (tooth_numbers, dates, elastics, primary_teeth);
    Error absent_tooth_measured (dentition, series, source, patient, wear_periods, status) needs (dentition.absent, dentition.primary) unless (tooth_numbers, dates, primary_teeth);
    Error implant_moved (dentition, series) needs (dentition.implants) unless (tooth_numbers);
    Error pontic_moved (dentition, series) needs (dentition.pontics) unless (tooth_numbers);
    Error extracted_tooth_moved (dentition, series, wear_periods, source, patient) needs (series.scanned_on, wear_periods, dentition.extracted) unless (tooth_numbers, dates);
    Error absent_tooth_seen (dentition, series, check_ins, source, patient, wear_periods, status) needs (dentition.absent, dentition.primary, dentition.extracted) unless (tooth_numbers, dates, check_in_trays, primary_teeth);
    Warning primary_beside_successor (dentition, series) needs (dentition.absent) unless (tooth_numbers, absent_teeth);
    Note primary_tooth_in_adult (dentition, source, patient, wear_periods, status) needs (patient.birth_year, dentition.absent) unless (tooth_numbers, dates, birth_year);
    Warning early_tooth (dentition, series, source, patient, wear_periods, status) needs (patient.birth_year, dentition.absent) unless (tooth_numbers, dates, absent_teeth);
    Warning crown_width_implausible (dentition) needs () unless (tooth_numbers);
    Note crown_widths_uneven (dentition) needs () unless (tooth_numbers, crown_widths);
    Note bolton_ratio_extreme (dentition) needs () unless (tooth_numbers, crown_widths);
    Note assessment_disagrees (dentition, assessments) needs () unless (tooth_numbers);
}

/// The teeth as the lists of the dentition name them.
struct Mouth {
    absent: ToothSet,
    primary: ToothSet,
    implants: ToothSet,
    pontics: ToothSet,
    extracted: ToothSet,
}

impl Mouth {
    fn of(case: &Case<'_>) -> Self {
        let dentition = &case.dentition;
        Self {
            absent: case[dentition.absent].iter().copied().collect(),
            primary: set(case, dentition.primary),
            implants: set(case, dentition.implants),
            pontics: set(case, dentition.pontics),
            extracted: case[dentition.extracted].iter().map(|row| row.tooth).collect(),
        }
    }

    /// Teeth that are replaced by a crown on an implant or by a pontic.
    fn replaced(&self) -> ToothSet {
        self.implants.union(self.pontics)
    }

    /// Teeth that were missing at the start and that nothing replaces. `tooth_listed_twice` reports those that are also
    /// listed as present or extracted.
    fn gone(&self) -> ToothSet {
        let listed_elsewhere = self.primary.union(self.extracted).union(self.replaced());
        self.absent.union(ToothSet::PRIMARY).difference(listed_elsewhere)
    }

    /// Whether a tooth was missing at the start, or was extracted later.
    fn may_be_missing(&self, tooth: Tooth) -> bool {
        self.gone().contains(tooth) || self.extracted.contains(tooth)
    }

    /// Primary teeth that are not listed.
    fn unlisted(&self) -> ToothSet {
        self.gone().difference(self.absent)
    }

    /// Teeth that were missing at the start, as `absent` says.
    fn listed_absent(&self) -> ToothSet {
        self.gone().intersection(self.absent)
    }

    /// Whether these primary teeth are unlisted because of a mistake in `primary`: at least as many of its entries are
    /// reported as wrong, and may be meant for them.
    fn is_slip(&self, case: &Case<'_>, unlisted: ToothSet) -> bool {
        let primary = &case[case.dentition.primary];
        let doubled = primary.len() - self.primary.len();
        let wrong = self.primary.iter().filter(|tooth| !tooth.is_primary() || beside_successor(case, *tooth)).count();
        case.heeds(Mark::PrimaryTeeth) && unlisted.iter().all(Tooth::is_primary) && unlisted.len() <= doubled + wrong
    }

    /// Whether other rules report wrong entries of `absent`, which may be meant for teeth that it does not name: some
    /// are listed twice, or are moved by the first series.
    fn has_slip_in_absent(&self, case: &Case<'_>) -> bool {
        let doubled = case[case.dentition.absent].len() > self.absent.len();
        let first = case[case.series].first();
        let moved =
            || first.is_some_and(|first| case[first.movements].iter().any(|row| self.absent.contains(row.tooth)));
        case.heeds(Mark::AbsentTeeth) && (doubled || moved())
    }
}

fn set<T: InTable<Row = Tooth>>(case: &Case<'_>, list: Option<Span<T>>) -> ToothSet {
    case[list].iter().copied().collect()
}

fn other_notation(case: &Case<'_>, found: &mut Found) {
    let Some(doubt) = case.doubt else { return };
    let Some((tooth, path)) = first_example(case, doubt.written) else { return };
    let Some(meant) = doubt.written.meant(tooth) else { return };
    let args = args![
        "count" = doubt.count,
        "value" = tooth,
        "tooth" = meant,
        "name" = meant.name(),
        "notation" = doubt.written.name(),
        "field" = doubt.field
    ];
    found.add(path, args);
}

/// The first number that names another tooth than the one meant: in the absent teeth, the movements, the widths.
fn first_example(case: &Case<'_>, written: Written) -> Option<(Tooth, Path)> {
    let differs = |tooth: Tooth| match written {
        Written::Universal => true,
        Written::Swapped => tooth.is_primary(),
    };
    if let Some(i) = case[case.dentition.absent].iter().position(|tooth| differs(*tooth)) {
        return Some((case[case.dentition.absent][i], at!["dentition", "absent", i]));
    }
    for (i, series) in case[case.series].iter().enumerate() {
        let movements = &case[series.movements];
        if let Some(j) = movements.iter().position(|movement| differs(movement.tooth)) {
            return Some((movements[j].tooth, at!["series", i, "movements", j, "tooth"]));
        }
    }
    let widths = &case[case.dentition.crown_widths];
    let i = widths.iter().position(|row| differs(row.tooth))?;
    Some((widths[i].tooth, at!["dentition", "crown_widths", i, "tooth"]))
}
