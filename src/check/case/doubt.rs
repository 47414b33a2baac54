//! Whether the tooth numbers of a record are FDI numbers at all.
//!
//! Many numbers of another notation are FDI numbers too, of other teeth. What is asked here is whether the record as a
//! whole contradicts itself as it stands and no longer does when it is read otherwise. Without a contradiction there is
//! no doubt: front teeth alone, for instance, have numbers that fit any notation. What numbers say that are not FDI numbers is in
//! `notation`.

use oar_schema::limits::Limits;
use oar_schema::norms::crown_widths;
use oar_schema::record::{MovementRow, SeriesRow};
use oar_schema::rows::Rows;
use oar_schema::teeth::{Arch, Tooth, ToothSet};
use oar_schema::time::Date;

use super::plan::trays_in;

/// Fewer teeth that contradict are mistyped ones: one slip, or one done to a pair, makes two. Common practice, no source.
const LEAST_TEETH: usize = 3;
/// Third molars that are named as such by chance are fewer: two are a molar and an incisor that are absent in FDI, or two
/// primary teeth that were shed. Common practice, no source.
const LEAST_THIRD_MOLARS: usize = 3;
/// Fewer widths do not tell notations apart: the six front teeth of an arch are the fewest that are measured together,
/// for the anterior ratio.
const LEAST_WIDTHS: u32 = 6;
/// Widths that lie so many standard deviations off, squared and on average, belong to other teeth: three of them, beyond
/// which one crown in several hundred lies by chance (normal distribution), and here all of them do on average.
const FAR_OFF: f64 = 9.0;
/// Widths that lie no further off than this, squared and on average, belong to their teeth: two standard deviations, where
/// right ones lie one off on average; the rest is left to measuring and to other populations than the published one.
const NEAR: f64 = 4.0;

/// Numbers that no permanent tooth has in the Universal notation.
const BEYOND_32: ToothSet = where_code(false);
/// Numbers whose second digit is no quadrant of permanent teeth.
const NO_QUADRANT: ToothSet = where_code(true);

const fn where_code(second_digit: bool) -> ToothSet {
    let mut set = ToothSet::new();
    let mut index = 0;
    while let Some(tooth) = Tooth::from_index(index) {
        let code = tooth.fdi();
        if (second_digit && code % 10 > 4) || (!second_digit && code > 32) {
            set.insert(tooth);
        }
        index += 1;
    }
    set
}

/// The notation that the numbers of a record are probably written in.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(crate) enum Written {
    /// The Universal notation, 1 to 32.
    Universal,
    /// FDI numbers with the position before the quadrant: 61 for 16.
    Swapped,
}

/// A reason to think that the tooth numbers of a record are no FDI numbers.
#[derive(Clone, Copy, Debug)]
pub(crate) struct Doubt {
    /// What they are instead.
    pub(crate) written: Written,
    /// The field that contradicts them.
    pub(crate) field: &'static str,
    /// How many different numbers there are.
    pub(crate) count: usize,
}

impl Written {
    /// What it is called.
    pub(crate) fn name(self) -> &'static str {
        match self {
            Self::Universal => "Universal",
            Self::Swapped => "digit-swapped FDI",
        }
    }

    /// The tooth that is meant by the number of another.
    pub(crate) fn meant(self, tooth: Tooth) -> Option<Tooth> {
        let code = tooth.fdi();
        match self {
            Self::Universal => Tooth::reading_in_universal(code),
            Self::Swapped => Tooth::new(code % 10 * 10 + code / 10),
        }
    }
}

/// The doubt about a record's tooth numbers, if there is one. `moved` are the teeth that its movements name.
pub(crate) fn doubt(rows: &Rows, moved: ToothSet, today: Date, limits: &Limits) -> Option<Doubt> {
    let absent: ToothSet = rows[rows.dentition.absent].iter().copied().collect();
    let some = moved.union(absent);
    let fits = |unfit: ToothSet| some.intersection(unfit).is_empty();
    if !fits(BEYOND_32) && (!fits(NO_QUADRANT) || some.intersection(ToothSet::PRIMARY).is_empty()) {
        return None;
    }
    let all = some.union(other_teeth(rows));
    let (written, field) = if all.intersection(BEYOND_32).is_empty() {
        (Written::Universal, contradicts_universal(rows, moved, absent)?)
    } else {
        (Written::Swapped, contradicts_swapped(rows, all, absent, today, limits)?)
    };
    Some(Doubt { written, field, count: all.len() })
}

/// The teeth that are named elsewhere than in movements and among the absent ones.
fn other_teeth(rows: &Rows) -> ToothSet {
    let dentition = &rows.dentition;
    let mut teeth = ToothSet::new();
    for list in [dentition.primary, dentition.implants, dentition.pontics] {
        teeth.extend(rows[list].iter().copied());
    }
    teeth.extend(rows[dentition.extracted].iter().map(|row| row.tooth));
    teeth.extend(rows[dentition.crown_widths].iter().map(|row| row.tooth));
    for series in &rows[rows.series] {
        teeth.extend(rows[series.attachments].iter().map(|row| row.tooth));
        teeth.extend(rows[series.interproximal_reductions].iter().flat_map(|row| row.between));
        teeth.extend(rows[series.elastics].iter().flat_map(|row| [row.upper_tooth, row.lower_tooth]));
        let achieved = series.achieved.as_ref().map(|achieved| achieved.movements);
        teeth.extend(rows[achieved].iter().map(|row| row.tooth));
    }
    for check_in in &rows[rows.check_ins] {
        teeth.extend(rows[check_in.fit_gaps].iter().map(|row| row.tooth));
        teeth.extend(rows[check_in.observations].iter().filter_map(|row| row.tooth));
    }
    teeth.extend(
        rows[rows.appointments]
            .iter()
            .flat_map(|visit| &rows[visit.interproximal_reductions])
            .flat_map(|row| row.between),
    );
    teeth
}

/// The field that contradicts numbers up to 32 as FDI numbers and agrees with them as Universal ones.
fn contradicts_universal(rows: &Rows, moved: ToothSet, absent: ToothSet) -> Option<&'static str> {
    if trays_contradict(rows) {
        return Some("trays");
    }
    if absent_contradict(rows, moved, absent) {
        return Some("absent");
    }
    widths_contradict(rows).then_some("crown_widths")
}

fn in_universal(tooth: Tooth) -> Option<Tooth> {
    Written::Universal.meant(tooth)
}

/// Whether several teeth are moved in trays that their arch does not have, and none is when read as Universal numbers.
fn trays_contradict(rows: &Rows) -> bool {
    let mut apart = ToothSet::new();
    for series in &rows[rows.series] {
        for movement in &rows[series.movements] {
            if !in_universal(movement.tooth).is_some_and(|meant| has_trays(series, movement, meant)) {
                return false;
            }
            if !has_trays(series, movement, movement.tooth) {
                apart.insert(movement.tooth);
            }
        }
    }
    apart.len() >= LEAST_TEETH
}

/// Whether a series has the trays of a movement in the arch of a tooth.
fn has_trays(series: &SeriesRow, movement: &MovementRow, tooth: Tooth) -> bool {
    movement.to_tray <= trays_in(series, tooth.arch())
}

/// Whether the absent teeth are third molars as Universal numbers, a lower one among them, while as FDI numbers they are
/// two molars and an incisor of arches of which one has trays and no movement.
fn absent_contradict(rows: &Rows, moved: ToothSet, absent: ToothSet) -> bool {
    let third_molars = absent.iter().all(|tooth| in_universal(tooth).is_some_and(|meant| meant.position() == 8));
    let lower_in_both = Tooth::new(32).is_some_and(|tooth| absent.contains(tooth));
    let treated = |arch: Arch| rows[rows.series].iter().any(|series| trays_in(series, arch) > 0);
    let count = |arch: Arch, read: fn(Tooth) -> Option<Tooth>| {
        moved.iter().filter_map(read).filter(|tooth| tooth.arch() == arch).count()
    };
    let all_treated = Arch::ALL.into_iter().all(treated);
    let idle = Arch::ALL.into_iter().any(|arch| count(arch, Some) == 0);
    let busy = Arch::ALL.into_iter().all(|arch| count(arch, in_universal) >= LEAST_TEETH);
    third_molars && lower_in_both && absent.len() >= LEAST_THIRD_MOLARS && all_treated && idle && busy
}

/// Whether crowns are far from as wide as their teeth are, and about as wide as those that they name as Universal numbers.
fn widths_contradict(rows: &Rows) -> bool {
    let (mut count, mut as_fdi, mut as_universal) = (0u32, 0.0, 0.0);
    for row in &rows[rows.dentition.crown_widths] {
        let off = |tooth| squares_off(tooth, row.width_mm.0);
        if let (Some(fdi), Some(universal)) = (off(row.tooth), in_universal(row.tooth).and_then(off)) {
            count += 1;
            as_fdi += fdi;
            as_universal += universal;
        }
    }
    let whole = f64::from(count);
    count >= LEAST_WIDTHS && as_fdi > FAR_OFF * whole && as_universal < NEAR * whole
}

/// How many standard deviations a width is off the mean of a tooth, squared; for the nearer of the two sexes.
fn squares_off(tooth: Tooth, width: i32) -> Option<f64> {
    let norms = crown_widths(tooth)?;
    let off = norms.iter().map(|norm| f64::from(width - norm.mean) / f64::from(norm.sd));
    off.map(|off| off * off).reduce(f64::min)
}

/// The field that contradicts numbers whose second digit is a quadrant: several are primary teeth that are not listed as
/// standing and cannot stand, at the patient's age or since third molars do not follow primary teeth.
fn contradicts_swapped(
    rows: &Rows,
    all: ToothSet,
    absent: ToothSet,
    today: Date,
    limits: &Limits,
) -> Option<&'static str> {
    let primary = all.intersection(ToothSet::PRIMARY);
    let third_molars = absent.iter().filter(|tooth| (81..=84).contains(&tooth.fdi())).count();
    let adult = i64::from(today.civil().0 - rows.patient.birth_year) > limits.retained_years;
    let unlisted = rows[rows.dentition.primary].is_empty();
    let fits = all.intersection(NO_QUADRANT).is_empty();
    (fits && unlisted && primary.len() >= LEAST_TEETH && (adult || third_molars >= LEAST_THIRD_MOLARS))
        .then_some("primary")
}
