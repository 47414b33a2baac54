//! GitLab's Code Quality report: one JSON array.

use std::io::{self, Write};

use serde_json::json;

use super::path::slashed;
use super::{Item, Printer, Summary};
use crate::fingerprint::Fingerprints;
use crate::rule::Level;

/// The printer.
#[derive(Default)]
pub(super) struct Gitlab {
    fingerprints: Fingerprints,
    some: bool,
}

impl Printer for Gitlab {
    fn begin(&mut self, out: &mut dyn Write) -> io::Result<()> {
        write!(out, "[")
    }

    fn finding(&mut self, out: &mut dyn Write, item: &Item<'_>) -> io::Result<()> {
        let (finding, place) = (item.finding, &item.finding.place);
        let told = json!({
            "description": finding.message(),
            "check_name": finding.rule.name,
            "fingerprint": self.fingerprints.next(item),
            "severity": severity(finding.level()),
            "location": {"path": slashed(item.file), "lines": {"begin": place.line, "end": place.end_line}},
        });
        writeln!(out, "{}", if self.some { "," } else { "" })?;
        self.some = true;
        Ok(serde_json::to_writer(out, &told)?)
    }

    fn end(&mut self, out: &mut dyn Write, _: &Summary) -> io::Result<()> {
        writeln!(out, "{}]", if self.some { "\n" } else { "" })
    }
}

/// GitLab's word for a level; `critical` and `blocker` are more than a file can be.
fn severity(level: Level) -> &'static str {
    match level {
        Level::Error => "major",
        Level::Warning => "minor",
        Level::Note => "info",
    }
}
