//! `oar explain`: pages of rules and signals, limits, and lists of them.

use std::fmt::Write;

use clap::Args;
use oar_schema::limits::{LIMITS, Limit};
use open_aligner_record::output::{shown, wrapped};
use open_aligner_record::review::{Signal, signals};
use open_aligner_record::rule::Rule;
use open_aligner_record::{page, rules};

use super::rule_page::{rule_page, signal_page};
use super::{Failure, perhaps, say, width};

/// The columns of a line in the list of rules before its last part.
const INDENT: usize = 41;
/// The columns of a line in the list of signals before its last part.
const SIGNAL_INDENT: usize = 43;
/// The columns that most names of rules fill at most.
const NAME: usize = 28;

/// Explain a rule, a signal or a limit, or list them
#[derive(Args)]
#[command(after_long_help = LONG_HELP)]
pub(crate) struct Explain {
    /// The name of a rule, signal, limit or theme, or a part of a name; limits, signals or all for lists [default: list the themes]
    name: Option<String>,
}

const LONG_HELP: &str = "\
Examples:
  oar explain worn_backwards  what a rule checks, why, and how to fix its findings
  oar explain wear_log        the rules of a theme
  oar explain wear            everything with wear in its name
  oar explain limits          all limits with their values
  oar explain all             all rules, signals and limits";

impl Explain {
    /// Prints a page or a list.
    pub(crate) fn run(self) -> Result<u8, Failure> {
        let Some(given) = self.name else { return say(&themes()) };
        let name = given.trim().to_lowercase().replace([' ', '-'], "_");
        if let Some(rule) = rules::find(&name) {
            return say(&rule_page(rule, width()));
        }
        if let Some(signal) = signals::find(&name) {
            return say(&signal_page(signal, width()));
        }
        if let Some(limit) = LIMITS.iter().find(|limit| limit.name == name) {
            return say(&limit_text(limit));
        }
        match list(&name) {
            Some(text) => say(&format!("{text}\noar explain NAME explains one of these\n")),
            None => Err(unknown(&shown(&given))),
        }
    }
}

fn unknown(name: &str) -> Failure {
    let themes = rules::every().map(|rule| rule.theme);
    let signals = signals::all().map(|signal| signal.name).chain(["signals"]);
    let limits = LIMITS.iter().map(|limit| limit.name);
    let names = rules::every().map(|rule| rule.name).chain(limits).chain(themes).chain(signals);
    let near = perhaps(name, names);
    if ["exclude", "include", "select", "ignore", "fail_level", "baseline", "edition", "levels", "profile", "waivers"]
        .contains(&name.trim())
    {
        return Failure::Message(format!(
            "{name} is a setting, not a rule, signal, limit or theme\n  help: oar config --starter explains the settings of oar.toml, oar check --help the options"
        ));
    }
    let what = if name.trim().is_empty() {
        "the name is empty".to_owned()
    } else {
        format!("unknown rule, signal, limit or theme {name}{near}")
    };
    Failure::Message(format!("{what}\n  help: oar explain all lists all names"))
}

/// The themes and how many rules they have, and how to go on.
fn themes() -> String {
    let mut counts: Vec<(&str, usize)> = Vec::new();
    for rule in rules::every() {
        match counts.last_mut() {
            Some((theme, count)) if *theme == rule.theme => *count += 1,
            _ => counts.push((rule.theme, 1)),
        }
    }
    let mut text = format!("{} rules by theme\n", rules::every().count());
    for (theme, count) in counts {
        let _ = writeln!(text, "  {theme:<16}  {count:>3}");
    }
    let _ = writeln!(text, "\n  {:<16}  {:>3}", "signals", signals::all().count());
    let _ = writeln!(text, "  {:<16}  {:>3}\n", "limits", LIMITS.len());
    text.push_str("oar explain THEME    lists the rules of a theme\n");
    text.push_str("oar explain signals  lists the signals of oar review\n");
    text.push_str("oar explain limits   lists the limits\n");
    text.push_str("oar explain WORD     lists all names with that word\n");
    text.push_str("oar explain RULE     says what the rule checks, why, and how to fix its findings\n");
    text.push_str("oar explain all      lists everything\n");
    text
}

/// A list: all, limits, signals, a theme, or everything that contains the name.
fn list(name: &str) -> Option<String> {
    let every_limit = || LIMITS.iter().collect::<Vec<_>>();
    let of_theme: Vec<&Rule> = rules::every().filter(|rule| rule.theme == name).collect();
    match name {
        "" => None,
        "all" => {
            let rules: Vec<&Rule> = rules::every().collect();
            Some(format!("{}\n{}\n{}", listed(&rules, &[]), signal_list(signals::all()), listed(&[], &every_limit())))
        }
        "signals" => Some(signal_list(signals::all())),
        "limits" => Some(listed(&[], &every_limit())),
        _ if !of_theme.is_empty() => Some(listed(&of_theme, &[])),
        _ => {
            let holding: Vec<&Rule> = rules::every().filter(|rule| rule.name.contains(name)).collect();
            let limits: Vec<&Limit> = LIMITS.iter().filter(|limit| limit.name.contains(name)).collect();
            let signals: Vec<&Signal> = signals::all().filter(|signal| signal.name.contains(name)).collect();
            let parts = [listed(&holding, &[]), signal_list(signals.into_iter()), listed(&[], &limits)];
            let parts: Vec<String> = parts.into_iter().filter(|part| !part.is_empty()).collect();
            (!parts.is_empty()).then(|| parts.join("\n"))
        }
    }
}

/// Signals with their priorities.
fn signal_list(signals: impl Iterator<Item = &'static Signal>) -> String {
    let mut text = String::new();
    for signal in signals {
        let summary = page::summary(signal.page).replace('\n', " ");
        let first = summary.split(". ").next().unwrap_or_default().trim_end_matches('.');
        let first = wrapped(first, SIGNAL_INDENT, SIGNAL_INDENT, width());
        let _ = writeln!(text, "  {:<12}  {:<25}  {first}", signal.priority.words(), signal.name);
    }
    if text.is_empty() { text } else { format!("signals of oar review\n{text}") }
}

/// Rules by theme, then limits.
fn listed(rules: &[&Rule], limits: &[&Limit]) -> String {
    let mut text = String::new();
    let mut theme = "";
    for rule in rules {
        if theme != rule.theme {
            theme = rule.theme;
            let _ = writeln!(text, "{}{}", if text.is_empty() { "" } else { "\n" }, theme.replace('_', " "));
        }
        let summary = page::summary(rule.page).replace('\n', " ");
        let first = summary.split(". ").next().unwrap_or_default().trim_end_matches('.');
        let before = INDENT + rule.name.len().saturating_sub(NAME);
        let first = wrapped(first, before, INDENT, width());
        let _ = writeln!(text, "  {:<7}  {:<NAME$}  {first}", rule.level.as_str(), rule.name);
    }
    if !limits.is_empty() {
        text.push_str(if text.is_empty() { "" } else { "\n" });
        text.push_str("limits (set with oar check --limit LIMIT=VALUE)\n");
    }
    for limit in limits {
        let _ = writeln!(text, "  {:<37}  {} {}", limit.name, limit.written(limit.value), limit.unit);
    }
    text
}

fn limit_text(limit: &Limit) -> String {
    let (least, most) = limit.range;
    let basis = wrapped(&limit.basis.to_string(), 0, 0, width());
    format!(
        "{}\n\n{}\n\nvalue: {} {} (range {} to {})\n{basis}\n",
        limit.name,
        wrapped(limit.doc.trim(), 0, 0, width()),
        limit.written(limit.value),
        limit.unit,
        limit.written(least),
        limit.written(most),
    )
}
