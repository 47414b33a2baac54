//! Who names an attachment: events by its id and series, found without going through all of them.

use std::collections::BTreeMap;

use crate::case::Case;

/// The places of events, by the id of the attachment and the series that they name.
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
pub(super) fn events_of<'c>(case: &'c Case<'_>, series: i32, id: &[u8]) -> &'c [usize] {
    index(case).get(&(id.to_vec(), series)).map_or(&[], Vec::as_slice)
}

/// The series with which events name an attachment.
pub(super) fn series_with<'c>(case: &'c Case<'_>, id: &[u8]) -> impl Iterator<Item = i32> + 'c {
    let all = (id.to_vec(), i32::MIN)..=(id.to_vec(), i32::MAX);
    index(case).range(all).map(|((_, series), _)| *series)
}
