//! SARIF 2.1.0 (OASIS): one run with all rules, then the results as they come.

use std::io::{self, Write};

use serde_json::{Value, json};

use super::Printer;
use super::path::uri;
use crate::check::args::ByName;
use crate::check::finding::{Item, Place};
use crate::check::fingerprint::Fingerprints;
use crate::check::partial::Partial;
use crate::check::rule::{Level, Rule};
use crate::check::{page, rules};
use crate::report::acceptance::Accepted;
use crate::report::event::Event;

const SCHEMA: &str = "https://docs.oasis-open.org/sarif/sarif/v2.1.0/errata01/os/schemas/sarif-schema-2.1.0.json";
/// Sections of a page that a reader of a finding needs.
const SECTIONS: &[&str] = &["Why", "Source", "Limits"];

/// The printer.
pub(super) struct Sarif {
    /// The address of rule pages, with `{rule}` for the name of the rule.
    rule_pages: &'static str,
    fingerprints: Fingerprints,
    some: bool,
    /// Files that could not be read, as `notification`s.
    unread: Vec<Value>,
    /// Records that could be checked only in part, as `notification`s.
    partial: Vec<Value>,
}

impl Sarif {
    pub(super) fn new(rule_pages: &'static str) -> Self {
        Self { rule_pages, fingerprints: Fingerprints::default(), some: false, unread: Vec::new(), partial: Vec::new() }
    }
}

impl Printer for Sarif {
    fn event(&mut self, out: &mut dyn Write, event: &Event<'_>) -> io::Result<()> {
        match event {
            Event::Begin => self.begin(out),
            Event::Finding(item) => self.finding(out, item),
            Event::Accepted(item, accepted) => self.accepted(out, item, accepted),
            Event::Unreadable { file, error } => {
                self.unreadable(file, error);
                Ok(())
            }
            Event::Partial { file, record, partial } => {
                self.partial(file, *record, partial);
                Ok(())
            }
            Event::End(_) => self.end(out),
            _ => Ok(()),
        }
    }
}

impl Sarif {
    fn begin(&self, out: &mut dyn Write) -> io::Result<()> {
        writeln!(out, "{{\"$schema\":\"{SCHEMA}\",\"version\":\"2.1.0\",\"runs\":[{{\"tool\":{{\"driver\":{{")?;
        let version = env!("CARGO_PKG_VERSION");
        writeln!(out, "\"name\":\"oar\",\"fullName\":\"oar {version}\",\"semanticVersion\":\"{version}\",\"rules\":[")?;
        for (index, rule) in rules::every().enumerate() {
            write!(out, "{}{}", if index > 0 { ",\n" } else { "" }, described(rule, self.rule_pages))?;
        }
        write!(out, "\n]}}}},\"columnKind\":\"unicodeCodePoints\",\"results\":[")
    }

    fn finding(&mut self, out: &mut dyn Write, item: &Item<'_>) -> io::Result<()> {
        let result = result(item, &self.fingerprints.next(item));
        self.add(out, &result)
    }

    fn accepted(&mut self, out: &mut dyn Write, item: &Item<'_>, accepted: &Accepted<'_>) -> io::Result<()> {
        let mut result = result(item, &self.fingerprints.next(item));
        result["suppressions"] = json!([suppression(accepted)]);
        self.add(out, &result)
    }

    fn unreadable(&mut self, file: &str, error: &io::Error) {
        let place = json!({"physicalLocation": {"artifactLocation": {"uri": uri(file)}}});
        let message = json!({"text": without_placeholders(&error.to_string())});
        self.unread.push(json!({"level": "error", "message": message, "locations": [place]}));
    }

    fn partial(&mut self, file: &str, record: u64, partial: &Partial) {
        let place = json!({"physicalLocation": {"artifactLocation": {"uri": uri(file)}}});
        let message = json!({"text": without_placeholders(&format!("record {record}: {}", partial.line()))});
        let level = if partial.reported { "note" } else { "warning" };
        let rules: Vec<&str> = partial.rules.iter().map(|rule| rule.name).collect();
        let properties = json!({"record": record, "unread": partial.unread, "rules_not_applied": rules});
        let told = json!({"level": level, "message": message, "locations": [place], "properties": properties});
        self.partial.push(told);
    }

    fn end(&mut self, out: &mut dyn Write) -> io::Result<()> {
        let successful = self.unread.is_empty();
        self.unread.append(&mut self.partial);
        let invocation = json!({
            "executionSuccessful": successful,
            "toolExecutionNotifications": std::mem::take(&mut self.unread),
        });
        writeln!(out, "\n],\"invocations\":[{invocation}]}}]}}")
    }
}

impl Sarif {
    fn add(&mut self, out: &mut dyn Write, result: &Value) -> io::Result<()> {
        writeln!(out, "{}", if self.some { "," } else { "" })?;
        self.some = true;
        Ok(serde_json::to_writer(out, result)?)
    }
}

/// Why a result does not count, as a `suppression` outside the checked file.
fn suppression(accepted: &Accepted<'_>) -> Value {
    match accepted {
        Accepted::InBaseline => json!({"kind": "external", "status": "accepted", "justification": "in the baseline"}),
        Accepted::Waived(file, waiver) => json!({
            "kind": "external",
            "status": "accepted",
            "justification": waiver.reason,
            "location": location(file, &waiver.place),
        }),
    }
}

/// A rule as a `reportingDescriptor`. When both the name and the id are given, the standard requires them to differ (SARIF
/// 2.1.0, 3.49.7; from memory).
fn described(rule: &Rule, rule_pages: &str) -> Value {
    let summary = page::summary(rule.page);
    let sections = SECTIONS.iter().filter_map(|title| Some((*title, page::section(rule.page, title)?)));
    let (mut text, mut markdown) = (vec![summary.clone()], vec![summary.clone()]);
    for (title, body) in sections {
        text.push(format!("{title}: {body}"));
        markdown.push(format!("## {title}\n\n{body}"));
    }
    json!({
        "id": rule.name,
        "name": in_one_word(rule.name),
        "shortDescription": {"text": plain(&page::title(rule.page))},
        "fullDescription": {"text": plain(&summary.replace('\n', " "))},
        "help": {"text": plain(&text.join("\n\n")), "markdown": markdown.join("\n\n")},
        "helpUri": rule_pages.replace("{rule}", rule.name),
        "defaultConfiguration": {"level": rule.level},
        "properties": {"tags": [rule.theme], "problem.severity": problem_severity(rule.level)},
    })
}

/// `worn_backwards` as `WornBackwards`.
fn in_one_word(name: &str) -> String {
    let capital = |word: &str| format!("{}{}", word[..1].to_uppercase(), &word[1..]);
    name.split('_').filter(|word| !word.is_empty()).map(capital).collect()
}

/// Text without the inline Markdown of pages.
fn plain(text: &str) -> String {
    text.replace('`', "")
}

/// The word of GitHub's code scanning for a level.
fn problem_severity(level: Level) -> &'static str {
    match level {
        Level::Error => "error",
        Level::Warning => "warning",
        Level::Note => "recommendation",
    }
}

/// A finding as a `result`.
fn result(item: &Item<'_>, fingerprint: &str) -> Value {
    let finding = item.finding;
    let mut result = json!({"ruleId": finding.rule.name});
    if let Some(index) = rules::every().position(|rule| rule == finding.rule) {
        result["ruleIndex"] = json!(index);
    }
    result["level"] = json!(finding.level);
    result["message"] = json!({"text": message(item)});
    result["locations"] = json!([location(item.file, &finding.place)]);
    let here = finding.related.iter().map(|place| location(item.file, place));
    let there = finding.elsewhere.iter().map(|other| location(&other.file, &other.place));
    let numbered = here.chain(there).enumerate().map(|(id, mut location)| {
        location["id"] = json!(id + 1);
        location
    });
    result["relatedLocations"] = numbered.collect();
    result["partialFingerprints"] = json!({"recordPath/v1": fingerprint, "primaryLocationLineHash": fingerprint});
    result["properties"] = json!({"record": item.record, "args": ByName(&finding.args)});
    result
}

/// The message, and how to fix the finding.
fn message(item: &Item<'_>) -> String {
    let message = item.finding.message();
    let text = item.finding.help().map_or(message.clone(), |help| format!("{message}\nhelp: {help}"));
    without_placeholders(&text)
}

/// Braces doubled, since single ones hold placeholders (SARIF 2.1.0, 3.11.5; from memory).
fn without_placeholders(text: &str) -> String {
    text.replace('{', "{{").replace('}', "}}")
}

fn location(file: &str, place: &Place) -> Value {
    let mut physical = json!({"artifactLocation": {"uri": uri(file)}});
    if place.line > 0 {
        physical["region"] = json!({
            "startLine": place.line,
            "startColumn": place.column,
            "endLine": place.end_line,
            "endColumn": place.end_column,
        });
    }
    let mut location = json!({"physicalLocation": physical});
    if let Some((_, last)) = place.pointer.rsplit_once('/') {
        let is_entry = last.bytes().all(|byte| byte.is_ascii_digit());
        let kind = if is_entry { "value" } else { "property" };
        location["logicalLocations"] = json!([{"fullyQualifiedName": place.pointer, "kind": kind}]);
    }
    location
}
