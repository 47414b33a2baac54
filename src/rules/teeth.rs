//! Teeth: which there are, and what can be said of them.
//!
//! A record whose tooth numbers are doubted as a whole is told by `other_notation`; the other rules then keep silent.

mod ages;
mod lists;
mod measures;
mod moved;
mod seen;
mod widths;

use oar_schema::rows::{InTable, Span};
use oar_schema::teeth::{Tooth, ToothSet};

use crate::case::Case;
use crate::finding::{Path, args, at};
use crate::notation::Written;
use crate::rule::{Found, rules};

use ages::{early_tooth, primary_tooth_in_adult};
use lists::{permanent_tooth_in_primary, primary_beside_successor, tooth_listed_twice};
use measures::assessment_disagrees;
use moved::{absent_tooth_moved, extracted_tooth_moved, implant_moved, pontic_moved};
use seen::{absent_tooth_seen, absent_tooth_with_attachment};
use widths::{bolton_ratio_extreme, crown_width_implausible, crown_widths_uneven};

rules! { "teeth":
    Error other_notation (source, patient, dentition, series, check_ins, visits);
    Error tooth_listed_twice (dentition, source, patient, worn, status);
    Error permanent_tooth_in_primary (dentition);
    Error absent_tooth_moved (dentition, series, source, patient, worn, status);
    Error absent_tooth_with_attachment (dentition, series, source, patient, worn, status);
    Error implant_moved (dentition, series);
    Error pontic_moved (dentition, series);
    Error extracted_tooth_moved (dentition, series, worn);
    Error absent_tooth_seen (dentition, series, check_ins, source, patient, worn, status);
    Warning primary_beside_successor (dentition);
    Note primary_tooth_in_adult (dentition, source, patient, worn, status);
    Warning early_tooth (dentition, source, patient, worn, status);
    Warning crown_width_implausible (dentition);
    Note crown_widths_uneven (dentition);
    Note bolton_ratio_extreme (dentition);
    Note assessment_disagrees (dentition, assessments);
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

    /// Teeth in whose place a crown on an implant or a pontic stands.
    fn replaced(&self) -> ToothSet {
        self.implants.union(self.pontics)
    }

    /// Teeth that were not there at the start and that nothing replaces. What is listed as standing or extracted as
    /// well is left to `tooth_listed_twice`.
    fn gone(&self) -> ToothSet {
        let listed_elsewhere = self.primary.union(self.extracted).union(self.replaced());
        self.absent.union(ToothSet::PRIMARY).difference(listed_elsewhere)
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

/// The first number that names another tooth than the one meant: among the absent teeth, the movements, the widths.
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
