//! Mistakes that only several records together show: a record is added beside the one that is there.

use oar_schema::time::Instant;

use super::{Draft, Spot, makers};
use crate::random::Stream;

makers! { "cohort":
    Many record_exported_again;
}

/// The export ran twice on one day, and both went into the folder.
fn record_exported_again(draft: &mut Draft<'_>, stream: &mut Stream) -> Option<Spot> {
    let exported = draft.clean.source.exported_at;
    let later = Instant { seconds: exported.seconds + i64::from(stream.whole(1, 300)) * 60, ..exported };
    if later.written_date() != exported.written_date() {
        return None;
    }
    let mut again = draft.tree.clone();
    *again.pointer_mut("/source/exported_at")? = later.to_string().into();
    let number = draft.add_beside(again);
    Some(Spot::beside(number, "/source/exported_at", &[(0, "/source/exported_at")]))
}
