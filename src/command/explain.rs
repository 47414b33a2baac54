//! `oar explain`: what a rule looks for, why, and how to mend what it finds.

use std::fmt::Write;

use clap::Args;
use oar_schema::limits::{Basis, LIMITS, Limit};
use open_aligner_record::page;
use open_aligner_record::rules;

use super::{Failure, say};

/// Explain a rule or a limit, or list them all.
#[derive(Args)]
pub(crate) struct Explain {
    /// The name of a rule or limit; without one, all are listed
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
        let near = rules::nearest_name(&name, names).map(|near| format!("; perhaps {near} is meant"));
        Err(Failure::Asked(format!(
            "no rule or limit is called {name}{}\n  oar explain without a name lists them all",
            near.unwrap_or_default()
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
        let first = summary.split(". ").next().unwrap_or_default().trim_end_matches('.').replace('\n', " ");
        let _ = writeln!(text, "  {:<7}  {:<28}  {first}", rule.level.as_str(), rule.name);
    }
    text.push_str("\nlimits (set with --limit NAME=VALUE)\n");
    for limit in LIMITS {
        let _ = writeln!(text, "  {:<36}  {} {}", limit.name, limit.written(limit.value), limit.unit);
    }
    text
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
