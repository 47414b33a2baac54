//! The page of one patient.

use oar_schema::derived::course;

use super::shell::page;
use super::{calendar, dates, lags, lifelines, signals, timeline, tracking, values};
use crate::html::{Markup, html};
use crate::review::{Review, arches};

/// The page of a patient: signals, dates, and the whole record in charts.
pub fn patient(review: &Review) -> String {
    let teeth = html! { (tracking::patient(review)) (lags::html(review)) };
    let sections = [
        ("signals", "What to look at", raised(review)),
        ("dates", "Next dates", dates::html(review)),
        ("trays", "Trays", timeline::html(review)),
        ("wear", "Wear", calendar::html(review)),
        ("teeth", "Teeth", teeth),
        ("attachments", "Attachments", lifelines::html(review)),
        ("values", "Values", values::html(&review.values)),
    ];
    page(&format!("{} on {}", review.record.id.0, review.day), &lead(review), sections)
}

/// The text under the title: patient, state, tray.
fn lead(review: &Review) -> Markup {
    let record = &review.record;
    let differ = arches::paragraph(review);
    let current = course::current(record).zip(review.values.trays_left).filter(|_| differ.is_none());
    html! {
        p {
            "Patient " (record.patient.id.0) ", treatment " (record.status.state.as_str()) " since " (record.status.since)
            @if let Some((worn, left)) = current {
                ", tray " (worn.tray) " of " (worn.tray + left) " in series " (worn.series) ", in since " (worn.from)
            }
            @if let Some(day) = review.values.treatment_day { ", day " (day) " of treatment" }
            @if record.source.synthetic.is_some() { ". The record is synthetic" }
            "."
        }
        "\n"
        @if let Some(differ) = differ { p { (differ) } "\n" }
    }
}

fn raised(review: &Review) -> Markup {
    html! {
        @if review.raised.is_empty() { p { "No signal is raised on this day." } } @else { (signals::list(&review.raised, None)) }
        "\n"
    }
}
