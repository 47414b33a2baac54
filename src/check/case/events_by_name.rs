//! Finds the events of an attachment by its id and series, without a search through all events.

use std::collections::BTreeMap;

use oar_schema::time::Date;

use super::Case;

/// From this many events on, they are indexed by what they name. Fewer are searched, which allocates nothing.
const MANY_EVENTS: usize = 512;

/// Indices of events, by the id of the attachment and the series that they name.
pub(crate) type Events = BTreeMap<(Vec<u8>, i32), Vec<usize>>;

fn index<'c>(case: &'c Case<'_>) -> &'c Events {
    case.once.events.get_or_init(|| {
        let mut events = Events::new();
        for (i, event) in case[case.attachment_events].iter().enumerate() {
            events.entry((case.text(event.attachment).to_vec(), event.series)).or_default().push(i);
        }
        events
    })
}

/// The places of the events of an attachment of a series, in order.
pub(crate) fn events_of<'c>(case: &'c Case<'_>, series: i32, id: &[u8]) -> &'c [usize] {
    index(case).get(&(id.to_vec(), series)).map_or(&[], Vec::as_slice)
}

/// The last event of an attachment before a day, and the first from that day on, where the events are in chronological order.
pub(crate) fn around(case: &Case<'_>, series: i32, id: &[u8], day: Date) -> (Option<usize>, Option<usize>) {
    let events = &case[case.attachment_events];
    if events.len() >= MANY_EVENTS {
        let all = events_of(case, series, id);
        let (earlier, later) = all.split_at(all.partition_point(|at| events[*at].on < day));
        return (earlier.last().copied(), later.first().copied());
    }
    let is_of = |at: &usize| events[*at].series == series && case.text(events[*at].attachment) == id;
    let start = events.partition_point(|event| event.on < day);
    ((0..start).rev().find(is_of), (start..events.len()).find(is_of))
}

/// The last event of an attachment.
pub(crate) fn last_of(case: &Case<'_>, series: i32, id: &[u8]) -> Option<usize> {
    let events = &case[case.attachment_events];
    if events.len() >= MANY_EVENTS {
        return events_of(case, series, id).last().copied();
    }
    events.iter().rposition(|event| event.series == series && case.text(event.attachment) == id)
}

/// The series with which events name an attachment.
pub(crate) fn series_with<'c>(case: &'c Case<'_>, id: &[u8]) -> impl Iterator<Item = i32> + 'c {
    let all = (id.to_vec(), i32::MIN)..=(id.to_vec(), i32::MAX);
    index(case).range(all).map(|((_, series), _)| *series)
}
