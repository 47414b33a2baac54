//! One line for each finding: `file:line:column: level rule /pointer: message`.

use std::io::{self, Write};

use super::totals::not_shown;
use super::visible::visible;
use super::{Item, Printer, Style, Summary};

/// The printer.
pub(super) struct Brief {
    most: u64,
    shown: u64,
}

impl Brief {
    pub(super) fn new(style: Style) -> Self {
        Self { most: style.most, shown: 0 }
    }
}

impl Printer for Brief {
    fn finding(&mut self, out: &mut dyn Write, item: &Item<'_>) -> io::Result<()> {
        self.shown += 1;
        if self.shown > self.most {
            return Ok(());
        }
        let finding = item.finding;
        let (place, level) = (&finding.place, finding.level().as_str());
        write!(out, "{}:{}:{}: {level} {}", visible(item.file), place.line, place.column, finding.rule.name)?;
        writeln!(out, " {}: {}", visible(&place.pointer), visible(&finding.message()))
    }

    fn end(&mut self, out: &mut dyn Write, _: &Summary) -> io::Result<()> {
        match self.shown.saturating_sub(self.most) {
            0 => Ok(()),
            more => writeln!(out, "{}", not_shown(more, self.most)),
        }
    }
}
