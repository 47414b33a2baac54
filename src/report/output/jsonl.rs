//! For programs: one JSON object per line, described by `schema/findings/v1/findings.schema.json`.

use std::io::{self, Write};

use serde_json::{Map, Value, json};

use super::Printer;
use crate::check::args::Args;
use crate::check::finding::Item;
use crate::check::fingerprint::Fingerprints;
use crate::check::partial::Partial;
use crate::report::acceptance::Accepted;
use crate::report::event::Event;
use crate::report::summary::Summary;

/// The version of the lines: the second number grows with new fields, the first with any other change.
const VERSION: &str = "1.3";

/// The printer.
#[derive(Default)]
pub(super) struct Jsonl {
    fingerprints: Fingerprints,
}

impl Printer for Jsonl {
    fn event(&mut self, out: &mut dyn Write, event: &Event<'_>) -> io::Result<()> {
        match event {
            Event::Begin => begin(out),
            Event::Finding(item) => self.finding(out, item),
            Event::Accepted(item, accepted) => self.accepted(out, item, accepted),
            Event::Partial { file, record, partial } => line(out, &in_part(file, *record, partial)),
            Event::Unreadable { file, error } => {
                line(out, &json!({"type": "unreadable", "file": file, "message": error.to_string()}))
            }
            Event::End(summary) => line(out, &totals(summary)),
            _ => Ok(()),
        }
    }
}

impl Jsonl {
    fn finding(&mut self, out: &mut dyn Write, item: &Item<'_>) -> io::Result<()> {
        line(out, &self.told("finding", item))
    }

    fn accepted(&mut self, out: &mut dyn Write, item: &Item<'_>, accepted: &Accepted<'_>) -> io::Result<()> {
        let mut told = self.told("accepted", item);
        told["accepted"] = match accepted {
            Accepted::InBaseline => json!({"by": "baseline"}),
            Accepted::Waived(file, waiver) => json!({
                "by": "waiver",
                "file": file,
                "line": waiver.place.line,
                "reason": waiver.reason,
                "until": waiver.until.map(|until| until.to_string()),
            }),
        };
        line(out, &told)
    }
}

impl Jsonl {
    fn told(&mut self, kind: &str, item: &Item<'_>) -> Value {
        let (finding, place) = (item.finding, &item.finding.place);
        json!({
            "type": kind,
            "rule": finding.rule.name,
            "level": finding.level,
            "theme": finding.rule.theme,
            "file": item.file,
            "record": item.record,
            "line": place.line,
            "column": place.column,
            "end_line": place.end_line,
            "end_column": place.end_column,
            "pointer": place.pointer,
            "message": finding.message(),
            "help": finding.help(),
            "args": args(&finding.args),
            "related": finding.related,
            "elsewhere": finding.elsewhere,
            "fingerprint": self.fingerprints.next(item),
        })
    }
}

/// The values of a finding by name.
pub(super) fn args(args: &Args) -> Value {
    let named = args.iter().map(|(name, arg)| ((*name).to_owned(), json!(arg)));
    Value::Object(named.collect::<Map<_, _>>())
}

fn line(out: &mut dyn Write, value: &Value) -> io::Result<()> {
    serde_json::to_writer(&mut *out, value)?;
    writeln!(out)
}

/// The line at the beginning.
fn begin(out: &mut dyn Write) -> io::Result<()> {
    let run = json!({
        "type": "run",
        "format": "open-aligner-record findings",
        "version": VERSION,
        "tool": "oar",
        "tool_version": env!("CARGO_PKG_VERSION"),
    });
    line(out, &run)
}

/// A record that could be checked in part only.
fn in_part(file: &str, record: u64, partial: &Partial) -> Value {
    let rules: Vec<&str> = partial.rules.iter().map(|rule| rule.name).collect();
    json!({
        "type": "partial",
        "file": file,
        "record": record,
        "unread": partial.unread,
        "rules_not_applied": rules,
        "reported": partial.reported,
        "message": partial.line(),
    })
}

/// The line at the end.
fn totals(summary: &Summary) -> Value {
    let mut told = json!({
        "type": "summary",
        "files": summary.files,
        "unreadable": summary.unreadable,
        "records": summary.records,
        "records_with_findings": summary.records_with_findings,
        "bytes": summary.bytes,
        "errors": summary.errors,
        "warnings": summary.warnings,
        "notes": summary.notes,
        "by_rule": summary.by_rule,
        "waived": summary.waived,
        "in_baseline": summary.in_baseline,
        "baseline_gone": summary.gone,
        "records_in_part": summary.records_in_part,
        "in_part_unreported": summary.in_part_unreported,
        "rules_not_applied": summary.rules_not_applied,
    });
    if let Some(fixable) = summary.fixable {
        told["fixable"] = json!(fixable);
    }
    told
}
