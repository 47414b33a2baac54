//! The head: the record, the state of the treatment, the current tray, and the end at its pace.

use oar_schema::derived::course;
use oar_schema::record::WearPeriod;

use super::lines::WrappedLines;
use crate::review::Review;
use crate::review::arches::{self, away};
use crate::text::counted;

pub(super) fn tell(review: &Review, lines: &mut WrappedLines) {
    let record = &review.record;
    let title = format!("record {} of patient {} on {}", record.id.0, record.patient.id.0, review.day);
    lines.title(&title);
    lines.named("state", &state(review));
    lines.named("treatment", &age(review));
    lines.named("tray", &tray(review));
    for (arch, words) in arches::each(review) {
        lines.named(&format!("{} arch", arch.as_str()), &words);
    }
    if course::current(record).is_some() {
        lines.named("projected end", &end(review));
        let spans = review.finish.iter().flat_map(crate::review::finish::Finish::words);
        spans.for_each(|span| lines.named("", &span));
    }
}

fn state(review: &Review) -> String {
    let status = &review.record.status;
    let reason = status.reason.map_or(String::new(), |reason| format!(" ({})", reason.as_str().replace('_', " ")));
    format!("{} since {}{reason}", status.state.as_str(), status.since)
}

/// How long the treatment has lasted; without a tray in, how long trays were worn.
fn age(review: &Review) -> String {
    let worn = &review.record.wear_periods;
    let Some(first) = worn.first().map(|worn| worn.from) else { return "no tray has been worn yet".to_owned() };
    let ended = course::current(&review.record).is_none();
    let last = worn.iter().filter_map(|worn| worn.to).max().filter(|_| ended);
    let days = last.unwrap_or(review.day).days_since(first);
    match last {
        None => format!("day {days} ({}), first tray on {first}", weeks(days)),
        Some(last) => format!("{} ({}), from {first} to {last}", counted(days, "day"), weeks(days)),
    }
}

fn weeks(days: i32) -> String {
    match days % 7 {
        0 => counted(days / 7, "week"),
        rest => format!("{} and {}", counted(days / 7, "week"), counted(rest, "day")),
    }
}

fn tray(review: &Review) -> String {
    let record = &review.record;
    if review.values.per_arch.is_some() {
        return "the arches differ".to_owned();
    }
    let Some(worn) = course::current(record).or(record.wear_periods.last()) else {
        return "none has been worn yet".to_owned();
    };
    let place = place(review, worn);
    match (worn.to, review.values.tray_due) {
        (Some(to), _) => format!("none is in; the last was {place}, until {to}"),
        (None, Some(due)) => {
            let day = due.days_since(review.day);
            let verb = if day < 0 { "was due" } else { "is due" };
            format!("{place}, in since {}; {verb} on {due} ({})", worn.from, away(day))
        }
        (None, None) => format!("{place}, in since {}", worn.from),
    }
}

fn place(review: &Review, worn: &WearPeriod) -> String {
    let series = course::series_of(&review.record, worn);
    let of = series.map_or(String::new(), |series| format!(" of {}", series.trays.upper.max(series.trays.lower)));
    format!("{}{of}, series {}", worn.tray, worn.series)
}

fn end(review: &Review) -> String {
    let values = &review.values;
    if let Some(end) = arches::later_end(review) {
        return end;
    }
    match (values.projected_end, values.pace_days, values.trays_left) {
        (Some(end), Some(pace), Some(left)) => {
            format!("{end}: {} to come at the pace of this series, {pace} days each (median)", counted(left, "tray"))
        }
        (_, None, Some(_)) => "unknown: no tray of this series has been completed yet".to_owned(),
        _ => "unknown".to_owned(),
    }
}
