//! Contacts: whether neighbours are moved into each other.

use oar_schema::number::Hundredths;
use oar_schema::record::MovementRow;

use crate::check::case::contacts::{Contact, MESIAL, Squeezed, reduced, squeezed};
use crate::check::case::movements::axes;
use crate::check::rules::prelude::*;

pub(crate) fn contact_squeezed(case: &Case<'_>, found: &mut Found) {
    for i in 0..case[case.series].len() {
        tell(case, found, i, &squeezed(case, i));
    }
}

/// Where a series moves the two teeth along the arch, the longest movement first.
fn places(case: &Case<'_>, i: usize, contact: &Contact) -> impl Iterator<Item = Path> {
    let along = |movement: &MovementRow| contact.teeth.contains(&movement.tooth) && axes(movement)[MESIAL] != 0;
    let movements = case[case[case.series][i].movements].iter().enumerate();
    let moved = movements.filter(|(_, movement)| along(movement));
    let mut places: Vec<(usize, i32)> = moved.map(|(j, movement)| (j, axes(movement)[MESIAL].abs())).collect();
    places.sort_by_key(|(_, size)| std::cmp::Reverse(*size));
    places.into_iter().map(move |(j, _)| at!["series", i, "movements", j, "mesial_mm"])
}

/// States the contacts of a series together: one sign, or one tooth that is missing from a list, is wrong for several.
fn tell(case: &Case<'_>, found: &mut Found, i: usize, squeezed: &[Squeezed]) {
    let [first, others @ ..] = squeezed else { return };
    let [one, other] = first.contact.in_order();
    let [approach, room] = [first.approach, first.room].map(|value| Hundredths(value as i32));
    let mut args = args!["tooth" = one, "other" = other, "approach" = approach, "room" = room];
    let reduced = reduced(case, i, &first.contact);
    if reduced > 0 {
        args.extend(args!["reduced" = Hundredths(reduced as i32)]);
    }
    if !others.is_empty() {
        args.extend(args!["others" = others.len()]);
    }
    let mut places = places(case, i, &first.contact);
    if let Some(place) = places.next() {
        let stated = found.add(place, args);
        stated.related.extend(places);
        for squeezed in others {
            stated.related.extend(self::places(case, i, &squeezed.contact).take(1));
        }
    }
}
