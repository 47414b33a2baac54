//! Queries of a record that several mistake-makers share.

use oar_schema::number::Hundredths;
use oar_schema::record::{Movement, Record, Series};
use oar_schema::teeth::{Arch, Side, Tooth, ToothSet};
use serde_json::Value;

/// The fields of a movement that say how far, in the order of [`axes`]; the first three are in millimetres.
pub(super) const AXES: [&str; 6] = ["mesial_mm", "facial_mm", "occlusal_mm", "rotation_deg", "tip_deg", "torque_deg"];
/// The place of `mesial_mm` among [`AXES`].
pub(super) const MESIAL: usize = 0;
/// The place of `facial_mm` among [`AXES`].
pub(super) const FACIAL: usize = 1;
/// The place of `occlusal_mm` among [`AXES`].
pub(super) const OCCLUSAL: usize = 2;
/// The place of `rotation_deg` among [`AXES`].
pub(super) const ROTATION: usize = 3;

/// A decimal as it is written.
pub(super) fn decimal(hundredths: i32) -> Value {
    serde_json::to_value(Hundredths(hundredths)).unwrap_or_default()
}

/// How far a movement goes along each axis, in hundredths; 0 where it says nothing.
pub(super) fn axes(movement: &Movement) -> [i32; AXES.len()] {
    let Movement { mesial_mm, facial_mm, occlusal_mm, rotation_deg, tip_deg, torque_deg, .. } = *movement;
    [mesial_mm, facial_mm, occlusal_mm, rotation_deg, tip_deg, torque_deg]
        .map(|axis: Option<Hundredths>| axis.map_or(0, |value| value.0))
}

/// How far a series moves a tooth along each axis, all its movements together.
pub(super) fn totals(series: &Series, tooth: Tooth) -> [i32; AXES.len()] {
    let of_tooth = series.movements.iter().filter(|movement| movement.tooth == tooth);
    of_tooth.map(axes).fold([0; AXES.len()], |sum, axes| std::array::from_fn(|axis| sum[axis] + axes[axis]))
}

/// Every planned movement, by the place of its series and its own place in it.
pub(super) fn movements(record: &Record) -> Vec<(usize, usize, &Movement)> {
    let series = record.series.iter().enumerate();
    series.flat_map(|(i, series)| series.movements.iter().enumerate().map(move |(j, it)| (i, j, it))).collect()
}

/// The way to a movement.
pub(super) fn movement_at(i: usize, j: usize) -> String {
    format!("/series/{i}/movements/{j}")
}

/// How many trays a series has in an arch.
pub(super) fn trays_in(series: &Series, arch: Arch) -> i32 {
    match arch {
        Arch::Upper => series.trays.upper,
        Arch::Lower => series.trays.lower,
    }
}

/// The number of the last tray of a series, in the arch that has more.
pub(super) fn longest(series: &Series) -> i32 {
    series.trays.upper.max(series.trays.lower)
}

/// The last tray in which a series moves a tooth that fits; 0 when it moves none.
pub(super) fn last_moving(series: &Series, fits: impl Fn(Tooth) -> bool) -> i32 {
    series.movements.iter().filter(|movement| fits(movement.tooth)).map(|movement| movement.to_tray).max().unwrap_or(0)
}

/// A number of a tray as it is mistyped: with a digit before it, or with its last digit twice.
pub(super) fn mistyped_up(tray: i32) -> [i32; 2] {
    [if tray < 10 { tray + 10 } else { tray + 20 }, tray * 10 + tray % 10]
}

/// The teeth of a list that may be left out.
pub(super) fn listed(list: Option<&Vec<Tooth>>) -> ToothSet {
    list.into_iter().flatten().copied().collect()
}

/// The teeth that were taken out or fell out.
pub(super) fn extracted(record: &Record) -> ToothSet {
    record.dentition.extracted.iter().flatten().map(|row| row.tooth).collect()
}

/// Crowns on implants and pontics.
pub(super) fn replaced(record: &Record) -> ToothSet {
    listed(record.dentition.implants.as_ref()).union(listed(record.dentition.pontics.as_ref()))
}

/// The teeth that stood at the start.
pub(super) fn standing(record: &Record) -> ToothSet {
    let absent = record.dentition.absent.iter().copied().collect();
    ToothSet::PERMANENT.difference(absent).union(listed(record.dentition.primary.as_ref()))
}

/// Natural permanent teeth that stood at the start and still do.
pub(super) fn natural(record: &Record) -> ToothSet {
    standing(record).intersection(ToothSet::PERMANENT).difference(replaced(record).union(extracted(record)))
}

/// The teeth that some series moves.
pub(super) fn moved(record: &Record) -> ToothSet {
    record.series.iter().flat_map(|series| &series.movements).map(|movement| movement.tooth).collect()
}

/// The teeth that carry an attachment or an elastic in some series.
pub(super) fn fitted(record: &Record) -> ToothSet {
    record.series.iter().flat_map(|series| held(series).iter().collect::<Vec<_>>()).collect()
}

/// The teeth that carry an attachment or an elastic in a series.
pub(super) fn held(series: &Series) -> ToothSet {
    let attachments = series.attachments.iter().flatten().map(|attachment| attachment.tooth);
    let elastics = series.elastics.iter().flatten().flat_map(|elastic| [elastic.upper_tooth, elastic.lower_tooth]);
    attachments.chain(elastics).collect()
}

/// Whether two teeth are of one quadrant, permanent or primary.
pub(super) fn same_quadrant(one: Tooth, other: Tooth) -> bool {
    one.arch() == other.arch() && one.side() == other.side()
}

/// The place of a tooth in its arch, from the patient's right third molar, 0, to the left one, 15.
pub(super) fn slot(tooth: Tooth) -> i32 {
    let position = i32::from(tooth.position());
    if tooth.side() == Side::Right { 8 - position } else { 7 + position }
}

/// The permanent tooth in a place of an arch.
pub(super) fn in_slot(arch: Arch, slot: i32) -> Option<Tooth> {
    Tooth::all().find(|tooth| !tooth.is_primary() && tooth.arch() == arch && self::slot(*tooth) == slot)
}

/// The contacts of an arch between permanent teeth that stand side by side to the end, no other tooth near them.
pub(super) fn plain_contacts(record: &Record) -> Vec<[Tooth; 2]> {
    let natural = natural(record);
    let primary = listed(record.dentition.primary.as_ref());
    let alone = |tooth: Tooth| natural.contains(tooth) && !tooth.predecessor().is_some_and(|it| primary.contains(it));
    let pairs =
        Arch::ALL.into_iter().flat_map(|arch| (0..15).map(move |at| [in_slot(arch, at), in_slot(arch, at + 1)]));
    pairs
        .filter_map(|[one, other]| Some([one?, other?]))
        .filter(|pair| pair.iter().all(|tooth| alone(*tooth)))
        .collect()
}

/// The patient's age at the start: the least and the most that the year of birth allows, in whole years.
pub(super) fn age_at_start(record: &Record) -> (i64, i64) {
    let first = record.wear_periods.first().map_or(record.status.since, |worn| worn.from);
    let most = i64::from(first.civil().0 - record.patient.birth_year);
    (most - 1, most)
}
