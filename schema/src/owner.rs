//! Turns rows back into a record that owns its values.

use crate::record::Extensions;
use crate::rows::{InTable, Span, Str, Tables};
use crate::values::unescape;

/// What the rows of a record point to.
pub struct Owner<'a> {
    tables: &'a Tables,
    bytes: &'a [u8],
}

impl<'a> Owner<'a> {
    /// The tables and the bytes of one record.
    pub(crate) fn new(tables: &'a Tables, bytes: &'a [u8]) -> Self {
        Self { tables, bytes }
    }

    /// The entries of a list.
    pub(crate) fn entries<T: InTable>(&self, span: Span<T>) -> &'a [T::Row] {
        let start = span.start();
        T::table(self.tables).get(start..start + span.len()).unwrap_or_default()
    }

    /// A text without its escapes.
    pub(crate) fn text(&self, text: Str) -> String {
        let mut out = Vec::with_capacity(text.len as usize);
        unescape(text.of(self.bytes), &mut out);
        String::from_utf8(out).unwrap_or_default()
    }

    /// The data that other systems added.
    pub(crate) fn anything(&self, json: Str) -> Extensions {
        serde_json::from_slice(json.of(self.bytes)).unwrap_or_default()
    }
}
