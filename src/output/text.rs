//! For people: each finding with its source line, and the totals at the end.

use std::io::{self, Write};

use unicode_width::UnicodeWidthStr;

use super::paint::Paint;
use super::totals;
use super::visible::{same_length, visible};
use super::{Item, Printer, Style, Summary};
use crate::finding::{Excerpt, Place};
use crate::rule::Level;

/// The printer.
pub(super) struct Text {
    paint: Paint,
    most: u64,
    found: u64,
    /// The first rule that was shown, for the hint.
    first: Option<&'static str>,
}

impl Text {
    pub(super) fn new(style: Style) -> Self {
        Self { paint: Paint(style.colour), most: style.most, found: 0, first: None }
    }

    fn head(&self, out: &mut dyn Write, item: &Item<'_>) -> io::Result<()> {
        let level = item.finding.level();
        let title = format!("{} {}", shape(level), level.as_str());
        let title = if level == Level::Note { self.paint.bold(&title) } else { self.paint.accent(&title) };
        writeln!(out, "{title} {}", self.paint.bold(item.finding.rule.name))?;
        let place = self.place(item.file, &item.finding.place);
        let record = if in_list_of_records(item) { format!("  record {}", item.record) } else { String::new() };
        writeln!(out, "  {place}{record}")
    }

    fn place(&self, file: &str, place: &Place) -> String {
        let pointer = visible(&place.pointer);
        let pointer = if pointer.is_empty() { pointer } else { format!("  {}", self.paint.faint(&pointer)) };
        format!("{}:{}:{}{pointer}", visible(file), place.line, place.column)
    }

    /// The source line behind a gutter with its number, and carets under the value.
    fn excerpt(&self, out: &mut dyn Write, line: u64, excerpt: &Excerpt) -> io::Result<()> {
        let (before, carets) = columns(excerpt);
        let number = line.to_string();
        let (gutter, bar) = (" ".repeat(number.len()), self.paint.faint("│"));
        writeln!(out, "  {gutter} {bar}")?;
        writeln!(out, "  {} {bar} {}", self.paint.faint(&number), same_length(&excerpt.text))?;
        writeln!(out, "  {gutter} {bar} {}{}", " ".repeat(before), self.paint.accent(&"^".repeat(carets)))
    }

    fn words(&self, out: &mut dyn Write, item: &Item<'_>) -> io::Result<()> {
        writeln!(out, "  {}", visible(&item.finding.message()))?;
        if let Some(help) = item.finding.help() {
            writeln!(out, "  {} {}", self.paint.bold("help:"), visible(&help))?;
        }
        for place in &item.finding.related {
            writeln!(out, "  see also {}", self.place(item.file, place))?;
        }
        writeln!(out)
    }
}

impl Printer for Text {
    fn finding(&mut self, out: &mut dyn Write, item: &Item<'_>) -> io::Result<()> {
        self.found += 1;
        if self.found > self.most {
            return Ok(());
        }
        self.first.get_or_insert(item.finding.rule.name);
        self.head(out, item)?;
        if let Some(excerpt) = &item.finding.excerpt {
            self.excerpt(out, item.finding.place.line, excerpt)?;
        }
        self.words(out, item)
    }

    fn end(&mut self, out: &mut dyn Write, summary: &Summary) -> io::Result<()> {
        match self.found.saturating_sub(self.most) {
            0 => {}
            more => writeln!(out, "{}\n", totals::not_shown(more, self.most))?,
        }
        writeln!(out, "{}", self.paint.bold(&totals::line(summary)))?;
        match self.first {
            Some(rule) => writeln!(out, "{}", self.paint.faint(&format!("why, and examples: oar explain {rule}"))),
            None => Ok(()),
        }
    }
}

/// The shape that tells a level beside its word.
fn shape(level: Level) -> char {
    match level {
        Level::Error => '■',
        Level::Warning => '▲',
        Level::Note => '○',
    }
}

/// Whether the file holds several records, as far as is known by now: a later record, or a name that says so.
fn in_list_of_records(item: &Item<'_>) -> bool {
    let says_lines = ["jsonl", "ndjson"].iter().any(|end| item.file.contains(end));
    item.record > 1 || (item.record == 1 && says_lines)
}

/// How many columns of a terminal stand before the value, and how many it takes.
fn columns(excerpt: &Excerpt) -> (usize, usize) {
    let text: Vec<char> = same_length(&excerpt.text).chars().collect();
    let start = excerpt.start.min(text.len());
    let end = (start + excerpt.len).min(text.len());
    let width = |letters: &[char]| letters.iter().collect::<String>().width();
    (width(&text[..start]) + (excerpt.start - start), width(&text[start..end]).max(1))
}
