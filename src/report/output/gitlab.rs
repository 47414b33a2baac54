//! GitLab's Code Quality report: one JSON array.

use std::io::{self, Write};

use serde_json::{Value, json};

use super::Printer;
use super::line::message;
use super::path::slashed;
use crate::check::finding::Item;
use crate::check::fingerprint::Fingerprints;
use crate::check::rule::Level;
use crate::report::event::Event;

/// The printer.
#[derive(Default)]
pub(super) struct Gitlab {
    fingerprints: Fingerprints,
    some: bool,
}

impl Gitlab {
    fn entry(&mut self, out: &mut dyn Write, told: &Value) -> io::Result<()> {
        writeln!(out, "{}", if self.some { "," } else { "" })?;
        self.some = true;
        Ok(serde_json::to_writer(out, told)?)
    }
}

impl Printer for Gitlab {
    fn event(&mut self, out: &mut dyn Write, event: &Event<'_>) -> io::Result<()> {
        match event {
            Event::Begin => write!(out, "["),
            Event::Finding(item) => self.finding(out, item),
            // Left out, but counted, so that equal findings after it keep their fingerprints.
            Event::Accepted(item, _) => {
                self.fingerprints.next(item);
                Ok(())
            }
            Event::Unreadable { file, error } => self.unreadable(out, file, error),
            Event::End(_) => writeln!(out, "{}]", if self.some { "\n" } else { "" }),
            _ => Ok(()),
        }
    }
}

impl Gitlab {
    fn finding(&mut self, out: &mut dyn Write, item: &Item<'_>) -> io::Result<()> {
        let (finding, place) = (item.finding, &item.finding.place);
        let told = json!({
            "description": message(finding),
            "check_name": finding.rule.name,
            "fingerprint": self.fingerprints.next(item),
            "severity": severity(finding.level),
            "location": {"path": slashed(item.file), "lines": {"begin": place.line, "end": place.end_line}},
        });
        self.entry(out, &told)
    }

    fn unreadable(&mut self, out: &mut dyn Write, file: &str, error: &io::Error) -> io::Result<()> {
        let told = json!({
            "description": format!("could not be read: {error}"),
            "check_name": "unreadable",
            "fingerprint": self.fingerprints.unreadable(file),
            "severity": "critical",
            "location": {"path": slashed(file), "lines": {"begin": 1}},
        });
        self.entry(out, &told)
    }
}

/// GitLab's word for a level; `critical` is for files that could not be read.
fn severity(level: Level) -> &'static str {
    match level {
        Level::Error => "major",
        Level::Warning => "minor",
        Level::Note => "info",
    }
}
