//! A finding in one line, the same in all output for people: `file:line:column: level rule /pointer: message`.

use crate::check::finding::{Elsewhere, Finding, Item};
use crate::report::acceptance::Accepted;
use crate::text::visible::{shown, visible};

/// The finding in one line, without a line break, in a file with the name `file`.
pub(super) fn line(file: &str, item: &Item<'_>) -> String {
    let (finding, place) = (item.finding, &item.finding.place);
    let (level, rule) = (finding.level.as_str(), finding.rule.name);
    let gap = if place.pointer.is_empty() { "" } else { " " };
    let (file, pointer) = (shown(file), visible(&place.pointer));
    let message = visible(&message(finding));
    format!("{file}:{}:{}: {level} {rule}{gap}{pointer}: {message}", place.line, place.column)
}

/// Why a finding does not count, briefly: `waived at oar-waivers.toml:3: the reason`.
pub(super) fn why(accepted: &Accepted<'_>) -> String {
    match accepted {
        Accepted::InBaseline => "in the baseline".to_owned(),
        Accepted::Waived(file, waiver) => {
            format!("waived at {}:{}: {}", shown(file), waiver.place.line, visible(&waiver.reason))
        }
    }
}

/// The message, with the locations in other records: `… (see also file:line)`.
pub(super) fn message(finding: &Finding) -> String {
    let place = |other: &Elsewhere| format!("{}:{}", shown(shown_name(&other.file)), other.place.line);
    let others: Vec<String> = finding.elsewhere.iter().map(place).collect();
    if others.is_empty() {
        return finding.message();
    }
    format!("{} (see also {})", finding.message(), others.join(", "))
}

/// The name of a file for people.
pub(super) fn shown_name(file: &str) -> &str {
    if file == "-" { "standard input" } else { file }
}

/// Whether the file is known by now to hold several records: from a later record, or from its name.
pub(super) fn in_list_of_records(item: &Item<'_>) -> bool {
    let says_lines = ["jsonl", "ndjson"].iter().any(|end| item.file.contains(end));
    item.record > 1 || (item.record == 1 && says_lines)
}
