//! The trays as a timeline: a step for each wear period, and how it ended.

use oar_schema::derived::arches::covers;
use oar_schema::record::{Arches, CheckIn, DecisionKind, Record, WearEnd, WearPeriod};
use oar_schema::teeth::Arch;
use oar_schema::time::Date;

use super::days::{Days, wide};
use super::signals::words;
use crate::html::{Drawing, Markup, Scale, Table, explained, html as markup};
use crate::review::Review;
use crate::review::arches::{overlaps, waits};

const WIDTH: f64 = 720.0;
const TOP: f64 = 34.0;
const FLOOR: f64 = 250.0;
const LEFT: f64 = 44.0;
/// The drawn thickness of a wear period.
const THICK: f64 = 6.0;

/// The wear periods of a record, in one drawing, or in one for each arch when the arches differ; and the state of each arch.
pub(super) fn html(review: &Review) -> Markup {
    let arches = if is_drawn_apart(review) { Arch::ALL.map(Some).to_vec() } else { vec![None] };
    markup! { (by_arch(review)) @for arch in arches { (timeline(review, arch)) } }
}

/// Whether each arch has a drawing of its own: some wear period is in one arch only.
fn is_drawn_apart(review: &Review) -> bool {
    let worn = &review.record.wear_periods;
    let is_single = |worn: &WearPeriod| worn.arches != Arches::Both;
    overlaps(worn) || review.values.per_arch.is_some() && worn.iter().any(is_single)
}

fn timeline(review: &Review, arch: Option<Arch>) -> Markup {
    let is_shown = |worn: &&WearPeriod| arch.is_none_or(|arch| covers(worn.arches, arch));
    let worn: Vec<&WearPeriod> = review.record.wear_periods.iter().filter(is_shown).collect();
    let Some(first) = worn.first() else { return Markup::default() };
    let last = worn.iter().filter_map(|worn| worn.to).max().map_or(review.day, |to| to.max(review.day));
    let days = Days::new(first.from, last, LEFT, WIDTH - 14.0);
    let most = worn.iter().map(|worn| worn.tray).max().unwrap_or(1);
    let trays = Scale::new(0.0, f64::from(most) + 0.5, FLOOR, TOP);
    let mut drawing = Drawing::new((WIDTH, FLOOR + 28.0));
    axes(&mut drawing, &days, &trays);
    let mut series = None;
    for worn in &worn {
        if series != Some(worn.series) {
            series = Some(worn.series);
            let x = days.at(worn.from);
            drawing.line((x, TOP - 12.0), (x, FLOOR), "begin");
            drawing.text((x + 4.0, TOP - 8.0), "start", "label", &format!("series {}", worn.series));
        }
        stretch(&mut drawing, review, worn, (&days, &trays));
    }
    let of = arch.map_or(String::new(), |arch| format!(" of the {} arch", arch.as_str()));
    let title = format!("Trays{of} by day: {} wear periods from {} to {last}", worn.len(), first.from);
    let about = "A full bar: the days prescribed for a tray; a hollow bar after it: the days of holds that a check-in decided; a thin \
                 line: days beyond. At the end of a stretch: a triangle down where a step back was made, a ring where the tray was \
                 lost, a cross where it broke, a square where wear stopped; the word is beside it.";
    let waits = " A coloured line after a bar: the last tray of an arch that is finished stays in.";
    let about = format!("{about}{}", arch.map_or("", |_| waits));
    explained(&title, &wide(&title, &drawing.svg(&title)), &about, &table(review, &of, &worn).html("numbers"))
}

/// The state of each arch, when the arches differ.
fn by_arch(review: &Review) -> Markup {
    let Some(arches) = &review.values.per_arch else { return Markup::default() };
    let head = ["arch", "series", "tray", "trays", "left", "due", "projected end", "finished on"];
    let mut table = Table::new("Each arch", &head);
    let number = |value: Option<i32>| value.map_or("–".to_owned(), |value| value.to_string());
    let day = |day: Option<Date>| day.map_or("–".to_owned(), |day| day.to_string());
    for one in arches {
        table.row([
            one.arch.as_str().to_owned(),
            one.series.to_string(),
            number(one.tray),
            one.trays.to_string(),
            number(one.left),
            day(one.due),
            day(one.projected_end),
            day(one.finished_on),
        ]);
    }
    wide("Each arch", &table.html("numbers"))
}

fn axes(drawing: &mut Drawing, days: &Days, trays: &Scale) {
    days.draw(drawing, TOP, FLOOR);
    drawing.text((4.0, TOP - 20.0), "start", "axis-title", "tray");
    for tick in trays.ticks(6.0).into_iter().filter(|tick| *tick > 0.0 && tick.fract() == 0.0) {
        let y = trays.at(tick);
        drawing.line((LEFT, y), (WIDTH - 14.0, y), "grid");
        drawing.text((LEFT - 6.0, y + 4.0), "end", "tick", &format!("{tick:.0}"));
    }
    drawing.line((LEFT, FLOOR), (WIDTH - 14.0, FLOOR), "axis");
}

/// The last day of a wear period, or that of the review.
fn end(review: &Review, worn: &WearPeriod) -> Date {
    worn.to.unwrap_or(review.day)
}

/// Days of holds that check-ins of a wear period decided.
fn held(record: &Record, worn: &WearPeriod) -> i32 {
    let during = |check_in: &&CheckIn| {
        let on = check_in.at.written_date();
        let here = check_in.series == worn.series && check_in.tray == worn.tray;
        here && on >= worn.from && worn.to.is_none_or(|to| on <= to) && check_in.decision.kind == DecisionKind::Hold
    };
    record.check_ins.iter().flatten().filter(during).filter_map(|check_in| check_in.decision.days).sum()
}

fn stretch(drawing: &mut Drawing, review: &Review, worn: &WearPeriod, (days, trays): (&Days, &Scale)) {
    let (y, end) = (trays.at(f64::from(worn.tray)), end(review, worn));
    let due = worn.from.plus_days(review.record.prescription.change_interval_days);
    let held = due.plus_days(held(&review.record, worn));
    let bar =
        |from: Date, to: Date| ((days.at(from), y - THICK / 2.0), ((days.at(to) - days.at(from)).max(1.0), THICK));
    let (corner, size) = bar(worn.from, due.min(end));
    drawing.rect(corner, size, "worn");
    if end > due && held > due {
        let (corner, size) = bar(due, held.min(end));
        drawing.rect(corner, size, "held");
    }
    if end > held {
        let class = if waits(review, worn).is_some() { "life" } else { "beyond" };
        drawing.line((days.at(held), y), (days.at(end), y), class);
    }
    if let Some(ended) = worn.ended {
        mark(drawing, ended, (days.at(end), y));
    }
}

/// The shape and the word of an end.
fn mark(drawing: &mut Drawing, ended: WearEnd, (x, y): (f64, f64)) {
    match ended {
        WearEnd::Advanced | WearEnd::ReplacedBySeries => return,
        WearEnd::SteppedBack => drawing.area(&[(x - 5.0, y - 4.0), (x + 5.0, y - 4.0), (x, y + 6.0)], "mark"),
        WearEnd::Lost => drawing.circle((x, y), 4.5, "ring"),
        WearEnd::Broken => drawing.cross((x, y), "cross"),
        WearEnd::Stopped => drawing.rect((x - 4.0, y - 4.0), (8.0, 8.0), "mark"),
    }
    // The space above and before a step is free, since trays rise with time.
    let (anchor, x) = if x > LEFT + 90.0 { ("end", x - 6.0) } else { ("start", x) };
    drawing.text((x, y - 8.0), anchor, "label", &words(ended.as_str()));
}

fn table(review: &Review, of: &str, stretches: &[&WearPeriod]) -> Table {
    let caption = format!("Wear periods{of}");
    let mut table = Table::new(&caption, &["series", "tray", "arches", "from", "to", "days", "days held", "ended"]);
    for worn in stretches {
        table.row([
            worn.series.to_string(),
            worn.tray.to_string(),
            worn.arches.as_str().to_owned(),
            worn.from.to_string(),
            worn.to.map_or("still in".to_owned(), |to| to.to_string()),
            end(review, worn).days_since(worn.from).to_string(),
            held(&review.record, worn).to_string(),
            worn.ended.map_or(String::new(), |ended| words(ended.as_str())),
        ]);
    }
    table
}
