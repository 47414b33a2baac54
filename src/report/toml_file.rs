//! TOML files that people write, and the mistakes in them with their locations.

use std::fmt;
use std::ops::Range;
use std::sync::Arc;

use toml::Spanned;
use toml::de::{DeString, DeTable, DeValue};

use crate::check::finding::Place;
use crate::json::lines::Lines;

pub(crate) type TomlKey<'i> = Spanned<DeString<'i>>;
pub(crate) type TomlValue<'i> = Spanned<DeValue<'i>>;

/// A mistake in a file.
#[derive(Clone, Debug, PartialEq, Eq)]
#[non_exhaustive]
pub struct Mistake {
    /// The file, as it was given.
    pub file: Arc<str>,
    /// The line, from 1.
    pub line: u64,
    /// The column, from 1, in Unicode code points.
    pub column: u64,
    /// What is wrong, and how to fix it.
    pub text: String,
}

impl fmt::Display for Mistake {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        write!(f, "{}:{}:{}: {}", self.file, self.line, self.column, self.text)
    }
}

impl std::error::Error for Mistake {}

/// A file that is being read, and the mistakes so far.
pub(crate) struct TomlFile<'t> {
    pub(crate) name: Arc<str>,
    pub(crate) text: &'t str,
    lines: Lines<'t>,
    pub(crate) mistakes: Vec<Mistake>,
}

impl<'t> TomlFile<'t> {
    pub(crate) fn new(name: &str, text: &'t str) -> Self {
        Self { name: name.into(), text, lines: Lines::of(text.as_bytes()), mistakes: Vec::new() }
    }

    /// The table at the top of the file.
    pub(crate) fn table(&mut self) -> Option<DeTable<'t>> {
        match DeTable::parse(self.text) {
            Ok(table) => Some(table.into_inner()),
            Err(error) => {
                let (at, what) = (error.span().unwrap_or_default(), error.message());
                let repeated = self.text.get(at.clone()).filter(|_| what == "duplicate key");
                let key = repeated.map_or_else(String::new, |key| format!(" {key}"));
                self.wrong(&at, format!("invalid TOML: {what}{key}"));
                None
            }
        }
    }

    pub(crate) fn wrong(&mut self, at: &Range<usize>, text: impl Into<String>) {
        let (line, column) = self.lines.position(at.start);
        self.mistakes.push(Mistake { file: Arc::clone(&self.name), line, column, text: text.into() });
    }

    /// The text of a value; `otherwise` is the mistake if it is not a string.
    pub(crate) fn string<'v>(&mut self, value: &'v TomlValue<'_>, otherwise: String) -> Option<&'v str> {
        let text = value.get_ref().as_str();
        if text.is_none() {
            self.wrong(&value.span(), otherwise);
        }
        text
    }

    /// The line of some bytes.
    pub(crate) fn line(&self, at: &Range<usize>) -> u64 {
        self.lines.position(at.start).0
    }

    pub(crate) fn place(&self, at: &Range<usize>) -> Place {
        let (line, column) = self.lines.position(at.start);
        let (end_line, end_column) = self.lines.position(at.end.max(at.start));
        Place { pointer: String::new(), line, column, end_line, end_column }
    }

    /// What was read, or all mistakes in the order of the text.
    pub(crate) fn finish<T>(mut self, read: T) -> Result<T, Vec<Mistake>> {
        if self.mistakes.is_empty() {
            return Ok(read);
        }
        self.mistakes.sort_by_key(|mistake| (mistake.line, mistake.column));
        Err(self.mistakes)
    }
}
