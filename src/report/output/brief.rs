//! One line per finding: `file:line:column: level rule /pointer: message`.

use std::io::{self, Write};

use super::line::{line, why};
use super::repeats::{Fate, Repeats};
use super::totals::{line as totals, not_shown};
use super::{Printer, Style};
use crate::check::finding::Item;
use crate::report::acceptance::Accepted;
use crate::report::event::Event;
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
    fn event(&mut self, out: &mut dyn Write, event: &Event<'_>) -> io::Result<()> {
        match event {
            Event::Finding(item) => self.finding(out, item),
            Event::Accepted(item, accepted) => self.accepted(out, item, accepted),
            Event::Across => {
                self.repeats.across();
                Ok(())
            }
            Event::FileEnd { file, .. } => self.repeats.write_end_of_file(out, &format!("{}: ", shown(file))),
            Event::End(summary) => self.end(out, summary),
            _ => Ok(()),
        }
    }
}

impl Brief {
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
