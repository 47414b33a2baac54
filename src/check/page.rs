//! Pages: the parts of a rule's page.
//!
//! A page begins with the rule's name as its title. Lines that begin with `>` before the first section are its messages:
//! `> …` what is wrong, `> help: …` how to fix it, with `{name}` for the arguments of the finding. Of several, the
//! first whose arguments are all given is used.

use crate::check::args::{Arg, Args};
use crate::check::rule::Rule;

/// What is wrong, from the rule's page and the arguments of a finding.
pub(crate) fn message(rule: &Rule, args: &Args) -> String {
    filled(rule.page, "", args).unwrap_or_else(|| rule.name.replace('_', " "))
}

/// How to fix it, from the rule's page and the arguments of a finding.
pub(crate) fn help(rule: &Rule, args: &Args) -> Option<String> {
    filled(rule.page, "help:", args)
}

/// The first message line of a page that begins with a word, such as `help:`, and whose arguments are all given; without that
/// word. An empty word means lines that begin with none.
pub(crate) fn filled(page: &str, word: &str, args: &Args) -> Option<String> {
    let is_plain = |line: &str| !["help:", "consider:"].iter().any(|word| line.starts_with(word));
    let lines = templates(page).filter(|line| !word.is_empty() || is_plain(line));
    lines.filter_map(|line| line.strip_prefix(word)).find_map(|line| fill(line.trim(), args))
}

/// The message lines of a page: what is wrong, and after `help:` how to fix it.
pub fn templates(page: &str) -> impl Iterator<Item = &str> {
    let head = page.split("\n## ").next().unwrap_or_default();
    head.lines().filter_map(|line| line.strip_prefix("> ")).map(str::trim)
}

/// One section of a page, without its heading.
pub fn section<'p>(page: &'p str, heading: &str) -> Option<&'p str> {
    let found = page.split("\n## ").skip(1).find(|part| part.lines().next() == Some(heading))?;
    Some(found.split_once('\n').map_or("", |(_, body)| body.trim()))
}

/// What the rule checks: the paragraphs before the messages.
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
        let argument = argument(name, args)?;
        text.push_str(&argument.to_string());
        rest = match argument {
            Arg::Whole(1) => one_of(tail, &mut text),
            _ => tail,
        };
    }
    text.push_str(rest);
    Some(text)
}

/// Nouns that messages count. A page has the plural.
const NOUNS: &[(&str, &str)] = &[
    ("attachments", "attachment"),
    ("characters", "character"),
    ("contacts", "contact"),
    ("dates", "date"),
    ("days", "day"),
    ("digits", "digit"),
    ("entries", "entry"),
    ("events", "event"),
    ("gaps", "gap"),
    ("instants", "instant"),
    ("kilobytes", "kilobyte"),
    ("minutes", "minute"),
    ("movements", "movement"),
    ("patients", "patient"),
    ("procedures", "procedure"),
    ("reductions", "reduction"),
    ("removals", "removal"),
    ("teeth", "tooth"),
    ("years", "year"),
];

/// Puts the noun after a count of one into the text, in the singular, and gives what follows it; where no noun follows, the text
/// stays as it is.
fn one_of<'t>(tail: &'t str, text: &mut String) -> &'t str {
    let between = if tail.starts_with(" more ") { " more " } else { " " };
    let Some(noun) = tail.strip_prefix(between) else { return tail };
    let end = noun.find(|letter: char| !letter.is_ascii_lowercase()).unwrap_or(noun.len());
    let Some((_, one)) = NOUNS.iter().find(|(many, _)| *many == &noun[..end]) else { return tail };
    text.extend([between, one]);
    &noun[end..]
}

fn argument<'a>(name: &str, args: &'a Args) -> Option<&'a Arg> {
    args.iter().find(|(known, _)| *known == name).map(|(_, arg)| arg)
}

#[cfg(test)]
mod tests {
    use super::fill;
    use crate::check::args::{Arg, args};

    #[test]
    fn a_noun_agrees_with_its_count() {
        let said = |template: &str, count: i64| fill(template, &args!["n" = Arg::Whole(count)]).unwrap();
        for (template, one, two) in [
            ("of {n} days", "of 1 day", "of 2 days"),
            ("; {n} more movements likewise", "; 1 more movement likewise", "; 2 more movements likewise"),
            ("{n} entries; {n} more teeth", "1 entry; 1 more tooth", "2 entries; 2 more teeth"),
            ("tray {n} moves {n}", "tray 1 moves 1", "tray 2 moves 2"),
            ("series {n} is here", "series 1 is here", "series 2 is here"),
        ] {
            assert_eq!([said(template, 1), said(template, 2)], [one, two]);
        }
    }
}
