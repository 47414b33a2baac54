//! Records of one patient, and logs that several patients share.

use super::records::most_frequent;
use crate::check::cohort::{AcrossValues, FactField, Facts, Hits, Joined, LOWER, UPPER, groups};

/// A contradiction in one fact of a patient: the first record that differs from the majority, the first that has the
/// value of the majority, and how many more differ.
fn contradiction<T: Ord + Copy>(
    joined: &Joined<'_>,
    group: &[u32],
    fact: impl Fn(&Facts) -> Option<T>,
) -> Option<(u32, u32, u32)> {
    let of = |at: &u32| fact(joined.facts(*at));
    let usual = most_frequent(group.iter().filter_map(of))?;
    let differs = |at: &&u32| of(at).is_some_and(|value| value != usual);
    let odd = group.iter().find(differs)?;
    let other = group.iter().find(|at| of(at) == Some(usual))?;
    Some((*odd, *other, group.iter().filter(differs).count() as u32 - 1))
}

fn birth_year(facts: &Facts) -> Option<i16> {
    Some(facts.birth_year).filter(|year| *year != 0)
}

fn sex(facts: &Facts) -> Option<u8> {
    Some(facts.sex).filter(|sex| *sex != 0)
}

/// The contradiction between a patient's records, if there is one.
fn contradicts(joined: &Joined<'_>, group: &[u32]) -> Option<(FactField, (u32, u32), AcrossValues)> {
    if let Some((odd, other, more)) = contradiction(joined, group, birth_year) {
        let (here, there) = (joined.facts(odd), joined.facts(other));
        let sexes = sex(here).zip(sex(there)).filter(|(one, other)| one != other);
        let said = AcrossValues::BirthYears { year: here.birth_year, other: there.birth_year, sexes, more };
        return Some((FactField::BirthYear, (odd, other), said));
    }
    let (odd, other, more) = contradiction(joined, group, sex)?;
    let said = AcrossValues::Sexes { sex: joined.facts(odd).sex, other: joined.facts(other).sex, more };
    Some((FactField::Sex, (odd, other), said))
}

pub(super) fn patient_contradicts(joined: &Joined<'_>, hits: &mut Hits) {
    for group in joined.by_patient() {
        if let Some((spot, places, said)) = contradicts(joined, group) {
            hits.add(spot, places, joined.facts(places.0).patient, said);
        }
    }
}

/// One finding for a patient, at the first treatment that begins during another. Patients whose records contradict
/// each other are skipped: they are probably two people.
pub(super) fn patients_overlap(joined: &Joined<'_>, hits: &mut Hits) {
    for group in joined.by_patient() {
        let worn = |at: &u32| joined.facts(*at).arches() != 0;
        if group.iter().filter(|at| worn(at)).count() < 2 || contradicts(joined, group).is_some() {
            continue;
        }
        let mut treatments: Vec<u32> = group.iter().copied().filter(worn).collect();
        joined.sort(&mut treatments, |facts| facts.first_day);
        let mut longest = Longest::default();
        let mut overlaps = treatments.into_iter().filter_map(|at| longest.overlap(joined, at));
        if let Some((at, other)) = overlaps.next() {
            let (here, there) = (joined.facts(at), joined.facts(other));
            let to = Some(there.last_day).filter(|_| !there.is_worn_still());
            let said = AcrossValues::Overlap { from: here.first_day, to, more: overlaps.count() as u32 };
            hits.add(FactField::WornFrom, (at, other), here.patient, said);
        }
    }
}

/// For each arch, the treatment that lasts longest among those that have begun.
#[derive(Default)]
struct Longest([Option<u32>; 2]);

impl Longest {
    /// Takes a treatment that begins no earlier than those before it, and returns it with the longest one in its
    /// arches if that still lasts on this day.
    fn overlap(&mut self, joined: &Joined<'_>, at: u32) -> Option<(u32, u32)> {
        let here = joined.facts(at);
        let last_day = |at: u32| joined.facts(at).last_day;
        let mut other: Option<u32> = None;
        for (held, arch) in self.0.iter_mut().zip([UPPER, LOWER]) {
            if here.arches() & arch != 0 {
                let before = held.filter(|held| last_day(*held) > here.first_day);
                other = before.into_iter().chain(other).max_by_key(|at| last_day(*at));
                if held.is_none_or(|held| last_day(held) < here.last_day) {
                    *held = Some(at);
                }
            }
        }
        other.map(|other| (at, other))
    }
}

/// One finding for all patients who share a log, at the first export of another patient than the first.
pub(super) fn same_log_in_two_patients(joined: &Joined<'_>, hits: &mut Hits) {
    let mut logs: Vec<u32> = joined.people().iter().copied().filter(|at| joined.facts(*at).log != 0).collect();
    joined.sort(&mut logs, |facts| facts.log);
    for group in groups(&logs, |at| joined.facts(at).log) {
        let first = joined.facts(group[0]);
        let apart = |at: &u32| {
            let facts = joined.facts(*at);
            facts.patient != first.patient && facts.record != first.record
        };
        let mut others = group.iter().copied().filter(apart);
        if let Some(at) = others.next() {
            let said = AcrossValues::SameLog { days: first.log_days, more: others.count() as u32 };
            hits.add(FactField::WearLog, (at, group[0]), first.log, said);
        }
    }
}
