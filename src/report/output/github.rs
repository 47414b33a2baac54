//! Workflow commands of GitHub Actions: each finding becomes an annotation of its line.
//!
//! GitHub shows at most ten annotations of a level for each step, so similar findings are folded as in `text`, and a line with
//! the totals ends the log.

use std::io::{self, Write};

use super::line::message;
use super::path::slashed;
use super::repeats::{Fate, Repeats};
use super::{Printer, Style, totals};
use crate::check::finding::{Item, Place};
use crate::check::partial::Partial;
use crate::check::rule::Level;
use crate::report::event::Event;
use crate::report::summary::Summary;
use crate::text::visible::{shown, visible};

/// The printer.
pub(super) struct Github {
    repeats: Repeats,
}

impl Github {
    pub(super) fn new(style: Style) -> Self {
        Self { repeats: Repeats::new(u64::MAX, style.folds) }
    }
}

impl Printer for Github {
    fn event(&mut self, out: &mut dyn Write, event: &Event<'_>) -> io::Result<()> {
        match event {
            Event::Finding(item) => self.finding(out, item),
            Event::Partial { file, record, partial } => in_part(out, file, *record, partial),
            Event::Unreadable { file, error } => unreadable(out, file, error),
            Event::Across => {
                self.repeats.across();
                Ok(())
            }
            Event::FileEnd { file, .. } => self.file_end(out, file),
            Event::End(summary) => self.end(out, summary),
            _ => Ok(()),
        }
    }
}

impl Github {
    fn finding(&mut self, out: &mut dyn Write, item: &Item<'_>) -> io::Result<()> {
        if self.repeats.next(item) != Fate::Shown {
            return Ok(());
        }
        let finding = item.finding;
        write!(out, "::{} ", command(finding.level))?;
        if item.file != "-" {
            write!(out, "file={},{},", property(&shown(&slashed(item.file))), region(&finding.place))?;
        }
        write!(out, "title={}::{}", finding.rule.name, data(&visible(&message(finding))))?;
        match finding.help() {
            Some(help) => writeln!(out, "%0Ahelp: {}", data(&visible(&help))),
            None => writeln!(out),
        }
    }

    fn file_end(&mut self, out: &mut dyn Write, file: &str) -> io::Result<()> {
        self.repeats.write_end_of_file(out, &format!("{}: ", shown(file)))
    }

    fn end(&mut self, out: &mut dyn Write, summary: &Summary) -> io::Result<()> {
        self.repeats.write_end_of_file(out, "")?;
        writeln!(out, "{}", totals::line(summary))
    }
}

fn in_part(out: &mut dyn Write, file: &str, record: u64, partial: &Partial) -> io::Result<()> {
    if partial.reported {
        return Ok(());
    }
    let at = if file == "-" { String::new() } else { format!("file={},", property(&visible(&slashed(file)))) };
    writeln!(out, "::warning {at}title=checked in part::record {record}: {}", data(&partial.line()))
}

fn unreadable(out: &mut dyn Write, file: &str, error: &io::Error) -> io::Result<()> {
    let at = match file {
        "-" => String::new(),
        _ => format!("file={},", property(&shown(&slashed(file)))),
    };
    writeln!(out, "::error {at}title=could not be read::{}", data(&visible(&error.to_string())))
}

fn command(level: Level) -> &'static str {
    match level {
        Level::Error => "error",
        Level::Warning => "warning",
        Level::Note => "notice",
    }
}

/// Lines, and columns if the value ends on its first line: GitHub accepts them only then.
fn region(place: &Place) -> String {
    let lines = format!("line={},endLine={}", place.line, place.end_line);
    if place.line != place.end_line {
        return lines;
    }
    format!("{lines},col={},endColumn={}", place.column, place.end_column)
}

/// The text of a command.
fn data(text: &str) -> String {
    text.replace('%', "%25").replace('\r', "%0D").replace('\n', "%0A")
}

/// A property of a command.
fn property(text: &str) -> String {
    data(text).replace(':', "%3A").replace(',', "%2C")
}
