//! The worklist: who needs attention, by priority, with the reason.

use std::fmt::Write;

use super::CAUTION;
use crate::review::arches::apart;
use crate::review::clinic::Clinic;
use crate::review::entry::Entry;
use crate::review::{Priority, Raised};
use crate::text::{counted, visible, wrapped};

/// Indentation of the reasons, in columns.
const INDENT: usize = 26;

/// The records in `list`, the most urgent first, of `shown` that could be shown; and the totals of all records of the review.
pub fn worklist(list: &[Entry], shown: u64, clinic: &Clinic, width: usize) -> String {
    let mut text = head(clinic) + &totals(clinic, width);
    let mut priority = None;
    for entry in list.iter().filter(|entry| entry.priority().is_some()) {
        if priority != entry.priority() {
            priority = entry.priority();
            let _ = writeln!(text, "\n{}", priority.map_or("", Priority::words));
        }
        line(&mut text, entry, width);
    }
    let listed = list.iter().filter(|entry| entry.priority().is_some()).count();
    let quiet: Vec<&Entry> = list.iter().filter(|entry| entry.priority().is_none()).collect();
    if !quiet.is_empty() {
        let names: Vec<&str> = quiet.iter().map(|entry| entry.id.as_str()).collect();
        let _ = writeln!(text, "\nnothing raised\n  {}", wrapped(&visible(&names.join(" ")), 2, 2, width));
    }
    let more = shown.saturating_sub((listed + quiet.len()) as u64);
    if more > 0 {
        let _ = writeln!(text, "\n… and {more} more: --max-rows shows them");
    }
    let _ = writeln!(text, "\n{}", wrapped(CAUTION, 0, 0, width));
    text
}

fn head(clinic: &Clinic) -> String {
    let days = match clinic.days {
        None => String::new(),
        Some((first, last)) if first == last => format!(" on {last}"),
        Some((first, last)) => format!(", each on the day of its export ({first} to {last})"),
    };
    format!("who needs attention{days}\n")
}

/// The lines of one record: id, tray, and each signal with its reason.
fn line(text: &mut String, entry: &Entry, width: usize) {
    let tray = || entry.tray.map_or("no tray".to_owned(), |[_, tray, trays]| format!("tray {tray}/{trays}"));
    let tray = apart(entry.values.per_arch.as_ref()).map_or_else(tray, |arches| arches.join(", "));
    let mut before = format!("  {:<12} {tray:<10}", visible(&entry.id));
    if before.chars().count() >= INDENT {
        let _ = writeln!(text, "{}", before.trim_end());
        before = String::new();
    }
    let (first, later): (Vec<&Raised>, Vec<&Raised>) =
        entry.raised.iter().partition(|raised| Some(raised.priority) == entry.priority());
    let mut reasons: Vec<String> =
        first.iter().map(|raised| format!("{}: {}", raised.signal.name, raised.message())).collect();
    reasons.extend(also(&later));
    for (place, reason) in reasons.iter().enumerate() {
        let start = if place == 0 { before.as_str() } else { "" };
        let _ = writeln!(text, "{start:<INDENT$}{}", wrapped(&visible(reason), INDENT, INDENT + 2, width));
    }
}

/// The signals that are less urgent, by name.
fn also(later: &[&Raised]) -> Option<String> {
    let names = |priority: Priority| {
        let mut names: Vec<&str> = Vec::new();
        later.iter().filter(|raised| raised.priority == priority).for_each(|raised| names.push(raised.signal.name));
        names.dedup();
        (!names.is_empty()).then(|| format!("{}: {}", priority.words(), names.join(", ")))
    };
    let parts: Vec<String> = Priority::ALL.into_iter().filter_map(names).collect();
    (!parts.is_empty()).then(|| format!("+ {}", parts.join("; ")))
}

/// The totals of all records.
fn totals(clinic: &Clinic, width: usize) -> String {
    let with_signals: u64 = clinic.priorities.values().sum();
    let mut parts: Vec<String> = Priority::ALL
        .iter()
        .map(|priority| format!("{} {}", clinic.priorities.get(priority).unwrap_or(&0), priority.words()))
        .collect();
    parts.push(format!("{} with nothing raised", clinic.reviewed - with_signals));
    let mut text =
        wrapped(&format!("{}: {}", counted(clinic.reviewed, "record"), parts.join(", ")), 0, 2, width) + "\n";
    if clinic.refused > 0 {
        let (have, were) = if clinic.refused == 1 { ("record has", "was") } else { ("records have", "were") };
        let line = format!("{} {have} errors and {were} skipped: oar check reports them", clinic.refused);
        text.extend([wrapped(&line, 0, 2, width), "\n".to_owned()]);
    }
    text
}
