//! Changes of a text in several locations at once.

/// Replacements of ranges of bytes that do not overlap.
#[derive(Debug, Default)]
pub(super) struct Edits(Vec<(usize, usize, Vec<u8>)>);

impl Edits {
    /// Replaces the bytes from `start` to before `end` by `text`.
    pub(super) fn replace(&mut self, start: usize, end: usize, text: &[u8]) {
        self.0.push((start, end, text.to_vec()));
    }

    /// The text with all replacements made; none when there are none.
    pub(super) fn applied(mut self, bytes: &[u8]) -> Option<Vec<u8>> {
        if self.0.is_empty() {
            return None;
        }
        self.0.sort_by_key(|(start, end, _)| (*start, *end));
        let (mut out, mut at) = (Vec::with_capacity(bytes.len()), 0);
        for (start, end, text) in self.0 {
            debug_assert!(at <= start, "replacements do not overlap");
            out.extend_from_slice(&bytes[at..start]);
            out.extend_from_slice(&text);
            at = end;
        }
        out.extend_from_slice(&bytes[at..]);
        Some(out)
    }
}
