//! The interproximal reductions of a record: those of its plans, and those of its visits.

use oar_schema::record::{DoneReduction, PlannedReduction, Record};
use oar_schema::teeth::Tooth;

/// Whether two pairs are one contact.
pub(super) fn same(one: [Tooth; 2], other: [Tooth; 2]) -> bool {
    one == other || one == [other[1], other[0]]
}

/// Every planned reduction, by the place of its series and its own.
pub(in super::super) fn planned(record: &Record) -> Vec<(usize, usize, &PlannedReduction)> {
    let series = record.series.iter().enumerate();
    let of = |(i, series): (usize, &'_ oar_schema::record::Series)| {
        (i, series.interproximal_reductions.as_ref().map_or(0, Vec::len))
    };
    let places = series.map(of).flat_map(|(i, count)| (0..count).map(move |j| (i, j)));
    places.filter_map(|(i, j)| Some((i, j, record.series[i].interproximal_reductions.as_ref()?.get(j)?))).collect()
}

/// Every reduction of a visit, by the place of the visit and its own.
pub(super) fn done(record: &Record) -> Vec<(usize, usize, &DoneReduction)> {
    let visits = record.appointments.iter().flatten().enumerate();
    visits
        .flat_map(|(i, visit)| {
            visit.interproximal_reductions.iter().flatten().enumerate().map(move |(j, it)| (i, j, it))
        })
        .collect()
}

/// How many reductions the plan has at a contact, and how many were done there.
pub(in super::super) fn counts(record: &Record, between: [Tooth; 2]) -> (usize, usize) {
    let planned = planned(record).into_iter().filter(|(.., it)| same(it.between, between)).count();
    (planned, done(record).into_iter().filter(|(.., it)| same(it.between, between)).count())
}
