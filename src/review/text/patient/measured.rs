//! Derived values, each with its basis; what cannot be computed is shown as unknown.

use oar_schema::derived::{arches, course};
use oar_schema::number::Hundredths;

use super::lines::WrappedLines;
use crate::review::Review;
use crate::text::counted;

pub(super) fn tell(review: &Review, lines: &mut WrappedLines) {
    lines.title("derived values");
    lines.named("wear", &wear(review));
    lines.named("low days", &low_days(review));
    lines.named("days logged", &coverage(review));
    lines.named("pace", &pace(review));
    lines.named("comfort", &comfort(review));
    let [upper, lower] = review.values.irregularity_mm.map(|value| told(value, " mm"));
    lines.named("irregularity", &format!("upper {upper}, lower {lower}, at the first assessment"));
    let [overall, anterior] = review.values.bolton_percent.map(|value| told(value, " %"));
    lines.named("Bolton ratio", &format!("overall {overall}, anterior {anterior}"));
}

fn told(value: Option<Hundredths>, unit: &str) -> String {
    value.map_or("unknown".to_owned(), |value| format!("{value}{unit}"))
}

fn percent(share: f64) -> String {
    format!("{:.0} %", 100.0 * share)
}

/// Days with an entry in the wear log.
fn logged(review: &Review) -> i32 {
    course::logged(review.record.wear_log.as_deref().unwrap_or_default()).len() as i32
}

fn wear(review: &Review) -> String {
    let days = counted(logged(review), "logged day");
    let Some(share) = review.values.wear_share else { return "unknown: no day is logged".to_owned() };
    format!("{} of the goal over {days}", percent(share))
}

fn low_days(review: &Review) -> String {
    match (review.values.days_at_minimum, review.values.low_run) {
        (Some(share), Some(run)) => {
            let reach = format!("{} of logged days reach the minimum", percent(share));
            format!("{reach}; longest run below it {}", counted(run, "day"))
        }
        _ => "unknown: no day is logged".to_owned(),
    }
}

fn coverage(review: &Review) -> String {
    let Some(share) = review.values.days_logged else { return "unknown".to_owned() };
    format!("{} of the days with a tray in; nothing is assumed for the others", percent(share))
}

fn pace(review: &Review) -> String {
    let prescribed = counted(review.record.prescription.change_interval_days, "day");
    let Some(pace) = review.values.pace_days else { return format!("unknown; {prescribed} a tray prescribed") };
    let apart = arches::trays(&review.record).len() > 1;
    let arch = arches::leading_arch(&review.record).filter(|_| apart);
    let arch = arch.map_or(String::new(), |arch| format!(", in the {} arch", arch.as_str()));
    format!("{pace} days a tray in this series{arch} (median of those completed); {prescribed} prescribed")
}

fn comfort(review: &Review) -> String {
    let entries = review.record.comfort.iter().flatten();
    let last = entries.max_by_key(|entry| entry.on);
    last.map_or("nothing on record".to_owned(), |last| {
        format!("pain {} of 10 on {}, the last entry", last.pain_0_10, last.on)
    })
}
