//! The worklist: who needs attention, by priority, with the reason.

use std::fmt::Write;

use super::signals;
use crate::html::escaped;
use crate::review::Priority;
use crate::review::arches::apart;
use crate::review::clinic::Clinic;
use crate::review::entry::Entry;

/// On which day, or nothing when records were reviewed on days of their own.
pub(super) fn on(clinic: &Clinic) -> String {
    match clinic.days {
        Some((first, last)) if first == last => format!(" on {last}"),
        _ => String::new(),
    }
}

/// The text under the title: days, and the number of records of each priority.
pub(super) fn lead(clinic: &Clinic) -> String {
    let mut text = String::new();
    if let Some((first, last)) = clinic.days.filter(|(first, last)| first != last) {
        let _ = writeln!(text, "<p>Each record on the day of its export, {first} to {last}.</p>");
    }
    let with_signals: u64 = clinic.priorities.values().sum();
    let counts = Priority::ALL.iter().map(|priority| {
        let count = clinic.priorities.get(priority).unwrap_or(&0);
        format!("<li><a href=\"#{}\"><b>{count}</b> {}</a></li>", priority.as_str(), priority.words())
    });
    let quiet = format!("<li><b>{}</b> with nothing raised</li>", clinic.reviewed.saturating_sub(with_signals));
    let cells: String = counts.chain([quiet]).collect();
    let _ = writeln!(
        text,
        "<ul class=\"tiles\"><li><b>{}</b> {}</li>{cells}</ul>",
        clinic.reviewed,
        records(clinic.reviewed)
    );
    if clinic.refused > 0 {
        let (have, were) = if clinic.refused == 1 { ("has", "was") } else { ("have", "were") };
        let _ = writeln!(
            text,
            "<p>{} more {have} errors and {were} left out: <a href=\"#quality\">data quality</a> says which rules speak.</p>",
            clinic.refused
        );
    }
    text
}

pub(super) fn records(count: u64) -> &'static str {
    if count == 1 { "record" } else { "records" }
}

/// A table for each priority, the records with nothing raised, and how many more there are.
pub(super) fn html(list: &[Entry], shown: u64) -> String {
    let mut text =
        "<p>The first record of each table is the one to look at first. Open a signal to see what it rests on.</p>\n"
            .to_owned();
    for priority in Priority::ALL {
        let of: Vec<&Entry> = list.iter().filter(|entry| entry.priority() == Some(priority)).collect();
        text.push_str(&group(priority, &of));
    }
    let quiet: Vec<&Entry> = list.iter().filter(|entry| entry.priority().is_none()).collect();
    if !quiet.is_empty() {
        let names: Vec<String> = quiet.iter().map(|entry| escaped(&entry.id)).collect();
        let names = names.join("</li><li>");
        let (count, records) = (quiet.len(), records(quiet.len() as u64));
        let _ = writeln!(
            text,
            "<h3>Nothing raised</h3>\n<details><summary>{count} {records}</summary><ul class=\"ids\"><li>{names}</li></ul></details>"
        );
    }
    let more = shown.saturating_sub(list.len() as u64);
    if more > 0 {
        let _ = writeln!(text, "<p>And {more} more: <code>--max-rows</code> shows them.</p>");
    }
    text
}

fn group(priority: Priority, of: &[&Entry]) -> String {
    let (id, words) = (priority.as_str(), capital(priority.words()));
    let mut text = format!("<h3 id=\"{id}\">{words}</h3>\n");
    if of.is_empty() {
        return text + "<p>Nobody.</p>\n";
    }
    let (count, records) = (of.len(), records(of.len() as u64));
    let _ = writeln!(
        text,
        "<table class=\"worklist\"><caption>{words}: {count} {records}</caption><thead><tr><th scope=\"col\">record</th><th scope=\"col\">tray</th><th scope=\"col\">what to look at, and why</th></tr></thead><tbody>"
    );
    for entry in of {
        text.push_str(&row(entry));
    }
    text + "</tbody></table>\n"
}

fn row(entry: &Entry) -> String {
    let tray = || {
        entry.tray.map_or("–".to_owned(), |[series, tray, trays]| {
            let series = if series == 0 { String::new() } else { format!(" <small>series {series}</small>") };
            format!("{tray}/{trays}{series}")
        })
    };
    let tray = apart(entry.values.per_arch.as_ref()).map_or_else(tray, |arches| arches.join("<br/>"));
    format!(
        "<tr><th scope=\"row\">{}</th><td>{tray}</td><td>{}</td></tr>\n",
        escaped(&entry.id),
        signals::list(&entry.raised, entry.priority())
    )
}

pub(super) fn capital(text: &str) -> String {
    let mut letters = text.chars();
    letters.next().map_or(String::new(), |first| first.to_uppercase().chain(letters).collect())
}
