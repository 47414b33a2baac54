//! How much enamel: lost decimal points, swapped digits, sums in the place of single amounts.

use oar_schema::record::Record;
use oar_schema::teeth::{Arch, Tooth};
use serde_json::{Value, json};

use super::super::record_queries::{decimal, plain_contacts};
use super::super::{Draft, FaultLocation};
use super::entries::{counts, done, planned, same};
use crate::random::RandomStream;

/// The most that the format takes, in hundredths of a millimetre.
const GREATEST: i32 = 500;

/// The usual most at a contact, and half of its enamel, in hundredths of a millimetre.
pub(super) fn limits(draft: &Draft<'_>, between: [Tooth; 2]) -> [i64; 2] {
    let limits = draft.limits;
    if between.iter().all(|tooth| tooth.kind().is_incisor() && tooth.arch() == Arch::Lower) {
        [limits.contact_front_mm, limits.half_enamel_lower_incisors_mm]
    } else if between.iter().any(|tooth| tooth.kind().is_anterior()) {
        [limits.contact_front_mm, limits.half_enamel_front_mm]
    } else {
        [limits.contact_back_mm, limits.half_enamel_back_mm]
    }
}

/// An amount as it is mistyped: without its decimal point, with its digits swapped, with another digit before the point or
/// after it, or as the sum of its arch.
fn mistyped(amount: i32, sum: i32) -> Vec<i32> {
    let swapped = amount % 10 * 10 + amount / 10;
    let other_digit = [20, 30, 40, 50].map(|by| amount + by);
    [amount * 10, swapped, amount + 100, sum].into_iter().chain(other_digit).filter(|it| *it <= GREATEST).collect()
}

/// The amounts of the plan, and those of visits at contacts that the plan and the visits have once: the way, the contact,
/// the amount.
fn amounts(record: &Record) -> Vec<(String, [Tooth; 2], i32)> {
    let once = |between: [Tooth; 2]| counts(record, between) == (1, 1);
    let planned = planned(record).into_iter().filter(|(.., it)| counts(record, it.between).0 == 1);
    let planned = planned
        .map(|(i, j, it)| (format!("/series/{i}/interproximal_reductions/{j}/amount_mm"), it.between, it.amount_mm.0));
    let done = done(record).into_iter().filter(|(.., it)| once(it.between));
    planned
        .chain(done.map(|(i, j, it)| {
            (format!("/appointments/{i}/interproximal_reductions/{j}/amount_mm"), it.between, it.amount_mm.0)
        }))
        .collect()
}

/// Mistypes an amount so that it fits.
fn mistype(
    draft: &mut Draft<'_>,
    stream: &mut RandomStream,
    fits: impl Fn(&Draft<'_>, &(String, [Tooth; 2], i32), i64) -> bool,
) -> Option<FaultLocation> {
    let amounts = amounts(draft.clean);
    let mut choices = Vec::new();
    for amount in &amounts {
        let of_arch = amounts.iter().filter(|(pointer, between, _)| {
            between[0].arch() == amount.1[0].arch() && pointer.split('/').nth(1) == amount.0.split('/').nth(1)
        });
        let sum = of_arch.map(|(.., amount)| amount).sum();
        let mistyped = mistyped(amount.2, sum).into_iter().filter(|other| fits(draft, amount, i64::from(*other)));
        choices.extend(mistyped.map(|other| (amount.0.clone(), other)));
    }
    let (pointer, other) = stream.one_of(&choices)?.clone();
    draft.set(&pointer, decimal(other))?;
    Some(pointer.into())
}

pub(super) fn reduction_too_large(draft: &mut Draft<'_>, stream: &mut RandomStream) -> Option<FaultLocation> {
    mistype(draft, stream, |draft, (_, between, _), other| {
        let [usual, half] = limits(draft, *between);
        other > usual && other <= half
    })
}

pub(super) fn reduction_over_half_enamel(draft: &mut Draft<'_>, stream: &mut RandomStream) -> Option<FaultLocation> {
    mistype(draft, stream, |draft, (_, between, _), other| other > limits(draft, *between)[1])
}

pub(super) fn reduction_more_than_planned(draft: &mut Draft<'_>, stream: &mut RandomStream) -> Option<FaultLocation> {
    mistype(draft, stream, |draft, (pointer, between, _), other| {
        let planned = planned(draft.clean).into_iter().find(|(.., it)| same(it.between, *between));
        let beyond = planned
            .is_some_and(|(.., planned)| other > i64::from(planned.amount_mm.0) + draft.limits.reduction_over_plan_mm);
        pointer.starts_with("/appointments/") && beyond && other <= limits(draft, *between)[0]
    })
}

/// A form with its maxima in the place of amounts, for an arch: planned so, and done so.
pub(super) fn reduction_total_large(draft: &mut Draft<'_>, stream: &mut RandomStream) -> Option<FaultLocation> {
    let record = draft.clean;
    let mut choices = Vec::new();
    for arch in Arch::ALL {
        let in_arch = |between: [Tooth; 2]| between[0].arch() == arch;
        let planned: Vec<_> = planned(record).into_iter().filter(|(.., it)| in_arch(it.between)).collect();
        let done: Vec<_> = done(record).into_iter().filter(|(.., it)| in_arch(it.between)).collect();
        let (Some((i, ..)), Some((k, ..))) = (planned.first(), done.first()) else { continue };
        let pairs: Vec<[Tooth; 2]> = plain_contacts(record).into_iter().filter(|pair| in_arch(*pair)).collect();
        let pairs: Vec<_> = pairs.into_iter().filter(|pair| pair.iter().all(|tooth| tooth.position() < 8)).collect();
        let most: i64 = pairs.iter().map(|pair| limits(draft, *pair)[0]).sum();
        let once = planned.iter().all(|(other, ..)| other == i) && done.iter().all(|(other, ..)| other == k);
        if once && most > draft.limits.arch_reduction_mm {
            choices.push((*i, *k, arch, planned[0].2.before_tray, pairs));
        }
    }
    let (i, k, arch, tray, pairs) = stream.one_of(&choices)?;
    let amounts: Vec<_> = pairs.iter().map(|pair| (*pair, limits(draft, *pair)[0] as i32)).collect();
    fill(draft, &format!("/series/{i}/interproximal_reductions"), *arch, &amounts, Some(*tray))?;
    fill(draft, &format!("/appointments/{k}/interproximal_reductions"), *arch, &amounts, None)?;
    Some(format!("/series/{i}/interproximal_reductions").into())
}

/// Puts amounts in the place of those that a list has for an arch.
fn fill(
    draft: &mut Draft<'_>,
    list: &str,
    arch: Arch,
    amounts: &[([Tooth; 2], i32)],
    before_tray: Option<i32>,
) -> Option<()> {
    let tooth = |entry: &Value| Tooth::new(u8::try_from(entry["between"][0].as_u64()?).ok()?);
    let entries = draft.get(list)?.as_array()?.iter();
    let mut entries: Vec<Value> =
        entries.filter(|entry| tooth(entry).is_some_and(|tooth| tooth.arch() != arch)).cloned().collect();
    entries.extend(amounts.iter().map(|(pair, amount)| {
        let mut entry = json!({"between": pair.map(Tooth::fdi), "amount_mm": decimal(*amount)});
        if let Some(tray) = before_tray {
            entry["before_tray"] = tray.into();
        }
        entry
    }));
    draft.set(list, entries)
}
