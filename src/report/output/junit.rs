//! `JUnit` XML: each file is a suite, and each rule that it breaks is a failed case; a file without findings has a passed case.

use std::collections::BTreeMap;
use std::io::{self, Write};

use super::Printer;
use super::line::{in_list_of_records, line, shown_name};
use super::path::slashed;
use crate::check::finding::Item;
use crate::check::rule::{Level, Rule};
use crate::report::event::Event;
use crate::text::visible::{acts, visible};

/// The maximum number of findings that a case of a rule lists; all are counted.
const LISTED: u64 = 50;

/// The suite of findings across records.
const ACROSS: &str = "across records";

/// The printer. It holds the findings of one file.
#[derive(Default)]
pub(super) struct Junit {
    file: Option<String>,
    cases: BTreeMap<&'static str, TestCase>,
    /// Why the file could not be read.
    unread: Option<String>,
    /// Records of the file that could be checked only in part.
    partials: Vec<String>,
    /// Whether the findings are those across records, which have their own suite.
    across: bool,
}

/// A rule that is broken in the file.
struct TestCase {
    rule: &'static Rule,
    /// The highest level of its findings.
    level: Level,
    count: u64,
    /// The message of the first finding.
    first: String,
    lines: String,
}

/// How a case ends.
#[derive(Clone, Copy, PartialEq, Eq)]
enum CaseEnd {
    /// The file could not be read as records.
    Error,
    /// A rule is broken.
    Failure,
    /// Only a note.
    Passed,
}

impl Junit {
    /// Starts another file, and writes the suite of the previous one.
    fn turn_to(&mut self, out: &mut dyn Write, file: Option<&str>) -> io::Result<()> {
        if self.file.as_deref() == file {
            return Ok(());
        }
        let before = std::mem::replace(&mut self.file, file.map(str::to_owned));
        let (cases, unread) = (std::mem::take(&mut self.cases), self.unread.take());
        let partials = std::mem::take(&mut self.partials);
        match before {
            Some(before) => suite(out, &slashed(shown_name(&before)), &cases, unread.as_deref(), &partials),
            None => Ok(()),
        }
    }
}

impl Printer for Junit {
    fn event(&mut self, out: &mut dyn Write, event: &Event<'_>) -> io::Result<()> {
        match event {
            Event::Begin => writeln!(out, "<?xml version=\"1.0\" encoding=\"UTF-8\"?>\n<testsuites name=\"oar\">"),
            Event::File(file) => self.turn_to(out, Some(file)),
            Event::Finding(item) => self.finding(out, item),
            Event::Partial { record, partial, .. } => {
                self.partials.push(format!("record {record}: {}", partial.line()));
                Ok(())
            }
            Event::Across => {
                self.across = true;
                Ok(())
            }
            Event::FileEnd { .. } => self.turn_to(out, None),
            Event::Unreadable { file, error } => self.unreadable(out, file, error),
            Event::End(_) => self.end(out),
            _ => Ok(()),
        }
    }
}

impl Junit {
    fn finding(&mut self, out: &mut dyn Write, item: &Item<'_>) -> io::Result<()> {
        self.turn_to(out, Some(if self.across && item.record > 0 { ACROSS } else { item.file }))?;
        let rule = item.finding.rule;
        let case = self.cases.entry(rule.name).or_insert_with(|| TestCase {
            rule,
            level: item.finding.level,
            count: 0,
            first: visible(&item.finding.message()),
            lines: String::new(),
        });
        case.count += 1;
        case.level = case.level.max(item.finding.level);
        if case.count <= LISTED {
            case.lines.push_str(&listed(item));
        }
        Ok(())
    }

    fn unreadable(&mut self, out: &mut dyn Write, file: &str, error: &io::Error) -> io::Result<()> {
        self.turn_to(out, Some(file))?;
        self.unread = Some(error.to_string());
        Ok(())
    }

    fn end(&mut self, out: &mut dyn Write) -> io::Result<()> {
        self.turn_to(out, None)?;
        writeln!(out, "</testsuites>")
    }
}

fn listed(item: &Item<'_>) -> String {
    let help = item.finding.help().map_or(String::new(), |help| format!("  help: {}\n", visible(&help)));
    let record = if in_list_of_records(item) { format!(" (record {})", item.record) } else { String::new() };
    format!("{}{record}\n{help}", line(shown_name(item.file), item))
}

impl TestCase {
    fn outcome(&self) -> CaseEnd {
        match (self.level, self.rule.theme) {
            (Level::Note, _) => CaseEnd::Passed,
            (_, "file") => CaseEnd::Error,
            _ => CaseEnd::Failure,
        }
    }

    fn write(&self, out: &mut dyn Write, file: &str) -> io::Result<()> {
        writeln!(out, "    <testcase name=\"{}\" classname=\"{}\">", self.rule.name, escaped(file))?;
        let more = match self.count.saturating_sub(LISTED) {
            0 => String::new(),
            more => format!("… and {more} more\n"),
        };
        // Line ends stay as they are in an element.
        let text = escaped(&format!("{}{more}", self.lines)).replace("&#10;", "\n");
        let level = self.level.as_str();
        let message = escaped(&match self.count - 1 {
            0 => self.first.clone(),
            more => format!("{}; and {more} more", self.first),
        });
        let element = match self.outcome() {
            CaseEnd::Error => format!("<error type=\"{level}\" message=\"{message}\">{text}</error>"),
            CaseEnd::Failure => format!("<failure type=\"{level}\" message=\"{message}\">{text}</failure>"),
            CaseEnd::Passed => format!("<system-out>{text}</system-out>"),
        };
        writeln!(out, "      {element}")?;
        writeln!(out, "    </testcase>")
    }
}

fn suite(
    out: &mut dyn Write,
    file: &str,
    cases: &BTreeMap<&'static str, TestCase>,
    unread: Option<&str>,
    partials: &[String],
) -> io::Result<()> {
    let ended = |outcome| cases.values().filter(|case| case.outcome() == outcome).count();
    let (errors, failures) = (ended(CaseEnd::Error) + usize::from(unread.is_some()), ended(CaseEnd::Failure));
    let (name, tests) = (escaped(file), cases.len() + usize::from(cases.is_empty() || unread.is_some()));
    writeln!(out, "  <testsuite name=\"{name}\" tests=\"{tests}\" failures=\"{failures}\" errors=\"{errors}\">")?;
    properties(out, partials)?;
    for case in cases.values() {
        case.write(out, file)?;
    }
    if let Some(why) = unread {
        writeln!(out, "    <testcase name=\"could not be read\" classname=\"{name}\">")?;
        writeln!(out, "      <error type=\"unreadable\" message=\"{}\"/>\n    </testcase>", escaped(why))?;
    } else if cases.is_empty() {
        writeln!(out, "    <testcase name=\"nothing to report\" classname=\"{name}\"/>")?;
    }
    writeln!(out, "  </testsuite>")
}

/// The records that could be checked only in part, as properties of their suite.
fn properties(out: &mut dyn Write, partials: &[String]) -> io::Result<()> {
    if partials.is_empty() {
        return Ok(());
    }
    writeln!(out, "    <properties>")?;
    for partial in partials {
        writeln!(out, "      <property name=\"checked in part\" value=\"{}\"/>", escaped(partial))?;
    }
    writeln!(out, "    </properties>")
}

/// Text for XML 1.0, in an element or an attribute. Characters that XML does not allow are written as `\u{1b}`.
fn escaped(text: &str) -> String {
    let mut out = String::with_capacity(text.len());
    for letter in text.chars() {
        match letter {
            '&' => out.push_str("&amp;"),
            '<' => out.push_str("&lt;"),
            '>' => out.push_str("&gt;"),
            '"' => out.push_str("&quot;"),
            // Two of them start a command in some build logs.
            '#' => out.push_str("&#35;"),
            '\n' => out.push_str("&#10;"),
            '\r' => out.push_str("&#13;"),
            '\t' => out.push_str("&#9;"),
            '\u{0}'..='\u{1f}' | '\u{fffe}' | '\u{ffff}' => out.extend(letter.escape_unicode()),
            // A reference, so that a terminal does not interpret it either.
            _ if acts(letter) => out.extend(["&#", &u32::from(letter).to_string(), ";"]),
            _ => out.push(letter),
        }
    }
    out
}
