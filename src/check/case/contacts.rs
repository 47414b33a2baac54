//! Contacts: whether neighbouring teeth are moved into each other.

use oar_schema::kinds::FieldKind;
use oar_schema::norms::crown_widths;
use oar_schema::number::Hundredths;
use oar_schema::record::SeriesRow;
use oar_schema::teeth::{Arch, Tooth, ToothKind, ToothSet};

use super::Case;
use super::movements::{moves_the_immovable, told_in_movements};
use super::totals::ToothTotals;
use crate::check::marks::Mark;

/// The place of `mesial_mm` among [`axes`].
pub(crate) const MESIAL: usize = 0;

/// How many standard deviations are added to the mean width of a crown that was not measured.
const WIDE_SDS: i32 = 2;

/// Two neighbouring teeth.
#[derive(Clone, Copy)]
pub(crate) struct Contact {
    pub(crate) teeth: [Tooth; 2],
    /// The widths of teeth between them that are not there, in hundredths of a millimetre.
    pub(crate) between: i64,
}

impl Contact {
    /// How far the two come nearer to each other along the arch, in hundredths of a millimetre; negative is apart.
    pub(crate) fn approach(&self, totals: &ToothTotals) -> i64 {
        let [one, other] = self.teeth.map(|tooth| i64::from(totals.at(tooth)[MESIAL]));
        let [first, second] = self.teeth;
        match first.position().cmp(&second.position()) {
            _ if first.side() != second.side() => one + other,
            std::cmp::Ordering::Less => other - one,
            _ => one - other,
        }
    }

    /// The two teeth by rising number, as messages name them.
    pub(crate) fn in_order(&self) -> [Tooth; 2] {
        let [one, other] = self.teeth;
        [one.min(other), one.max(other)]
    }

    /// Whether one of the two is a third molar that the series does not move: it may be unerupted.
    fn is_of_resting_third_molar(&self, totals: &ToothTotals) -> bool {
        self.teeth.iter().any(|tooth| tooth.kind() == ToothKind::ThirdMolar && !totals.moves(*tooth))
    }

    /// Whether it is the contact of the upper central incisors.
    fn is_upper_midline(&self) -> bool {
        let [first, second] = self.teeth;
        first.side() != second.side() && first.arch() == Arch::Upper
    }

    /// Room from movements on other axes than along the arch. Both move facially: the arch widens by about a crown's
    /// width over its radius, 0.4 mm for each millimetre. One moves further than the other, facially or vertically:
    /// they pass each other, half a millimetre for each. Rotated or tipped: a crown is up to 0.05 mm narrower for
    /// each degree.
    fn room_by_other_axes(&self, totals: &ToothTotals) -> i64 {
        let [one, other] = self.teeth.map(|tooth| totals.at(tooth).map(i64::from));
        let [_, facial, occlusal, rotation, tip, _] = one;
        let [_, other_facial, other_occlusal, other_rotation, other_tip, _] = other;
        let outward = (facial + other_facial).max(0) / 2;
        let past = (facial - other_facial).abs() + (occlusal - other_occlusal).abs();
        let turned = rotation.abs() + other_rotation.abs() + tip.abs() + other_tip.abs();
        (outward * 40 + past * 50 + turned * 5) / 100
    }
}

/// The most contacts of an arch of permanent teeth.
const MOST: usize = 15;

/// What fills the places that no contact takes.
const UNUSED: Contact = Contact { teeth: [Tooth::BLANK; 2], between: 0 };

/// The contacts of an arch.
pub(crate) struct Contacts {
    contacts: [Contact; MOST],
    count: usize,
}

impl Contacts {
    fn push(&mut self, contact: Contact) {
        self.contacts[self.count] = contact;
        self.count += 1;
    }
}

/// The contacts of an arch between permanent teeth that are present and not extracted. Pontics and primary teeth,
/// which may be replaced by wider or narrower crowns, have none.
pub(crate) fn contacts<'c>(case: &'c Case<'_>, arch: Arch) -> &'c [Contact] {
    let both = case.once.contacts.get_or_init(|| Arch::ALL.map(|arch| find_contacts(case, arch)));
    let Contacts { contacts, count } = &both[arch as usize];
    &contacts[..*count]
}

fn find_contacts(case: &Case<'_>, arch: Arch) -> Contacts {
    let mut contacts = Contacts { contacts: [UNUSED; MOST], count: 0 };
    let dentition = &case.dentition;
    let crowns = case.standing.union(case[dentition.implants].iter().copied().collect());
    let pontics: ToothSet = case[dentition.pontics].iter().copied().collect();
    let extracted: ToothSet = case[dentition.extracted].iter().map(|row| row.tooth).collect();
    let mut last: Option<Tooth> = None;
    let mut between = 0;
    for tooth in row(arch) {
        let primary = tooth.predecessor().is_some_and(|primary| crowns.contains(primary));
        if primary || pontics.contains(tooth) {
            last = None;
        } else if crowns.contains(tooth) && !extracted.contains(tooth) {
            if let Some(before) = last {
                contacts.push(Contact { teeth: [before, tooth], between });
            }
            (last, between) = (Some(tooth), 0);
        } else {
            between += width(case, tooth, WIDE_SDS);
        }
    }
    contacts
}

/// The permanent teeth of an arch from the patient's right to the left.
fn row(arch: Arch) -> impl Iterator<Item = Tooth> {
    let [right, left] = if arch == Arch::Upper { [10, 20] } else { [40, 30] };
    let right = (1..=8).rev().filter_map(move |position| Tooth::new(right + position));
    right.chain((1..=8).filter_map(move |position| Tooth::new(left + position)))
}

/// The width of a crown as it was measured, otherwise that of the sex with the wider ones and some standard deviations
/// more, in hundredths of a millimetre.
pub(crate) fn width(case: &Case<'_>, tooth: Tooth, sds: i32) -> i64 {
    let measured = case[case.dentition.crown_widths].iter().find(|row| row.tooth == tooth);
    let published =
        || crown_widths(tooth).map(|[one, other]| (one.mean + sds * one.sd).max(other.mean + sds * other.sd));
    measured.map(|row| row.width_mm.0).or_else(published).unwrap_or_default().into()
}

/// Crowding of an arch in each assessment that tells it.
pub(crate) fn crowding<'c>(case: &'c Case<'_>, arch: Arch) -> impl Iterator<Item = Hundredths> + 'c {
    let of_arch = move |crowding: &oar_schema::record::ArchMeasuresRow| match arch {
        Arch::Upper => crowding.upper,
        Arch::Lower => crowding.lower,
    };
    case[case.assessments].iter().filter_map(move |assessment| assessment.crowding_mm.as_ref().and_then(of_arch))
}

/// Two neighbours that come nearer to each other than they have room.
pub(crate) struct Squeezed {
    pub(crate) contact: Contact,
    pub(crate) approach: i64,
    pub(crate) room: i64,
}

/// The contacts that the series at `i` squeezes, the one that is squeezed most first.
pub(crate) fn squeezed(case: &Case<'_>, i: usize) -> Vec<Squeezed> {
    let (series, totals) = (&case[case.series][i], &case.totals[i]);
    let mut squeezed = Vec::new();
    for arch in Arch::ALL {
        let Some(least) = crowding(case, arch).min() else { continue };
        let spare = i64::from(-least.0).max(0);
        for contact in contacts(case, arch) {
            let approach = contact.approach(totals);
            if approach > case.limits.contact_tolerance_mm && !contact.is_of_resting_third_molar(totals) {
                let room = room(case, i, contact, totals) + spare;
                if approach > room && !is_reported(case, series, contact) {
                    squeezed.push(Squeezed { contact: *contact, approach, room });
                }
            }
        }
    }
    squeezed.sort_by_key(|squeezed| squeezed.room - squeezed.approach);
    squeezed
}

/// Whether the series at `i` squeezes a tooth against its neighbour: one of them may go the wrong way.
pub(crate) fn is_squeezed(case: &Case<'_>, i: usize, tooth: Tooth) -> bool {
    if !case.heeds(Mark::SqueezedContacts) {
        return false;
    }
    squeezed(case, i).iter().any(|squeezed| squeezed.contact.teeth.contains(&tooth))
}

/// The room between two neighbours, without the spare space of the whole arch.
fn room(case: &Case<'_>, i: usize, contact: &Contact, totals: &ToothTotals) -> i64 {
    let limits = case.limits;
    let midline = if contact.is_upper_midline() { limits.midline_space_mm } else { 0 };
    limits.contact_tolerance_mm
        + midline
        + opened(case, i, contact)
        + contact.between
        + contact.room_by_other_axes(totals)
        + reduced(case, i, contact)
        + drifted(case, &case[case.series][i], contact)
}

/// How far earlier series moved the two apart: as planned, or as measured if that is more.
fn opened(case: &Case<'_>, i: usize, contact: &Contact) -> i64 {
    let before = || case[case.series][..i].iter().enumerate();
    let planned: i64 = before().map(|(i, _)| contact.approach(&case.totals[i])).sum();
    let reached: i64 = before().map(|(_, series)| contact.approach(&ToothTotals::reached(case, series))).sum();
    (-planned).max(-reached).max(0)
}

/// Enamel removed at a contact: what the series up to this one planned, or what visits did if that is more.
pub(crate) fn reduced(case: &Case<'_>, i: usize, contact: &Contact) -> i64 {
    let [one, other] = contact.teeth;
    let here = |between: [Tooth; 2]| between == [one, other] || between == [other, one];
    let planned = case[case.series][..=i].iter().flat_map(|series| &case[series.interproximal_reductions]);
    let planned: i64 = planned.filter(|row| here(row.between)).map(|row| i64::from(row.amount_mm.0)).sum();
    let done = case[case.appointments].iter().flat_map(|visit| &case[visit.interproximal_reductions]);
    let done: i64 = done.filter(|row| here(row.between)).map(|row| i64::from(row.amount_mm.0)).sum();
    planned.max(done)
}

/// The widths of teeth of the same side that were extracted before the scan: their neighbours may have drifted into
/// the space and left other spaces.
fn drifted(case: &Case<'_>, series: &SeriesRow, contact: &Contact) -> i64 {
    let near =
        |tooth: Tooth| contact.teeth.iter().any(|other| other.arch() == tooth.arch() && other.side() == tooth.side());
    let gone = case[case.dentition.extracted]
        .iter()
        .filter(|row| near(row.tooth) && series.scanned_on.is_none_or(|scan| row.on < scan));
    gone.map(|row| width(case, row.tooth, WIDE_SDS)).sum()
}

/// Whether other rules report movements that only make the two teeth look squeezed.
fn is_reported(case: &Case<'_>, series: &SeriesRow, contact: &Contact) -> bool {
    extracted_twice(case)
        || told_in_movements(case, series, |tooth| contact.teeth.contains(&tooth))
        || moves_the_immovable(case, series)
}

/// Whether a tooth is listed twice as extracted: another may be meant.
pub(crate) fn extracted_twice(case: &Case<'_>) -> bool {
    let extracted = &case[case.dentition.extracted];
    extracted.iter().map(|row| row.tooth).collect::<ToothSet>().len() < extracted.len()
}
