//! `oar explain`: what a rule looks for, why, and how to mend what it finds.

use std::fmt::Write;

use clap::Args;
use oar_schema::limits::{Basis, LIMITS, Limit};
use open_aligner_record::page;
use open_aligner_record::rules;

use super::{Failure, perhaps, say};

/// The columns of a line in the list of rules, and those before its last part.
const WIDTH: usize = 100;
const INDENT: usize = 41;

/// Say what a rule looks for, why, and how to mend what it finds; or list all rules and limits.
#[derive(Args)]
pub(crate) struct Explain {
    /// The name of a rule or limit, as findings show it; without one, all are listed
    name: Option<String>,
}

impl Explain {
    /// Prints the page of a rule, the row of a limit, or the lists.
    pub(crate) fn run(self) -> Result<u8, Failure> {
        let Some(name) = self.name else { return say(&index()) };
        if let Some(rule) = rules::find(&name) {
            return say(rule.page);
        }
        if let Some(limit) = LIMITS.iter().find(|limit| limit.name == name) {
            return say(&limit_text(limit));
        }
        let names = rules::all().map(|rule| rule.name).chain(LIMITS.iter().map(|limit| limit.name));
        Err(Failure::Asked(format!(
            "no rule or limit is called {name}{}\n  oar explain without a name lists them all",
            perhaps(&name, names)
        )))
    }
}

/// All rules by theme, then all limits.
fn index() -> String {
    let mut text = String::new();
    let mut theme = "";
    for rule in rules::all() {
        if theme != rule.theme {
            theme = rule.theme;
            let _ = writeln!(text, "{}{}", if text.is_empty() { "" } else { "\n" }, theme.replace('_', " "));
        }
        let summary = page::summary(rule.page);
        let first = summary.split(". ").next().unwrap_or_default().trim_end_matches('.');
        let _ = writeln!(text, "  {:<7}  {:<28}  {}", rule.level.as_str(), rule.name, wrapped(first));
    }
    text.push_str("\nlimits (set with oar check --limit NAME=VALUE)\n");
    for limit in LIMITS {
        let _ = writeln!(text, "  {:<37}  {} {}", limit.name, limit.written(limit.value), limit.unit);
    }
    text.push_str("\noar explain NAME tells more of one of these\n");
    text
}

/// The text in lines of at most [`WIDTH`] columns, each after the first set in by [`INDENT`].
fn wrapped(text: &str) -> String {
    let (mut lines, mut column) = (String::new(), 0);
    for word in text.split_whitespace() {
        let width = word.chars().count();
        if column > 0 && INDENT + column + 1 + width > WIDTH {
            let _ = write!(lines, "\n{:INDENT$}", "");
            column = 0;
        }
        let gap = if column > 0 { " " } else { "" };
        let _ = write!(lines, "{gap}{word}");
        column += gap.len() + width;
    }
    lines
}

fn limit_text(limit: &Limit) -> String {
    let (least, most) = limit.range;
    let basis = match limit.basis {
        Basis::Source(source) => format!("source: {source}"),
        Basis::Practice(reason) => format!("common practice, no source: {reason}"),
    };
    format!(
        "# {}\n\n{}\n\nvalue: {} {} (can be set from {} to {})\n{basis}\n",
        limit.name,
        limit.doc.trim(),
        limit.written(limit.value),
        limit.unit,
        limit.written(least),
        limit.written(most),
    )
}
