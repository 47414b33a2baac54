//! Charts as SVG, with axes, titles and units; colours come from the page's style sheet.

use std::fmt::Write;

use super::numbers::short;

/// Room around the plotted area, in pixels: left, right, top, bottom.
const LEFT: f64 = 56.0;
const RIGHT: f64 = 16.0;
const TOP: f64 = 34.0;
const BOTTOM: f64 = 44.0;

/// Text as it may stand in HTML and SVG.
pub(super) fn escaped(text: &str) -> String {
    text.replace('&', "&amp;").replace('<', "&lt;").replace('>', "&gt;").replace('"', "&quot;")
}

/// A scale from values to pixels.
#[derive(Clone, Copy, Debug)]
pub(super) struct Scale {
    from: f64,
    to: f64,
    start: f64,
    end: f64,
}

impl Scale {
    /// From `from..=to` to pixels; a range without width is given one.
    pub(super) fn new(from: f64, to: f64, start: f64, end: f64) -> Self {
        let to = if to > from { to } else { from + 1.0 };
        Self { from, to, start, end }
    }

    /// The pixel of a value; what lies outside is drawn at the edge.
    pub(super) fn at(&self, value: f64) -> f64 {
        let share = ((value - self.from) / (self.to - self.from)).clamp(0.0, 1.0);
        self.start + share * (self.end - self.start)
    }

    /// Round values to mark, about so many.
    pub(super) fn ticks(&self, wanted: f64) -> Vec<f64> {
        let step = round_step((self.to - self.from) / wanted);
        let first = (self.from / step).ceil() as i64;
        let last = (self.to / step + 1e-9).floor() as i64;
        (first..=last).map(|tick| tick as f64 * step).collect()
    }
}

/// The step 1, 2 or 5 times a power of ten that is not smaller.
fn round_step(rough: f64) -> f64 {
    let mut power = 1.0;
    while power * 10.0 <= rough {
        power *= 10.0;
    }
    while power > rough {
        power /= 10.0;
    }
    let factor = rough / power;
    power * [1.0, 2.0, 5.0].into_iter().find(|step| factor <= *step).unwrap_or(10.0)
}

/// A chart with two axes.
pub(super) struct Chart {
    pub(super) x: Scale,
    pub(super) y: Scale,
    size: (f64, f64),
    body: String,
}

impl Chart {
    /// An empty chart of that size with ranges and titles of its axes.
    pub(super) fn new(size: (f64, f64), x: (f64, f64, &str), y: (f64, f64, &str)) -> Self {
        let (width, height) = size;
        let mut chart = Self {
            x: Scale::new(x.0, x.1, LEFT, width - RIGHT),
            y: Scale::new(y.0, y.1, height - BOTTOM, TOP),
            size,
            body: String::new(),
        };
        chart.axes(x.2, y.2);
        chart
    }

    fn axes(&mut self, x_title: &str, y_title: &str) {
        let (width, height) = self.size;
        let (floor, middle) = (height - BOTTOM, (LEFT + width - RIGHT) / 2.0);
        for tick in self.y.ticks(5.0) {
            let (y, label) = (self.y.at(tick), short(tick));
            self.line((LEFT, y), (width - RIGHT, y), "grid");
            self.text((LEFT - 6.0, y + 4.0), "end", "tick", &label);
        }
        for tick in self.x.ticks(8.0) {
            let (x, label) = (self.x.at(tick), short(tick));
            self.line((x, floor), (x, floor + 4.0), "axis");
            self.text((x, floor + 17.0), "middle", "tick", &label);
        }
        self.line((LEFT, floor), (width - RIGHT, floor), "axis");
        self.text((middle, height - 8.0), "middle", "axis-title", x_title);
        self.text((LEFT - 44.0, TOP - 14.0), "start", "axis-title", y_title);
    }

    /// Adds a straight line of a class between two points in pixels.
    pub(super) fn line(&mut self, from: (f64, f64), to: (f64, f64), class: &str) {
        let (x1, y1, x2, y2) = (from.0, from.1, to.0, to.1);
        let _ = write!(self.body, r#"<line class="{class}" x1="{x1:.1}" y1="{y1:.1}" x2="{x2:.1}" y2="{y2:.1}"/>"#);
    }

    /// Adds words at a point in pixels.
    pub(super) fn text(&mut self, at: (f64, f64), anchor: &str, class: &str, text: &str) {
        let (x, y, text) = (at.0, at.1, escaped(text));
        let _ =
            write!(self.body, r#"<text class="{class}" x="{x:.1}" y="{y:.1}" text-anchor="{anchor}">{text}</text>"#);
    }

    /// Adds a rectangle between two corners given as values.
    pub(super) fn bar(&mut self, from: (f64, f64), to: (f64, f64), class: &str) {
        let (x1, x2) = (self.x.at(from.0), self.x.at(to.0));
        let (y1, y2) = (self.y.at(to.1), self.y.at(from.1));
        let (width, height) = ((x2 - x1 - 1.0).max(0.5), y2 - y1);
        let _ = write!(
            self.body,
            r#"<rect class="{class}" x="{x1:.1}" y="{y1:.1}" width="{width:.1}" height="{height:.1}"/>"#
        );
    }

    /// Adds a line through points given as values.
    pub(super) fn path(&mut self, points: &[(f64, f64)], class: &str) {
        let points: Vec<String> =
            points.iter().map(|(x, y)| format!("{:.1},{:.1}", self.x.at(*x), self.y.at(*y))).collect();
        let _ = write!(self.body, r#"<polyline class="{class}" points="{}"/>"#, points.join(" "));
    }

    /// Adds an area between points given as values.
    pub(super) fn area(&mut self, points: &[(f64, f64)], class: &str) {
        let points: Vec<String> =
            points.iter().map(|(x, y)| format!("{:.1},{:.1}", self.x.at(*x), self.y.at(*y))).collect();
        let _ = write!(self.body, r#"<polygon class="{class}" points="{}"/>"#, points.join(" "));
    }

    /// Adds a dot at a value.
    pub(super) fn dot(&mut self, at: (f64, f64), class: &str) {
        let (x, y) = (self.x.at(at.0), self.y.at(at.1));
        let _ = write!(self.body, r#"<circle class="{class}" cx="{x:.1}" cy="{y:.1}" r="3.2"/>"#);
    }

    /// The chart as an SVG element that says what it is.
    pub(super) fn svg(&self, title: &str) -> String {
        svg(self.size, title, &self.body)
    }
}

/// An SVG element with that content.
pub(super) fn svg(size: (f64, f64), title: &str, body: &str) -> String {
    let (width, height, title) = (size.0, size.1, escaped(title));
    format!(
        r#"<svg viewBox="0 0 {width:.0} {height:.0}" width="{width:.0}" height="{height:.0}" role="img" aria-label="{title}"><title>{title}</title>{body}</svg>"#
    )
}
