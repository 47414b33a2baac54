//! Chronological lists that have no theme of their own.

use oar_schema::time::Date;

use crate::check::rules::prelude::*;

pub(super) fn list_out_of_order(case: &Case<'_>, found: &mut Found) {
    let (assessments, events, comfort) = (&case[case.assessments], &case[case.attachment_events], &case[case.comfort]);
    let mut check = |list: &'static str, field: &'static str, day: &dyn Fn(usize) -> Date, count: usize| {
        if let Some((before, i)) = case.first_break((0..count).map(day)) {
            found.add(at![list, i, field], args!["date" = day(i), "before" = day(before), "list" = list]);
        }
    };
    check("assessments", "on", &|i| assessments[i].on, assessments.len());
    check("attachment_events", "on", &|i| events[i].on, events.len());
    check("comfort", "on", &|i| comfort[i].on, comfort.len());
}

pub(super) fn retention_backwards(case: &Case<'_>, found: &mut Found) {
    if let Some(retention) = &case.retention
        && let Some(until) = retention.until
        && until < retention.from
        && case.trusts(retention.from)
    {
        found.add(at!["retention", "until"], args!["until" = until, "from" = retention.from]);
    }
}
