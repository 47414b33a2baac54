//! Pages: what a rule's page says, taken apart.
//!
//! A page begins with the rule's name as its title. Lines that begin with `>` before the first section are its messages:
//! `> …` what is wrong, `> help: …` how to mend it, with `{name}` for the arguments of the finding. Of several, the
//! first whose arguments are all given is used.

use crate::finding::{Arg, Args};
use crate::rule::Rule;

/// What is wrong, from the rule's page and the arguments of a finding.
pub(crate) fn message(rule: &Rule, args: &Args) -> String {
    filled(rule.page, "", args).unwrap_or_else(|| rule.name.replace('_', " "))
}

/// How to mend it, from the rule's page and the arguments of a finding.
pub(crate) fn help(rule: &Rule, args: &Args) -> Option<String> {
    filled(rule.page, "help:", args)
}

/// The first message line of a page that begins with a word, such as `help:`, whose arguments are all given, without that word; an
/// empty word stands for lines that begin with none.
pub(crate) fn filled(page: &str, word: &str, args: &Args) -> Option<String> {
    let is_plain = |line: &str| !["help:", "consider:"].iter().any(|word| line.starts_with(word));
    let lines = templates(page).filter(|line| !word.is_empty() || is_plain(line));
    lines.filter_map(|line| line.strip_prefix(word)).find_map(|line| fill(line.trim(), args))
}

/// The message lines of a page: what is wrong, and after `help:` how to mend it.
pub fn templates(page: &str) -> impl Iterator<Item = &str> {
    let head = page.split("\n## ").next().unwrap_or_default();
    head.lines().filter_map(|line| line.strip_prefix("> ")).map(str::trim)
}

/// One section of a page, without its heading.
pub fn section<'p>(page: &'p str, heading: &str) -> Option<&'p str> {
    let found = page.split("\n## ").skip(1).find(|part| part.lines().next() == Some(heading))?;
    Some(found.split_once('\n').map_or("", |(_, body)| body.trim()))
}

/// What the rule looks at: the paragraphs before the messages.
pub fn summary(page: &str) -> String {
    let head = page.split("\n## ").next().unwrap_or_default();
    let told = |line: &&str| !line.starts_with("# ") && !line.starts_with('>') && !line.starts_with("**");
    head.lines().filter(told).collect::<Vec<_>>().join("\n").trim().to_owned()
}

/// The first sentence of the summary, on one line: the title of a rule in lists.
pub fn title(page: &str) -> String {
    let summary = summary(page).split_whitespace().collect::<Vec<_>>().join(" ");
    summary.find(". ").map_or(summary.clone(), |end| summary[..=end].to_owned())
}

/// A template with its arguments put in, or nothing when one of them is not given.
fn fill(template: &str, args: &Args) -> Option<String> {
    let mut text = String::new();
    let mut rest = template;
    while let Some((before, after)) = rest.split_once('{') {
        let (name, tail) = after.split_once('}')?;
        text.push_str(before);
        text.push_str(&argument(name, args)?.to_string());
        rest = tail;
    }
    text.push_str(rest);
    Some(text)
}

fn argument<'a>(name: &str, args: &'a Args) -> Option<&'a Arg> {
    args.iter().find(|(known, _)| *known == name).map(|(_, arg)| arg)
}
