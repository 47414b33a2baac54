//! Elastics: swapped or mistyped fields.

use oar_schema::record::{Elastic, ElasticPattern, Record};
use oar_schema::teeth::Tooth;
use serde_json::Value;

use super::super::record_queries::{last_moving, longest, mistyped_up, natural, totals};
use super::super::{Draft, FaultLocation};
use crate::random::RandomStream;

/// Every planned elastic, by the place of its series and the way to it.
fn elastics(record: &Record) -> Vec<(usize, String, &Elastic)> {
    let series = record.series.iter().enumerate();
    let of = |i: usize, j: usize| format!("/series/{i}/elastics/{j}");
    series
        .flat_map(|(i, series)| {
            series.elastics.iter().flatten().enumerate().map(move |(j, elastic)| (i, of(i, j), elastic))
        })
        .collect()
}

pub(super) fn elastic_backwards(draft: &mut Draft<'_>, stream: &mut RandomStream) -> Option<FaultLocation> {
    let long: Vec<_> = elastics(draft.clean).into_iter().filter(|(.., it)| it.from_tray < it.to_tray).collect();
    let (_, at, elastic) = stream.one_of(&long)?;
    draft.set(&format!("{at}/from_tray"), elastic.to_tray)?;
    draft.set(&format!("{at}/to_tray"), elastic.from_tray)?;
    Some(format!("{at}/to_tray").into())
}

pub(super) fn elastic_outside_trays(draft: &mut Draft<'_>, stream: &mut RandomStream) -> Option<FaultLocation> {
    let mut choices = Vec::new();
    for (i, at, elastic) in elastics(draft.clean) {
        let series = &draft.clean.series[i];
        let last = longest(series).max(last_moving(series, |_| true));
        let beyond = mistyped_up(elastic.to_tray).into_iter().filter(|tray| *tray > last && *tray <= 200);
        choices.extend(beyond.map(|tray| (format!("{at}/to_tray"), tray)));
    }
    let (pointer, tray) = stream.one_of(&choices)?.clone();
    draft.set(&pointer, tray)?;
    Some(pointer.into())
}

/// Minutes that are those of a whole day, or more than the trays are worn.
pub(super) fn elastic_goal_over_wear_goal(draft: &mut Draft<'_>, stream: &mut RandomStream) -> Option<FaultLocation> {
    let goal = draft.clean.prescription.wear_goal_minutes;
    let more: Vec<i32> =
        [1440, 1380, goal + 60, goal + 20].into_iter().filter(|it| (goal + 1..=1440).contains(it)).collect();
    let (minutes, elastics) = (*stream.one_of(&more)?, elastics(draft.clean));
    let (_, at, _) = stream.one_of(&elastics)?;
    let pointer = format!("{at}/wear_goal_minutes");
    draft.set(&pointer, minutes)?;
    Some(pointer.into())
}

/// The two teeth in the wrong fields, another pattern, or the other side.
pub(super) fn elastic_teeth_mismatch(draft: &mut Draft<'_>, stream: &mut RandomStream) -> Option<FaultLocation> {
    let elastics = elastics(draft.clean);
    let (i, at, elastic) = stream.one_of(&elastics)?;
    let (upper, lower) = (elastic.upper_tooth, elastic.lower_tooth);
    let other = match elastic.pattern {
        ElasticPattern::ClassII => ElasticPattern::ClassIII,
        ElasticPattern::ClassIII => ElasticPattern::ClassII,
        _ => return None,
    };
    let field = |name: &str| format!("{at}/{name}");
    let mirrored = mirrored(lower).filter(|tooth| natural(draft.clean).contains(*tooth));
    // A tooth that is turned or lifted far needs the elastic, or an attachment.
    let [_, _, occlusal, rotation, ..] = totals(&draft.clean.series[*i], lower).map(i32::abs);
    let needs_it = occlusal > 50 || rotation > 1000;
    let (edits, told): (Vec<(&str, Value)>, &str) = match (stream.whole(0, 2), mirrored) {
        (0, Some(tooth)) if !needs_it => (vec![("lower_tooth", tooth.fdi().into())], "pattern"),
        (1, _) => (vec![("pattern", other.as_str().into())], "pattern"),
        _ => (vec![("upper_tooth", lower.fdi().into()), ("lower_tooth", upper.fdi().into())], "upper_tooth"),
    };
    for (name, value) in edits {
        draft.set(&field(name), value)?;
    }
    Some(field(told).into())
}

/// The same tooth of the other side.
fn mirrored(tooth: Tooth) -> Option<Tooth> {
    let other = [0, 20, 10, 40, 30][usize::from(tooth.fdi() / 10).min(4)];
    Tooth::new(other + tooth.position()).filter(|_| !tooth.is_primary())
}
