//! The page of one patient.

use std::fmt::Write;

use oar_schema::derived::course;

use super::shell::{Page, Section};
use super::{calendar, dates, lags, lifelines, signals, timeline, tracking, values};
use crate::html::escaped;
use crate::review::Review;
use crate::review::arches;

/// The page of a patient: signals, dates, and the whole record in charts.
pub fn patient(review: &Review) -> String {
    let teeth = [tracking::patient(review), lags::html(review)].concat();
    let page = Page {
        title: format!("{} on {}", review.record.id.0, review.day),
        lead: lead(review),
        sections: vec![
            Section::new("signals", "What to look at", raised(review)),
            Section::new("dates", "Next dates", dates::html(review)),
            Section::new("trays", "Trays", timeline::html(review)),
            Section::new("wear", "Wear", calendar::html(review)),
            Section::new("teeth", "Teeth", teeth),
            Section::new("attachments", "Attachments", lifelines::html(review)),
            Section::new("values", "Values", values::html(&review.values)),
        ],
    };
    page.html()
}

/// The text under the title: patient, state, tray.
fn lead(review: &Review) -> String {
    let record = &review.record;
    let mut text = format!("<p>Patient {}", escaped(&record.patient.id.0));
    let _ = write!(text, ", treatment {} since {}", record.status.state.as_str(), record.status.since);
    let differ = arches::paragraph(review);
    if let Some((worn, left)) = course::current(record).zip(review.values.trays_left).filter(|_| differ.is_none()) {
        let trays = worn.tray + left;
        let _ = write!(text, ", tray {} of {trays} in series {}, in since {}", worn.tray, worn.series, worn.from);
    }
    if let Some(day) = review.values.treatment_day {
        let _ = write!(text, ", day {day} of treatment");
    }
    if record.source.synthetic.is_some() {
        text.push_str(". The record is synthetic");
    }
    text += ".</p>\n";
    if let Some(differ) = differ {
        let _ = writeln!(text, "<p>{differ}</p>");
    }
    text
}

fn raised(review: &Review) -> String {
    match review.raised.as_slice() {
        [] => "<p>No signal is raised on this day.</p>\n".to_owned(),
        raised => signals::list(raised, None) + "\n",
    }
}
