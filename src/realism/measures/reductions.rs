//! Interproximal reduction (IPR), planned and carried out.

use std::collections::BTreeMap;

use oar_schema::record::{Appointment, PlannedReduction, Series};
use oar_schema::teeth::{Arch, Tooth};

use super::Measure;
use crate::realism::patient::Patient;
use crate::realism::seen::{Seen, plain};

pub(super) const MEASURES: &[Measure] = &[
    Measure {
        name: "reduction_planned",
        unit: "mm",
        definition: "total interproximal reduction (IPR) planned, for patients with any: in the first series, or in all refinements combined",
        observe: reduction_planned,
    },
    Measure {
        name: "reduction_in_first",
        unit: "%",
        definition: "contacts with IPR planned in the first series, as a share of all planned contacts",
        observe: reduction_in_first,
    },
    Measure {
        name: "reduction_twice",
        unit: "%",
        definition: "patients with IPR planned at the same contact in two or more series, among those with any planned",
        observe: reduction_twice,
    },
    Measure {
        name: "reduction_place",
        unit: "%",
        definition: "planned IPR contacts of all series by location: front (canine to canine) and back, in each arch",
        observe: reduction_place,
    },
    Measure {
        name: "reduction_done",
        unit: "%",
        definition: "IPR recorded at visits before the second series began, as a share of the IPR planned in the first series before its last worn tray; only contacts with a plan; also by arch. IPR that a refinement plans again is not counted twice",
        observe: reduction_done,
    },
    Measure {
        name: "reduction_short",
        unit: "mm",
        definition: "planned minus recorded IPR for each arch with planned IPR that was due, as for reduction_done",
        observe: reduction_short,
    },
    Measure {
        name: "reduction_short_a_tooth",
        unit: "mm",
        definition: "planned minus recorded IPR for each tooth with planned IPR that was due, as for reduction_done; each tooth has half of the amount at its contacts",
        observe: reduction_short_a_tooth,
    },
    Measure {
        name: "reduction_of_arch",
        unit: "mm",
        definition: "IPR planned in each arch in the first series, for patients with any planned",
        observe: reduction_of_arch,
    },
];

fn planned(series: &Series) -> &[PlannedReduction] {
    series.interproximal_reductions.as_deref().unwrap_or_default()
}

fn sum<'r>(reductions: impl Iterator<Item = &'r PlannedReduction>) -> i64 {
    reductions.map(|reduction| i64::from(reduction.amount_mm.0)).sum()
}

fn reduction_planned(patient: &Patient<'_>, seen: &mut Seen) {
    let first = sum(patient.first_series().iter().flat_map(|series| planned(series)));
    let later = sum(patient.refinements().flat_map(planned));
    for (when, hundredths) in [("first", first), ("refinements", later)] {
        if hundredths > 0 {
            seen.value(["reduction_planned", when, ""], hundredths);
        }
    }
}

fn reduction_in_first(patient: &Patient<'_>, seen: &mut Seen) {
    for series in &patient.record.series {
        for _ in planned(series) {
            seen.count(plain("reduction_in_first"), series.number == 0);
        }
    }
}

fn contact(between: [Tooth; 2]) -> [Tooth; 2] {
    [between[0].min(between[1]), between[0].max(between[1])]
}

fn reduction_twice(patient: &Patient<'_>, seen: &mut Seen) {
    let mut series_of: BTreeMap<[Tooth; 2], Vec<i32>> = BTreeMap::new();
    for series in &patient.record.series {
        for reduction in planned(series) {
            let numbers = series_of.entry(contact(reduction.between)).or_default();
            if !numbers.contains(&series.number) {
                numbers.push(series.number);
            }
        }
    }
    if !series_of.is_empty() {
        seen.share(plain("reduction_twice"), series_of.values().any(|numbers| numbers.len() > 1));
    }
}

const PLACES: [&str; 4] = ["upper_front", "lower_front", "upper_back", "lower_back"];

fn place(between: [Tooth; 2]) -> &'static str {
    let front = between.iter().all(|tooth| tooth.kind().is_anterior());
    let lower = between[0].arch() == Arch::Lower;
    PLACES[2 * usize::from(!front) + usize::from(lower)]
}

fn reduction_place(patient: &Patient<'_>, seen: &mut Seen) {
    for reduction in patient.record.series.iter().flat_map(planned) {
        for name in PLACES {
            seen.count(["reduction_place", name, ""], place(reduction.between) == name);
        }
    }
}

/// Planned and recorded in the first series at each contact with planned IPR that was due, in hundredths. None when visits are not known.
fn contacts(patient: &Patient<'_>) -> Option<BTreeMap<[Tooth; 2], (i64, i64)>> {
    let visits = patient.record.appointments.as_ref()?;
    let mut contacts: BTreeMap<[Tooth; 2], (i64, i64)> = BTreeMap::new();
    let worn = patient.worn(0).map(|worn| worn.tray).max().unwrap_or(0);
    let first = patient.first_series().into_iter().flat_map(planned);
    for due in first.filter(|reduction| reduction.before_tray <= worn) {
        contacts.entry(contact(due.between)).or_default().0 += i64::from(due.amount_mm.0);
    }
    let second = patient.worn(1).map(|worn| worn.from).min();
    let before = |visit: &&Appointment| second.is_none_or(|from| visit.on < from);
    for done in visits.iter().filter(before).flat_map(|visit| visit.interproximal_reductions.iter().flatten()) {
        if let Some(at) = contacts.get_mut(&contact(done.between)) {
            at.1 += i64::from(done.amount_mm.0);
        }
    }
    Some(contacts)
}

/// Planned and recorded in each arch with planned IPR.
fn by_arch(patient: &Patient<'_>) -> Vec<(&'static str, i64, i64)> {
    let contacts = contacts(patient).unwrap_or_default();
    let arch = |arch: Arch| {
        let own = contacts.iter().filter(|(between, _)| between[0].arch() == arch);
        let (planned, done) = own.fold((0, 0), |sums, (_, (plan, done))| (sums.0 + plan, sums.1 + done));
        (arch.as_str(), planned, done)
    };
    Arch::ALL.map(arch).into_iter().filter(|(_, planned, _)| *planned > 0).collect()
}

fn reduction_done(patient: &Patient<'_>, seen: &mut Seen) {
    for (arch, planned, done) in by_arch(patient) {
        seen.pool(["reduction_done", arch, ""], done, planned);
        seen.pool(plain("reduction_done"), done, planned);
    }
}

fn reduction_short(patient: &Patient<'_>, seen: &mut Seen) {
    for (arch, planned, done) in by_arch(patient) {
        seen.value(["reduction_short", arch, ""], planned - done);
    }
}

fn reduction_short_a_tooth(patient: &Patient<'_>, seen: &mut Seen) {
    let mut teeth: BTreeMap<Tooth, i64> = BTreeMap::new();
    for (between, (planned, done)) in contacts(patient).unwrap_or_default() {
        for tooth in between {
            *teeth.entry(tooth).or_default() += planned - done;
        }
    }
    for twice in teeth.into_values() {
        seen.pool(plain("reduction_short_a_tooth"), twice, 200);
    }
}

fn reduction_of_arch(patient: &Patient<'_>, seen: &mut Seen) {
    let Some(first) = patient.first_series().filter(|series| !planned(series).is_empty()) else { return };
    for arch in Arch::ALL {
        let own = planned(first).iter().filter(|reduction| reduction.between[0].arch() == arch);
        seen.value(["reduction_of_arch", arch.as_str(), ""], sum(own));
    }
}
