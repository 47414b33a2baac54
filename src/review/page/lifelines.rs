//! Attachments as lines: from bonding to debonding or removal.

use oar_schema::record::{Attachment, AttachmentChange, Record, Series};
use oar_schema::time::Date;

use super::days::{Days, wide};
use crate::html::{Drawing, Markup, Table, explained};
use crate::review::Review;

const WIDTH: f64 = 720.0;
const LEFT: f64 = 124.0;
const TOP: f64 = 10.0;
const LINE: f64 = 20.0;

/// A change of an attachment: an event, or none where a check-in found it debonded.
type Happened = (Date, Option<AttachmentChange>);

fn life(record: &Record, series: &Series, attachment: &Attachment) -> Vec<Happened> {
    let events = record.attachment_events.iter().flatten();
    let own = events.filter(|event| event.series == series.number && event.attachment == attachment.id);
    let mut life: Vec<Happened> = own.map(|event| (event.on, Some(event.event))).collect();
    let check_ins = record.check_ins.iter().flatten().filter(|check_in| check_in.series == series.number);
    let sights =
        check_ins.filter(|check_in| check_in.attachments_debonded.iter().flatten().any(|id| *id == attachment.id));
    life.extend(sights.map(|check_in| (check_in.at.written_date(), None)));
    life.sort_by_key(|(on, event)| (*on, event.is_none()));
    life
}

/// Whether a check-in found what was already on record.
fn is_known(life: &[Happened], place: usize) -> bool {
    let off = [None, Some(AttachmentChange::Debonded)];
    life[place].1.is_none() && place.checked_sub(1).is_some_and(|before| off.contains(&life[before].1))
}

/// A line for each attachment with a known event.
pub(super) fn html(review: &Review) -> Markup {
    let record = &review.record;
    let all = record.series.iter().flat_map(|series| {
        series
            .attachments
            .iter()
            .flatten()
            .map(move |attachment| (series, attachment, life(record, series, attachment)))
    });
    let lives: Vec<(&Series, &Attachment, Vec<Happened>)> = all.filter(|(.., life)| !life.is_empty()).collect();
    let Some(first) = lives.iter().flat_map(|(.., life)| life).map(|(on, _)| *on).min() else {
        return Markup::default();
    };
    let floor = TOP + LINE * lives.len() as f64;
    let days = Days::new(first, review.day, LEFT, WIDTH - 14.0);
    let mut drawing = Drawing::new((WIDTH, floor + 24.0));
    days.draw(&mut drawing, TOP, floor);
    let title = format!("Attachments: {} planned, {first} to {}", lives.len(), review.day);
    let mut table = Table::new(&title, &["attachment", "series", "tooth", "day", "event"]);
    for (place, (series, attachment, life)) in lives.iter().enumerate() {
        let y = TOP + LINE * (place as f64 + 0.5);
        let name = format!("{} · tooth {}", attachment.id.0, attachment.tooth);
        drawing.text((LEFT - 8.0, y + 4.0), "end", "label", &name);
        line(&mut drawing, life, review.day, (&days, y));
        for (on, event) in life {
            let what = event.map_or("found debonded", |event| event.as_str());
            let [number, tooth] = [series.number.to_string(), attachment.tooth.to_string()];
            table.row([attachment.id.0.clone(), number, tooth, on.to_string(), what.to_owned()]);
        }
    }
    let about = "A solid line: the attachment is bonded; a dashed line: it is debonded. A dot: bonded; a cross: debonded; a ring: a \
                 check-in found it debonded; a stroke: removed on purpose. A line to the right edge: nothing later is recorded.";
    explained(&title, &wide(&title, &drawing.svg(&title)), about, &table.html("numbers happened"))
}

fn line(drawing: &mut Drawing, life: &[Happened], today: Date, (days, y): (&Days, f64)) {
    for (place, (on, event)) in life.iter().enumerate() {
        let until = life.get(place + 1).map_or(today.plus_days(1), |(next, _)| *next);
        let (x, end) = (days.at(*on), days.at(until));
        match event {
            Some(AttachmentChange::Removed) => {}
            Some(AttachmentChange::Bonded) => drawing.line((x, y), (end, y), "life"),
            Some(AttachmentChange::Debonded) | None => drawing.line((x, y), (end, y), "life-off"),
        }
    }
    for (place, (on, event)) in life.iter().enumerate() {
        let x = days.at(*on);
        match event {
            None if is_known(life, place) => {}
            Some(AttachmentChange::Bonded) => drawing.circle((x, y), 3.5, "point"),
            Some(AttachmentChange::Removed) => drawing.line((x, y - 6.0), (x, y + 6.0), "cross"),
            Some(AttachmentChange::Debonded) => drawing.cross((x, y), "cross"),
            None => drawing.circle((x, y), 4.0, "ring"),
        }
    }
}
