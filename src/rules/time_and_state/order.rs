//! Lists in the order of time that no theme of their own looks after.

use oar_schema::time::Date;

use crate::case::Case;
use crate::finding::{args, at};
use crate::rule::Found;

pub(super) fn list_out_of_order(case: &Case<'_>, found: &mut Found) {
    let mut check = |list: &'static str, field: &'static str, days: &mut dyn Iterator<Item = Date>| {
        if let Some((i, before, day)) = first_break(case, days) {
            found.add(at![list, i, field], args!["date" = day, "before" = before, "list" = list]);
        }
    };
    check("assessments", "on", &mut case[case.assessments].iter().map(|entry| entry.on));
    check("attachment_events", "on", &mut case[case.attachment_events].iter().map(|entry| entry.on));
    check("comfort", "date", &mut case[case.comfort].iter().map(|entry| entry.date));
}

/// The first entry that precedes the one before it. Dates that other rules report are passed over.
fn first_break(case: &Case<'_>, days: &mut dyn Iterator<Item = Date>) -> Option<(usize, Date, Date)> {
    let mut last: Option<Date> = None;
    for (i, day) in days.enumerate() {
        match last {
            Some(before) if day < before => {
                if case.out_of_order(before, day) {
                    return Some((i, before, day));
                }
                last = Some(if case.in_lifetime(before) { before } else { day });
            }
            _ => last = Some(day),
        }
    }
    None
}

pub(super) fn retention_backwards(case: &Case<'_>, found: &mut Found) {
    if let Some(retention) = &case.retention
        && let Some(until) = retention.until
        && until < retention.from
    {
        found.add(at!["retention", "until"], args!["until" = until, "from" = retention.from]);
    }
}
