//! Records of one id, and of one system.

use crate::check::cohort::{AcrossValues, FactField, Hits, Joined, UNKNOWN, groups};

/// One finding for all copies, at the second of them. People keep a record both in a file of its own and in a file of
/// several, so copies in the two kinds of file are counted separately.
pub(super) fn same_record_twice(joined: &Joined<'_>, hits: &mut Hits) {
    for group in joined.by_record() {
        for copies in groups(group, |at| joined.facts(at).content) {
            for in_list in [false, true] {
                let mut alike = copies.iter().copied().filter(|at| joined.is_list(*at) == in_list);
                if let (Some(first), Some(second)) = (alike.next(), alike.next()) {
                    let count = |at: u32| joined.facts(at).copies;
                    let all = count(first) + count(second) + alike.map(count).sum::<u32>();
                    hits.add(FactField::Record, (second, first), joined.facts(first).record, AcrossValues::Copies(all));
                }
            }
        }
    }
}

/// Two different records that cannot be exports of one record: the odd one, and the one that it is compared with.
fn clash(joined: &Joined<'_>, states: &[u32]) -> Option<(u32, u32, bool)> {
    let patient = |at: &u32| joined.facts(*at).patient;
    if let Some(owner) = most_frequent(states.iter().map(patient).filter(|patient| *patient != 0)) {
        let odd = states.iter().find(|at| patient(at) != 0 && patient(at) != owner);
        let owned = states.iter().find(|at| patient(at) == owner);
        if let (Some(odd), Some(owned)) = (odd, owned) {
            return Some((*odd, *owned, true));
        }
    }
    same_moment(joined, states).map(|(one, next)| (next, one, false))
}

/// Two different records that were exported at the same moment.
fn same_moment(joined: &Joined<'_>, states: &[u32]) -> Option<(u32, u32)> {
    let exported = |at: u32| joined.facts(at).exported;
    states.windows(2).find(|pair| exported(pair[0]) == exported(pair[1])).map(|pair| (pair[0], pair[1]))
}

/// The most frequent value; of several, the one that comes first.
pub(super) fn most_frequent<T: Ord + Copy>(values: impl Iterator<Item = T>) -> Option<T> {
    let mut places: Vec<(T, usize)> = values.enumerate().map(|(at, value)| (value, at)).collect();
    places.sort_unstable();
    let runs = places.chunk_by(|one, next| one.0 == next.0);
    runs.max_by_key(|run| (run.len(), std::cmp::Reverse(run[0].1))).map(|run| run[0].0)
}

pub(super) fn record_id_repeated(joined: &Joined<'_>, hits: &mut Hits) {
    for group in joined.by_record() {
        let states = joined.states(group);
        if states.len() > 1
            && let Some((odd, other, several_patients)) = clash(joined, &states)
        {
            let said = AcrossValues::SameId { records: states.len() as u32, several_patients };
            hits.add(FactField::Id, (odd, other), joined.facts(odd).record, said);
        }
    }
}

/// Exports of one record at different moments, in order; none if there is only one, or if they are different records.
fn exports(joined: &Joined<'_>, group: &[u32]) -> Option<Vec<u32>> {
    let states = joined.states(group);
    (states.len() > 1 && clash(joined, &states).is_none()).then_some(states)
}

/// The first export that ends before an earlier export, with that earlier export.
fn ends_early(joined: &Joined<'_>, states: &[u32]) -> Option<(u32, u32)> {
    let last_told = |at: u32| joined.facts(at).last_told;
    let mut longest: Option<u32> = None;
    for at in states.iter().copied().filter(|at| last_told(*at) != UNKNOWN) {
        match longest {
            Some(before) if last_told(at) < last_told(before) => return Some((at, before)),
            _ => longest = Some(at),
        }
    }
    None
}

pub(super) fn record_exported_again(joined: &Joined<'_>, hits: &mut Hits) {
    for group in joined.by_record() {
        if let Some(states) = exports(joined, group)
            && let [.., before, last] = states[..]
            && ends_early(joined, &states).is_none()
        {
            let said = AcrossValues::ExportedAgain(states.len() as u32 - 1);
            hits.add(FactField::ExportedAt, (last, before), joined.facts(last).record, said);
        }
    }
}

pub(super) fn export_order_odd(joined: &Joined<'_>, hits: &mut Hits) {
    for group in joined.by_record() {
        if let Some(states) = exports(joined, group)
            && let Some((at, before)) = ends_early(joined, &states)
        {
            let (last, earlier) = (joined.facts(at).last_told, joined.facts(before).last_told);
            hits.add(
                FactField::ExportedAt,
                (at, before),
                joined.facts(at).record,
                AcrossValues::EndsEarlier { last, earlier },
            );
        }
    }
}

/// Versions that follow each other are an update. Versions that write during the same period are reported once for
/// each system.
pub(super) fn mixed_versions(joined: &Joined<'_>, hits: &mut Hits) {
    let told = |at: &u32| joined.facts(*at).version != 0;
    let mut records: Vec<u32> = joined.all().iter().copied().filter(told).collect();
    joined.sort(&mut records, |facts| (facts.system, facts.version));
    for system in groups(&records, |at| joined.facts(at).system) {
        let version = |at: &u32| joined.facts(*at).version;
        let runs = system.chunk_by(|one, next| version(one) == version(next));
        // The first and the last export by each version, in the order of the first exports.
        let mut spans: Vec<(u32, u32)> = runs.map(|run| (run[0], run[run.len() - 1])).collect();
        if spans.len() > 1 {
            spans.sort_unstable_by_key(|(first, _)| (joined.facts(*first).exported, joined.facts(*first).version));
            // Two records with one id are reported for their id.
            if let Some((at, other)) = in_turns(joined, &spans)
                && joined.facts(at).record != joined.facts(other).record
            {
                let said = AcrossValues::Versions(spans.len() as u32);
                hits.add(FactField::SystemVersion, (at, other), joined.facts(at).system, said);
            }
        }
    }
}

/// The first export by a version while another was still in use, with the last export by that other version.
fn in_turns(joined: &Joined<'_>, spans: &[(u32, u32)]) -> Option<(u32, u32)> {
    let exported = |at: u32| joined.facts(at).exported;
    let mut latest = spans.first()?.1;
    for (first, last) in &spans[1..] {
        if exported(*first) <= exported(latest) {
            return Some((*first, latest));
        }
        latest = *last;
    }
    None
}
