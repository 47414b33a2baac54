//! Attachments: which are bonded, which are debonded and whether they are needed, and which are left from earlier plans.

use std::collections::BTreeMap;

use oar_schema::derived::bonds::{self, Need, Standing};
use oar_schema::derived::{arches, course};
use oar_schema::record::{Attachment, Record, Series};
use oar_schema::time::Date;

use super::lines::WrappedLines;
use crate::review::Review;
use crate::text::counted;

/// The series that was worn last, or the first one when none was.
pub(super) fn series(record: &Record) -> Option<&Series> {
    let worn = course::current(record).or(record.wear_periods.last());
    worn.map_or(record.series.first(), |worn| course::series_of(record, worn))
}

pub(super) fn tell(review: &Review, lines: &mut WrappedLines) {
    let record = &review.record;
    let Some(series) = series(record) else { return };
    let Some(planned) = &series.attachments else {
        lines.title("attachments");
        lines.told("  ", &format!("the plan of series {} lists none", series.number));
        return earlier(record, series, lines);
    };
    lines.title(&format!("attachments of series {}: {} planned", series.number, planned.len()));
    if record.attachment_events.is_none() {
        lines.told("  ", "no bonding is on record: their state is known from check-ins alone");
    }
    for ((standing, since), list) in groups(record, series) {
        lines.named(word(standing), &told(record, series, standing, since, &list));
    }
    earlier(record, series, lines);
}

type Groups<'r> = BTreeMap<(Standing, Option<Date>), Vec<&'r Attachment>>;

fn groups<'r>(record: &Record, series: &'r Series) -> Groups<'r> {
    let mut groups = Groups::new();
    for attachment in series.attachments.iter().flatten() {
        groups.entry(bonds::standing(record, series, attachment)).or_default().push(attachment);
    }
    groups
}

const fn word(standing: Standing) -> &'static str {
    match standing {
        Standing::Planned => "not bonded",
        Standing::Bonded => "bonded",
        Standing::Off => "debonded",
        Standing::Removed => "removed",
    }
}

fn told(record: &Record, series: &Series, standing: Standing, since: Option<Date>, list: &[&Attachment]) -> String {
    let since = since.map_or(String::new(), |day| format!("since {day}: "));
    let is_off = standing == Standing::Off;
    let tray = |arch| arches::tray_of(record, series.number, arch).filter(|_| is_off);
    let names = list.iter().map(|attachment| {
        let need = tray(attachment.tooth.arch()).map_or("", |tray| missed(bonds::need(series, attachment, tray)));
        format!("{}{need}", name(attachment))
    });
    format!("{since}{}", names.collect::<Vec<_>>().join(", "))
}

const fn missed(need: Need) -> &'static str {
    match need {
        Need::Now => ", needed now",
        Need::Later => ", needed later",
        Need::Not => ", no longer needed",
    }
}

/// The id, with the tooth unless the id contains it.
fn name(attachment: &Attachment) -> String {
    let (id, tooth) = (&attachment.id.0, attachment.tooth.fdi());
    if id.contains(&tooth.to_string()) { id.clone() } else { format!("{id} (tooth {tooth})") }
}

/// Attachments of other series that are still bonded according to the record.
fn earlier(record: &Record, worn: &Series, lines: &mut WrappedLines) {
    for series in record.series.iter().filter(|series| series.number < worn.number) {
        let listed = series.attachments.iter().flatten();
        let on = listed.filter(|attachment| bonds::standing(record, series, attachment).0 == Standing::Bonded);
        let names: Vec<String> = on.map(name).collect();
        if !names.is_empty() {
            let what = format!("series {}: {}", series.number, names.join(", "));
            lines.named("still bonded", &format!("{} of {what}", counted(names.len() as i32, "attachment")));
        }
    }
}
