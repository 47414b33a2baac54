//! The worklist: who needs attention, by priority, with the reason.

use super::signals;
use crate::html::{Markup, capital, html as markup};
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
pub(super) fn lead(clinic: &Clinic) -> Markup {
    let with_signals: u64 = clinic.priorities.values().sum();
    let (have, were) = if clinic.refused == 1 { ("has", "was") } else { ("have", "were") };
    markup! {
        @if let Some((first, last)) = clinic.days.filter(|(first, last)| first != last) {
            p { "Each record on the day of its export, " (first) " to " (last) "." } "\n"
        }
        ul.tiles {
            li { b { (clinic.reviewed) } " " (records(clinic.reviewed)) }
            @for priority in Priority::ALL {
                li { a href={ "#" (priority.as_str()) } { b { (clinic.priorities.get(&priority).unwrap_or(&0)) } " " (priority.words()) } }
            }
            li { b { (clinic.reviewed.saturating_sub(with_signals)) } " with nothing raised" }
        }
        "\n"
        @if clinic.refused > 0 {
            p { (clinic.refused) " more " (have) " errors and " (were) " left out: " a href="#quality" { "data quality" } " says which rules speak." } "\n"
        }
    }
}

pub(super) fn records(count: u64) -> &'static str {
    if count == 1 { "record" } else { "records" }
}

/// A table for each priority, the records with nothing raised, and how many more there are.
pub(super) fn html(list: &[Entry], shown: u64) -> Markup {
    let of = |priority| list.iter().filter(move |entry| entry.priority() == priority).collect::<Vec<&Entry>>();
    let quiet = of(None);
    let more = shown.saturating_sub(list.len() as u64);
    markup! {
        p { "The first record of each table is the one to look at first. Open a signal to see what it rests on." } "\n"
        @for priority in Priority::ALL { (group(priority, &of(Some(priority)))) }
        @if !quiet.is_empty() {
            h3 { "Nothing raised" } "\n"
            details { summary { (counted(&quiet)) } ul.ids { @for entry in &quiet { li { (entry.id) } } } } "\n"
        }
        @if more > 0 { p { "And " (more) " more: " code { "--max-rows" } " shows them." } "\n" }
    }
}

fn counted(of: &[&Entry]) -> String {
    crate::text::counted(of.len() as u64, "record")
}

fn group(priority: Priority, of: &[&Entry]) -> Markup {
    let words = capital(priority.words());
    markup! {
        h3 id=(priority.as_str()) { (words) } "\n"
        @if of.is_empty() { p { "Nobody." } } @else {
            table.worklist {
                caption { (words) ": " (counted(of)) }
                thead { tr { th scope="col" { "record" } th scope="col" { "tray" } th scope="col" { "what to look at, and why" } } }
                tbody { "\n" @for entry in of { (row(entry)) "\n" } }
            }
        }
        "\n"
    }
}

fn row(entry: &Entry) -> Markup {
    markup! {
        tr {
            th scope="row" { (entry.id) }
            td { (tray(entry)) }
            td { (signals::list(&entry.raised, entry.priority())) }
        }
    }
}

/// The tray that is in, in each arch when the arches differ.
fn tray(entry: &Entry) -> Markup {
    markup! {
        @if let Some([upper, lower]) = apart(entry.values.per_arch.as_ref()) {
            (upper) br; (lower)
        } @else if let Some([series, tray, trays]) = entry.tray {
            (tray) "/" (trays) @if series != 0 { " " small { "series " (series) } }
        } @else { "–" }
    }
}
