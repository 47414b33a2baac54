//! Charts of a clinic: wear, times to the finish and to the first refinement, counts.

use super::signals::words;
use super::worklist::records;
use crate::html::{Chart, Drawing, Markup, Table, band, figure, plots, stairs};
use crate::review::clinic::Clinic;
use crate::statistics::numbers::short;
use crate::statistics::{Survival, Tally};
use crate::text::counted;

const SIZE: (f64, f64) = (360.0, 230.0);
/// The height of a horizontal bar, including the space around it.
const LINE: f64 = 20.0;

/// How long trays are worn according to the logs, and how much is logged.
pub(super) fn wear(clinic: &Clinic) -> Markup {
    let share = "Logged minutes divided by goal minutes times days logged, over the whole log. Days without an entry do not count.";
    let coverage =
        "Days with an entry divided by days on which a tray was in. When it is low, the wear share is unreliable.";
    plots(&[
        histogram("Wear share", "% of the goal", &clinic.wear_share, 2.0, share),
        histogram("Days logged", "% of the days with a tray", &clinic.coverage, 5.0, coverage),
    ])
}

/// Equal steps, starting at a multiple of the step, and how many values are in each.
pub(super) fn bins(tally: &Tally, step: f64) -> Vec<(f64, f64, u64)> {
    let place = |value: f64| (value / step + 1e-9).floor() as i64;
    let low = tally.counts().next().map_or(0, |(value, _)| place(value));
    let high = tally.counts().last().map_or(0, |(value, _)| place(value));
    let mut bins: Vec<(f64, f64, u64)> =
        (low..=high).map(|bin| (step * bin as f64, step * (bin + 1) as f64, 0)).collect();
    for (value, n) in tally.counts() {
        bins[(place(value) - low) as usize].2 += n;
    }
    bins
}

fn histogram(what: &str, unit: &str, tally: &Tally, step: f64, definition: &str) -> Markup {
    let (Some(mean), Some(median)) = (tally.mean(), tally.quantile(0.5)) else { return Markup::default() };
    let bins = bins(tally, step);
    let most = bins.iter().map(|bin| bin.2).max().unwrap_or(1) as f64;
    let range = (bins[0].0, bins[bins.len() - 1].1);
    let mut chart = Chart::new(SIZE, (range.0, range.1, unit), (0.0, most * 1.05, "records"));
    let n = tally.n();
    let title = format!("{what}: {n} {}, mean {mean:.0} %, median {median:.0} %", records(n));
    let mut table = Table::new(&title, &["from, %", "below, %", "records"]);
    for (from, to, count) in bins {
        chart.bar((from, 0.0), (to, count as f64), "bar");
        table.row([short(from), short(to), count.to_string()]);
    }
    figure(&title, &chart.svg(&title), &table.html("numbers"), definition)
}

/// Days to the finish and to the first refinement.
pub(super) fn times(clinic: &Clinic) -> Markup {
    let finish =
        "Days from the first tray to the finish; treatments that continue or ended otherwise are censored there.";
    let refinement = "Days from the first tray to the scan for the first refinement; treatments without one are censored at their end \
                      or at the day of the review.";
    plots(&[
        survival("Time to finish", "% not finished", &clinic.to_finish, finish),
        survival("Time to the first refinement", "% without one", &clinic.to_refinement, refinement),
        refinements(&clinic.refinements),
    ])
}

fn survival(what: &str, y: &str, times: &Survival, definition: &str) -> Markup {
    let curve = times.curve();
    if curve.steps.is_empty() {
        return Markup::default();
    }
    let mut chart = Chart::new(SIZE, (0.0, f64::from(curve.last_day), "days"), (0.0, 100.0, y));
    chart.area(&band(&curve), "band");
    chart.path(&stairs(&curve, |step| 100.0 * step.without, 100.0), "curve");
    let median =
        curve.median().map_or("median not reached".to_owned(), |(day, ..)| format!("median {}", counted(day, "day")));
    let [events, others, cut] = curve.ended;
    let title =
        format!("{what}: {median}; {}, {events} reached it, {} censored", counted(curve.n, "record"), others + cut);
    let mut table = Table::new(&title, &["day", "at risk", "reached it", y, "from", "to"]);
    for step in curve.steps.iter().filter(|step| step.events > 0) {
        let (low, high) = step.interval.unzip();
        let percent = |share: f64| format!("{:.1}", 100.0 * share);
        table.row([
            step.day.to_string(),
            step.at_risk.to_string(),
            step.events.to_string(),
            percent(step.without),
            low.map_or(String::new(), percent),
            high.map_or(String::new(), percent),
        ]);
    }
    let about = format!("{definition} Kaplan–Meier with its 95 % band.");
    figure(&title, &chart.svg(&title), &table.html("numbers"), &about)
}

fn refinements(tally: &Tally) -> Markup {
    let n = tally.n();
    let Some(mean) = tally.mean() else { return Markup::default() };
    let title = format!("Refinements of {n} {} that are over: mean {}", treatments(n), short(mean));
    let rows: Vec<(String, u64)> = tally.counts().map(|(count, n)| (short(count), n)).collect();
    bars(&title, ["refinement series", "records"], &rows, 24.0, "A refinement is a series after the first.")
}

fn treatments(count: u64) -> &'static str {
    if count == 1 { "treatment" } else { "treatments" }
}

/// Horizontal bars with their numbers, and the table behind them. `labels` is the space for names, in pixels.
fn bars(title: &str, head: [&str; 2], rows: &[(String, u64)], labels: f64, about: &str) -> Markup {
    if rows.is_empty() {
        return Markup::default();
    }
    let most = rows.iter().map(|(_, count)| *count).max().unwrap_or(1).max(1) as f64;
    let mut drawing = Drawing::new((SIZE.0, LINE * rows.len() as f64 + 8.0));
    let mut table = Table::new(title, &head);
    for (place, (name, count)) in rows.iter().enumerate() {
        let y = LINE * place as f64 + 4.0;
        let width = (SIZE.0 - labels - 44.0) * *count as f64 / most;
        drawing.text((labels, y + 14.0), "end", "label", name);
        drawing.rect((labels + 8.0, y + 3.0), (width.max(0.5), LINE - 6.0), "bar");
        drawing.text((labels + 14.0 + width, y + 14.0), "start", "label", &count.to_string());
        table.row([name.clone(), count.to_string()]);
    }
    figure(title, &drawing.svg(title), &table.html("numbers"), about)
}

/// How many records raise each signal, and how many are in each state.
pub(super) fn counts(clinic: &Clinic) -> Markup {
    let mut signals: Vec<(String, u64)> = clinic.signals.iter().map(|(name, count)| (words(name), *count)).collect();
    signals.sort_by(|one, other| other.1.cmp(&one.1).then_with(|| one.0.cmp(&other.0)));
    let states: Vec<(String, u64)> = clinic.states.iter().map(|(state, count)| (words(state), *count)).collect();
    let about = "A record that raises a signal several times counts once.";
    let state = "The state of treatments on the day of the review.";
    plots(&[
        bars("Records that raise each signal", ["signal", "records"], &signals, 164.0, about),
        bars("Records in each state", ["state", "records"], &states, 84.0, state),
    ])
}
