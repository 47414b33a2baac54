//! One line per finding: `file:line:column: level rule /pointer: message`.

use std::io::{self, Write};

use super::line::{line, why};
use super::repeats::{Fate, Repeats};
use super::totals::{line as totals, not_shown};
use super::{Printer, Style};
use crate::check::finding::Item;
use crate::report::acceptance::Accepted;
use crate::report::summary::Summary;
use crate::text::visible::shown;

/// The printer.
pub(super) struct Brief {
    repeats: Repeats,
    accepted: bool,
    totals: bool,
}

impl Brief {
    pub(super) fn new(style: Style) -> Self {
        Self { repeats: Repeats::new(style.most, style.folds), accepted: style.accepted, totals: style.totals }
    }
}

impl Printer for Brief {
    fn finding(&mut self, out: &mut dyn Write, item: &Item<'_>) -> io::Result<()> {
        match self.repeats.next(item) {
            Fate::Shown => writeln!(out, "{}", line(item.file, item)),
            Fate::Folded | Fate::Hidden => Ok(()),
        }
    }

    fn accepted(&mut self, out: &mut dyn Write, item: &Item<'_>, accepted: &Accepted<'_>) -> io::Result<()> {
        if !self.accepted || self.repeats.next(item) != Fate::Shown {
            return Ok(());
        }
        writeln!(out, "{} ({})", line(item.file, item), why(accepted))
    }

    fn across(&mut self, _: &mut dyn Write) -> io::Result<()> {
        self.repeats.across();
        Ok(())
    }

    fn file_end(&mut self, out: &mut dyn Write, file: &str, _: u64) -> io::Result<()> {
        self.repeats.write_end_of_file(out, &format!("{}: ", shown(file)))
    }

    fn end(&mut self, out: &mut dyn Write, summary: &Summary) -> io::Result<()> {
        self.repeats.write_end_of_file(out, "")?;
        match self.repeats.counts() {
            (_, 0) => Ok(()),
            (0, _) if !self.totals => Ok(()),
            (0, _) => writeln!(out, "{}", totals(summary)),
            (shown, hidden) => writeln!(out, "{}", not_shown(hidden, shown)),
        }
    }
}
