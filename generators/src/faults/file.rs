//! Mistakes before it is a record: bytes, text, JSON.

use super::{Draft, Spot, makers};
use crate::random::Stream;

makers! { "file":
    Many cut_short;
}

/// A file of which a disk that was full, or a line that broke, left the first part.
fn cut_short(draft: &mut Draft<'_>, stream: &mut Stream) -> Option<Spot> {
    if !draft.has_own_file() {
        return None;
    }
    draft.edit_text(|text| {
        let kept = stream.whole(20, 95) as usize;
        text.truncate(text.len() * kept / 100);
    });
    Some("".into())
}
