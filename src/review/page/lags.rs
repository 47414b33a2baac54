//! Lag curves: the fit gap of each tooth that ever lagged, by check-in.

use std::collections::BTreeMap;

use oar_schema::number::Hundredths;
use oar_schema::teeth::Tooth;
use oar_schema::time::Date;

use crate::html::{Drawing, Markup, Scale, Table, figure, html};
use crate::review::Review;

const SIZE: (f64, f64) = (220.0, 132.0);
const LEFT: f64 = 30.0;
const TOP: f64 = 30.0;
const FLOOR: f64 = 108.0;

type Curves = BTreeMap<Tooth, Vec<(Date, Hundredths)>>;

/// The fit gaps of every tooth that ever lagged.
fn curves(review: &Review) -> Curves {
    let mut curves = Curves::new();
    for check_in in review.record.check_ins.iter().flatten() {
        for gap in check_in.fit_gaps.iter().flatten() {
            curves.entry(gap.tooth).or_default().push((check_in.at.written_date(), gap.gap_mm));
        }
    }
    curves.retain(|_, gaps| gaps.iter().any(|(_, gap)| *gap >= review.lagging_gap_mm));
    curves
}

/// A small chart for each of them, all on the same scale.
pub(super) fn html(review: &Review) -> Markup {
    let curves = curves(review);
    let points = || curves.values().flatten();
    let (Some(first), Some(last)) = (points().map(|point| point.0).min(), points().map(|point| point.0).max()) else {
        return Markup::default();
    };
    let most = points().map(|point| point.1).max().unwrap_or_default().as_f64() * 1.1;
    let days = Scale::new(0.0, f64::from(last.days_since(first)), LEFT, SIZE.0 - 8.0);
    let gaps = Scale::new(0.0, most, FLOOR, TOP);
    let limit_mm = review.lagging_gap_mm;
    let title = format!(
        "Fit gaps of teeth that lagged, in mm, {first} to {last}; dashed line: {limit_mm} mm, from which a tooth lags"
    );
    let mut table = Table::new(&title, &["tooth", "check-in", "fit gap, mm", "lags"]);
    for (tooth, points) in &curves {
        for (on, gap) in points {
            let lags = if *gap >= limit_mm { "yes" } else { "no" };
            table.row([tooth.to_string(), on.to_string(), gap.to_string(), lags.to_owned()]);
        }
    }
    let span = (first, last, limit_mm);
    let drawn =
        html! { div.sheets { @for (tooth, points) in &curves { (chart(*tooth, points, span, (&days, &gaps))) } } };
    let about = "The fit gap between tray and tooth at each check-in that lists the tooth.";
    figure(&title, &drawn, &table.html("numbers"), about)
}

fn chart(
    tooth: Tooth,
    points: &[(Date, Hundredths)],
    (first, last, limit_mm): (Date, Date, Hundredths),
    (days, gaps): (&Scale, &Scale),
) -> Markup {
    let mut drawing = Drawing::new(SIZE);
    for tick in gaps.ticks(3.0) {
        drawing.line((LEFT, gaps.at(tick)), (SIZE.0 - 8.0, gaps.at(tick)), "grid");
        drawing.text((LEFT - 5.0, gaps.at(tick) + 4.0), "end", "tick", &crate::statistics::numbers::short(tick));
    }
    let limit = gaps.at(limit_mm.as_f64());
    drawing.line((LEFT, limit), (SIZE.0 - 8.0, limit), "limit");
    let placed: Vec<(f64, f64)> =
        points.iter().map(|(on, gap)| (days.at(f64::from(on.days_since(first))), gaps.at(gap.as_f64()))).collect();
    drawing.path(&placed, "curve");
    for (at, (_, gap)) in placed.iter().zip(points) {
        drawing.circle(*at, 3.0, if *gap >= limit_mm { "point" } else { "point-open" });
    }
    drawing.text((2.0, 13.0), "start", "label", &format!("tooth {tooth}, mm"));
    drawing.text((LEFT, SIZE.1 - 8.0), "start", "tick", &first.to_string());
    drawing.text((SIZE.0 - 8.0, SIZE.1 - 8.0), "end", "tick", &last.to_string());
    let worst = points.iter().map(|point| point.1).max().unwrap_or_default();
    let latest = points.last().map(|point| point.1).unwrap_or_default();
    drawing.svg(&format!("tooth {tooth}: largest fit gap {worst} mm, latest {latest} mm"))
}
