//! The worklist: who needs attention, by rank, with the reason.

use std::fmt::Write;

use super::CAUTION;
use crate::output::{visible, wrapped};
use crate::review::clinic::Clinic;
use crate::review::entry::Entry;
use crate::review::{Raised, Rank};

/// Columns before the reasons.
const INDENT: usize = 26;

/// The records in `list`, the most urgent first, of `shown` that could be shown; and what all records of the review come to.
pub fn worklist(list: &[Entry], shown: u64, clinic: &Clinic, width: usize) -> String {
    let mut text = head(clinic);
    let mut rank = None;
    for entry in list.iter().filter(|entry| entry.rank().is_some()) {
        if rank != entry.rank() {
            rank = entry.rank();
            let _ = writeln!(text, "\n{}", rank.map_or("", Rank::words));
        }
        line(&mut text, entry, width);
    }
    let listed = list.iter().filter(|entry| entry.rank().is_some()).count();
    let quiet: Vec<&Entry> = list.iter().filter(|entry| entry.rank().is_none()).collect();
    if !quiet.is_empty() {
        let names: Vec<&str> = quiet.iter().map(|entry| entry.id.as_str()).collect();
        let _ = writeln!(text, "\nnothing raised\n  {}", wrapped(&visible(&names.join(" ")), 2, 2, width));
    }
    let more = shown.saturating_sub((listed + quiet.len()) as u64);
    if more > 0 {
        let _ = writeln!(text, "\n… and {more} more: --most shows them");
    }
    text.push('\n');
    text.push_str(&totals(clinic, width));
    let _ = writeln!(text, "{}", wrapped(CAUTION, 0, 0, width));
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
    let tray = entry.tray.map_or("no tray".to_owned(), |[_, tray, trays]| format!("tray {tray}/{trays}"));
    let mut before = format!("  {:<12} {tray:<10}", visible(&entry.id));
    if before.chars().count() >= INDENT {
        let _ = writeln!(text, "{}", before.trim_end());
        before = String::new();
    }
    for (place, raised) in entry.raised.iter().enumerate() {
        let start = if place == 0 { before.as_str() } else { "" };
        let reason = reason(raised, entry.rank());
        let _ = writeln!(text, "{start:<INDENT$}{}", wrapped(&reason, INDENT, INDENT + 2, width));
    }
}

/// A signal with its reason, and its rank where that is less urgent than the one above.
fn reason(raised: &Raised, rank: Option<Rank>) -> String {
    let name = raised.signal.name;
    let later = if Some(raised.rank) == rank { String::new() } else { format!(" ({})", raised.rank.words()) };
    format!("{name}{later}: {}", visible(&raised.message()))
}

/// What all records come to.
fn totals(clinic: &Clinic, width: usize) -> String {
    let ranked: u64 = clinic.ranks.values().sum();
    let mut parts: Vec<String> =
        Rank::ALL.iter().map(|rank| format!("{} {}", clinic.ranks.get(rank).unwrap_or(&0), rank.words())).collect();
    parts.push(format!("{} with nothing raised", clinic.reviewed - ranked));
    let mut text = wrapped(&format!("{} records: {}", clinic.reviewed, parts.join(", ")), 0, 2, width) + "\n";
    if clinic.refused > 0 {
        let (have, were) = if clinic.refused == 1 { ("record has", "was") } else { ("records have", "were") };
        let line = format!("{} {have} errors and {were} left out: oar check tells them", clinic.refused);
        text.extend([wrapped(&line, 0, 2, width), "\n".to_owned()]);
    }
    text
}
