//! For programs: one JSON object per line, described by `schema/findings/v1/findings.schema.json`.

use std::io::{self, Write};

use oar_schema::time::Date;
use serde::Serialize;

use super::Printer;
use crate::check::args::ByName;
use crate::check::finding::{Elsewhere, Item, Place};
use crate::check::fingerprint::Fingerprints;
use crate::check::rule::Level;
#[cfg(feature = "schemas")]
use crate::check::{finding::POINTER, rule::NAME};
use crate::report::acceptance::Accepted;
use crate::report::event::Event;
use crate::report::summary::Summary;

const FORMAT: &str = "open-aligner-record findings";
/// The version of the lines: the second number grows with new fields, the first with any other change.
pub(crate) const VERSION: &str = "1.3";

/// One line of the output `jsonl`: a `run` first, then a `finding` for each finding, an `accepted` for each that does not count,
/// an `unreadable` for each file that could not be read, and a `partial` for each record that could be checked only in part, a
/// `summary` last. A later 1.x may add fields and types of lines, so readers skip unknown ones.
#[derive(Serialize)]
#[serde(tag = "type", rename_all = "lowercase")]
#[cfg_attr(feature = "schemas", derive(schemars::JsonSchema), schemars(deny_unknown_fields))]
pub(crate) enum Line<'a> {
    /// The first line.
    Run {
        #[cfg_attr(feature = "schemas", schemars(extend("const" = FORMAT)))]
        format: &'static str,
        /// The version of these lines.
        #[cfg_attr(feature = "schemas", schemars(regex(pattern = r"^1\.[0-9]+$")))]
        version: &'static str,
        #[cfg_attr(feature = "schemas", schemars(extend("const" = "oar")))]
        tool: &'static str,
        tool_version: &'static str,
    },
    /// Something that is wrong, or worth a look.
    Finding(FindingLine<'a>),
    /// A finding that does not count, because a waiver or the baseline accepts it.
    #[cfg_attr(feature = "schemas", schemars(transform = with_elsewhere))]
    Accepted {
        #[serde(flatten)]
        finding: FindingLine<'a>,
        accepted: AcceptedBy<'a>,
    },
    /// A file that could not be read, or not to its end. The findings in the part that was read come before this line.
    Unreadable {
        file: &'a str,
        /// Why, in the words of the system.
        message: String,
    },
    /// A record that could be checked only in part, because something in it cannot be read. It follows the findings of the
    /// record. Since 1.3.
    Partial {
        file: &'a str,
        /// The number of the record in the file, from 1.
        #[cfg_attr(feature = "schemas", schemars(range(min = 1)))]
        record: u64,
        /// The parts of the record that could not be read in full, such as `worn` for entries of a list and `worn.to` for a
        /// field; empty when nothing of the record could be read.
        unread: &'a [String],
        /// The rules that need one of these parts.
        #[cfg_attr(feature = "schemas", schemars(inner(regex(pattern = NAME))))]
        rules_not_applied: Vec<&'static str>,
        /// Whether a finding reports what could not be read. Findings that are waived or in the baseline do not count, nor those
        /// of rules that are off.
        reported: bool,
        message: String,
    },
    /// The last line: totals of the run.
    Summary(&'a Summary),
}

#[derive(Serialize)]
#[cfg_attr(feature = "schemas", derive(schemars::JsonSchema), schemars(deny_unknown_fields))]
pub(crate) struct FindingLine<'a> {
    /// The name of the rule, the same everywhere.
    #[cfg_attr(feature = "schemas", schemars(regex(pattern = NAME)))]
    rule: &'static str,
    level: Level,
    /// The theme of the rule.
    #[cfg_attr(feature = "schemas", schemars(regex(pattern = NAME)))]
    theme: &'static str,
    /// The file as it was given; `-` is standard input.
    file: &'a str,
    /// The number of the record in the file, from 1; 0 for a finding about the file as a whole.
    record: u64,
    /// The line in the file on which the value begins.
    #[cfg_attr(feature = "schemas", schemars(range(min = 1)))]
    line: u64,
    /// The column of its first character, in Unicode code points.
    #[cfg_attr(feature = "schemas", schemars(range(min = 1)))]
    column: u64,
    /// The line on which it ends.
    #[cfg_attr(feature = "schemas", schemars(range(min = 1)))]
    end_line: u64,
    /// The column after its last character.
    #[cfg_attr(feature = "schemas", schemars(range(min = 1)))]
    end_column: u64,
    /// The value, as a JSON Pointer (RFC 6901) from the record; empty for the record as a whole.
    #[cfg_attr(feature = "schemas", schemars(regex(pattern = POINTER)))]
    pointer: &'a str,
    /// The message for people; its wording may change.
    message: String,
    /// How to fix it, for people.
    help: Option<String>,
    /// The arguments of the finding, by name.
    args: ByName<'a>,
    /// Related locations in the same record.
    related: &'a [Place],
    /// Related locations in other records. Since 1.1.
    #[cfg_attr(feature = "schemas", schemars(skip_serializing_if = "since"))]
    elsewhere: &'a [Elsewhere],
    /// The same in every run in which the finding is the same, whatever its line; unique in a run.
    #[cfg_attr(feature = "schemas", schemars(regex(pattern = "^[0-9a-f]{32}$")))]
    fingerprint: String,
}

#[derive(Serialize)]
#[serde(tag = "by", rename_all = "lowercase")]
#[cfg_attr(feature = "schemas", derive(schemars::JsonSchema), schemars(deny_unknown_fields))]
pub(crate) enum AcceptedBy<'a> {
    Waiver {
        /// The waiver file.
        file: &'a str,
        /// The line on which the waiver begins.
        #[cfg_attr(feature = "schemas", schemars(range(min = 1)))]
        line: u64,
        /// The reason, in the words of the author of the waiver.
        reason: &'a str,
        /// The last day on which it applies.
        until: Option<Date>,
    },
    Baseline,
}

/// Accepted findings have always had `elsewhere`.
#[cfg(feature = "schemas")]
fn with_elsewhere(schema: &mut schemars::Schema) {
    if let Some(required) = schema.get_mut("required").and_then(serde_json::Value::as_array_mut) {
        required.push("elsewhere".into());
    }
}

/// The printer.
#[derive(Default)]
pub(super) struct Jsonl {
    fingerprints: Fingerprints,
}

impl Printer for Jsonl {
    fn event(&mut self, out: &mut dyn Write, event: &Event<'_>) -> io::Result<()> {
        let Some(line) = self.line(event) else { return Ok(()) };
        serde_json::to_writer(&mut *out, &line)?;
        writeln!(out)
    }
}

impl Jsonl {
    fn line<'a>(&mut self, event: &Event<'a>) -> Option<Line<'a>> {
        Some(match event {
            Event::Begin => {
                let tool_version = env!("CARGO_PKG_VERSION");
                Line::Run { format: FORMAT, version: VERSION, tool: "oar", tool_version }
            }
            Event::Finding(item) => Line::Finding(self.finding(item)),
            Event::Accepted(item, by) => Line::Accepted { finding: self.finding(item), accepted: AcceptedBy::of(by) },
            Event::Partial { file, record, partial } => Line::Partial {
                file,
                record: *record,
                unread: &partial.unread,
                rules_not_applied: partial.rules.iter().map(|rule| rule.name).collect(),
                reported: partial.reported,
                message: partial.line(),
            },
            Event::Unreadable { file, error } => Line::Unreadable { file, message: error.to_string() },
            Event::End(summary) => Line::Summary(summary),
            _ => return None,
        })
    }

    fn finding<'a>(&mut self, item: &Item<'a>) -> FindingLine<'a> {
        let (finding, place) = (item.finding, &item.finding.place);
        FindingLine {
            rule: finding.rule.name,
            level: finding.level,
            theme: finding.rule.theme,
            file: item.file,
            record: item.record,
            line: place.line,
            column: place.column,
            end_line: place.end_line,
            end_column: place.end_column,
            pointer: &place.pointer,
            message: finding.message(),
            help: finding.help(),
            args: ByName(&finding.args),
            related: &finding.related,
            elsewhere: &finding.elsewhere,
            fingerprint: self.fingerprints.next(item),
        }
    }
}

impl<'a> AcceptedBy<'a> {
    fn of(accepted: &Accepted<'a>) -> Self {
        match accepted {
            Accepted::InBaseline => Self::Baseline,
            Accepted::Waived(file, waiver) => {
                Self::Waiver { file, line: waiver.place.line, reason: &waiver.reason, until: waiver.until }
            }
        }
    }
}
