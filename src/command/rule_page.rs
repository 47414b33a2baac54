//! The page of a rule or signal, for a terminal.

use std::fmt::Write;

use open_aligner_record::check::marks::Mark;
use open_aligner_record::output::wrapped;
use open_aligner_record::page;
use open_aligner_record::review::Signal;
use open_aligner_record::rule::Rule;

/// Sections of a page that are shown, in their order.
const SECTIONS: &[&str] = &["Why", "Source", "Limits"];
/// Sections with examples, and their headings.
const EXAMPLES: &[(&str, &str)] = &[
    ("Broken", "broken by each of these edits of a valid record, with the findings"),
    ("Kept", "not broken by these edits"),
];

/// Those of a signal.
const SIGNAL_EXAMPLES: &[(&str, &str)] = &[
    ("Raised", "raised by each of these edits of a valid record, on that day"),
    ("Quiet", "not raised by these edits"),
];

/// The page for people: what is looked at, what a finding says, why, and examples; in lines of `width` columns.
pub(crate) fn rule_page(rule: &Rule, width: usize) -> String {
    let head = format!("{} ({}, {})", rule.name, rule.level.as_str(), rule.theme.replace('_', " "));
    page_text(&head, rule.page, &silenced_by(rule), EXAMPLES, width)
}

/// The rules that silence a rule: where one of them reports the cause, it does not report the consequence.
fn silenced_by(rule: &Rule) -> String {
    let mut names: Vec<&str> = rule.unless.iter().flat_map(Mark::reported_by).copied().collect();
    names.sort_unstable();
    names.dedup();
    names.retain(|name| *name != rule.name);
    names.join(", ")
}

/// The page of a signal: as that of a rule, with what is raised in place of what is found.
pub(crate) fn signal_page(signal: &Signal, width: usize) -> String {
    let head = format!("{} (signal, {})", signal.name, signal.priority.words());
    page_text(&head, &signal.page.replace("```signals", "```findings"), "", SIGNAL_EXAMPLES, width)
}

fn page_text(head: &str, page: &str, silenced_by: &str, examples_of: &[(&str, &str)], width: usize) -> String {
    let mut text = format!("{head}\n\n");
    paragraphs(&mut text, &page::summary(page), 0, width);
    text.push_str("\nmessages\n");
    for line in page::templates(page) {
        paragraphs(&mut text, line, 2, width);
    }
    for title in SECTIONS {
        if let Some(body) = page::section(page, title) {
            let _ = writeln!(text, "\n{}", title.to_lowercase());
            paragraphs(&mut text, body, 2, width);
        }
    }
    if !silenced_by.is_empty() {
        text.push_str("\nnot reported where one of these rules reports the cause\n");
        paragraphs(&mut text, silenced_by, 2, width);
    }
    for (title, head) in examples_of {
        if let Some(body) = page::section(page, title) {
            let _ = writeln!(text, "\n{head}");
            examples(&mut text, body, width);
        }
    }
    text
}

/// Adds a part of a page, wrapped and set in; entries of a list are set in further after their first line.
fn paragraphs(text: &mut String, body: &str, indent: usize, width: usize) {
    for line in &joined(body) {
        let further =
            if ["- ", "help: ", "consider: "].iter().any(|head| line.starts_with(head)) { indent + 2 } else { indent };
        let line = wrapped(line, indent, further, width);
        let _ = writeln!(text, "{}", format!("{:indent$}{line}", "").trim_end());
    }
}

/// The lines of a part with those of one paragraph, or of one entry of a list, put together. Rows of a table stay apart.
fn joined(body: &str) -> Vec<String> {
    let mut lines: Vec<String> = Vec::new();
    for line in body.lines() {
        let begins = line.is_empty() || line.starts_with("- ") || line.starts_with("| ");
        match lines.last_mut().filter(|last| !begins && !last.is_empty() && !last.starts_with("| ")) {
            Some(last) => last.extend([" ", line.trim_start()]),
            None => lines.push(line.to_owned()),
        }
    }
    lines
}

/// Adds examples: what is said about one, its edit, and the findings that it gives without their help.
fn examples(text: &mut String, body: &str, width: usize) {
    let (mut inside, mut first) = ("", true);
    for line in body.lines() {
        match (inside, line) {
            ("", _) if line.starts_with("```") => {
                inside = line.trim_start_matches('`');
                // An edit without an introduction is set apart from the example before.
                if inside == "edit" && !first && !text.ends_with("\n\n") && !text.ends_with(":\n") {
                    text.push('\n');
                }
                first = false;
            }
            (_, "```") => inside = "",
            ("", "") => {}
            ("", _) => {
                text.push_str(if first { "" } else { "\n" });
                first = false;
                paragraphs(text, line, 2, width);
            }
            ("findings", _) if line.starts_with(' ') => {}
            ("findings", _) => {
                let _ = writeln!(text, "      {}", wrapped(line, 6, 8, width));
            }
            _ => {
                let _ = writeln!(text, "    {}", wrapped(line, 4, 8, width));
            }
        }
    }
}
