//! A finding in one line, the same wherever lines are for people: `file:line:column: level rule /pointer: message`.

use crate::check::finding::Item;
use crate::check::finding::{Elsewhere, Finding};
use crate::report::acceptance::Accepted;
use crate::text::visible::{shown, visible};

/// The finding in one line, without a line end, in a file that is called `file`.
pub(super) fn line(file: &str, item: &Item<'_>) -> String {
    let (finding, place) = (item.finding, &item.finding.place);
    let (level, rule) = (finding.level().as_str(), finding.rule.name);
    let gap = if place.pointer.is_empty() { "" } else { " " };
    let (file, pointer) = (shown(file), visible(&place.pointer));
    let message = visible(&message(finding));
    format!("{file}:{}:{}: {level} {rule}{gap}{pointer}: {message}", place.line, place.column)
}

/// Why a finding does not count, in few words: `waived at oar-waivers.toml:3: the reason`.
pub(super) fn why(accepted: &Accepted<'_>) -> String {
    match accepted {
        Accepted::InBaseline => "in the baseline".to_owned(),
        Accepted::Waived(file, waiver) => {
            format!("waived at {}:{}: {}", shown(file), waiver.place.line, visible(&waiver.reason))
        }
    }
}

/// What is wrong, with the places in other records: `… (see also file:line)`.
pub(super) fn message(finding: &Finding) -> String {
    let place = |other: &Elsewhere| format!("{}:{}", shown(shown_name(&other.file)), other.place.line);
    let others: Vec<String> = finding.elsewhere.iter().map(place).collect();
    if others.is_empty() {
        return finding.message();
    }
    format!("{} (see also {})", finding.message(), others.join(", "))
}

/// What a file is called for people.
pub(super) fn shown_name(file: &str) -> &str {
    if file == "-" { "standard input" } else { file }
}

/// Whether the file holds several records, as far as is known by now: a later record, or a name that says so.
pub(super) fn in_list_of_records(item: &Item<'_>) -> bool {
    let says_lines = ["jsonl", "ndjson"].iter().any(|end| item.file.contains(end));
    item.record > 1 || (item.record == 1 && says_lines)
}
