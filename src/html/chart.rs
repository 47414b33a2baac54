//! Charts as SVG, with axes, titles and units; colours come from the page's style sheet.

use super::{Drawing, Markup};
use crate::statistics::numbers::short;

/// Room around the plotted area, in pixels: left, right, top, bottom.
const LEFT: f64 = 56.0;
const RIGHT: f64 = 16.0;
const TOP: f64 = 34.0;
const BOTTOM: f64 = 44.0;

/// A scale from values to pixels.
#[derive(Clone, Copy, Debug)]
pub(crate) struct Scale {
    from: f64,
    to: f64,
    start: f64,
    end: f64,
}

impl Scale {
    /// From `from..=to` to pixels; a range without width is given one.
    pub(crate) fn new(from: f64, to: f64, start: f64, end: f64) -> Self {
        let to = if to > from { to } else { from + 1.0 };
        Self { from, to, start, end }
    }

    /// The pixel of a value; what lies outside is drawn at the edge.
    pub(crate) fn at(&self, value: f64) -> f64 {
        let share = ((value - self.from) / (self.to - self.from)).clamp(0.0, 1.0);
        self.start + share * (self.end - self.start)
    }

    /// Round values to mark, about so many.
    pub(crate) fn ticks(&self, wanted: f64) -> Vec<f64> {
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
pub(crate) struct Chart {
    pub(crate) x: Scale,
    pub(crate) y: Scale,
    size: (f64, f64),
    drawing: Drawing,
}

impl Chart {
    /// An empty chart of that size with ranges and titles of its axes.
    pub(crate) fn new(size: (f64, f64), x: (f64, f64, &str), y: (f64, f64, &str)) -> Self {
        let (width, height) = size;
        let mut chart = Self {
            x: Scale::new(x.0, x.1, LEFT, width - RIGHT),
            y: Scale::new(y.0, y.1, height - BOTTOM, TOP),
            size,
            drawing: Drawing::new(size),
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
            self.drawing.text((LEFT - 6.0, y + 4.0), "end", "tick", &label);
        }
        for tick in self.x.ticks(8.0) {
            let (x, label) = (self.x.at(tick), short(tick));
            self.line((x, floor), (x, floor + 4.0), "axis");
            self.drawing.text((x, floor + 17.0), "middle", "tick", &label);
        }
        self.line((LEFT, floor), (width - RIGHT, floor), "axis");
        self.drawing.text((middle, height - 8.0), "middle", "axis-title", x_title);
        self.drawing.text((LEFT - 44.0, TOP - 14.0), "start", "axis-title", y_title);
    }

    /// Adds a straight line of a class between two points in pixels.
    pub(crate) fn line(&mut self, from: (f64, f64), to: (f64, f64), class: &'static str) {
        self.drawing.line(from, to, class);
    }

    /// Adds a line up the whole plot at a value.
    pub(crate) fn upright(&mut self, value: f64, class: &'static str) {
        let x = self.x.at(value);
        self.line((x, TOP), (x, self.size.1 - BOTTOM), class);
    }

    /// Adds a rectangle between two corners given as values.
    pub(crate) fn bar(&mut self, from: (f64, f64), to: (f64, f64), class: &'static str) {
        let (x1, x2) = (self.x.at(from.0), self.x.at(to.0));
        let (y1, y2) = (self.y.at(to.1), self.y.at(from.1));
        self.drawing.rect((x1, y1), ((x2 - x1 - 1.0).max(0.5), y2 - y1), class);
    }

    /// Adds a line through points given as values.
    pub(crate) fn path(&mut self, points: &[(f64, f64)], class: &'static str) {
        self.drawing.path(&self.placed(points), class);
    }

    /// Adds an area between points given as values.
    pub(crate) fn area(&mut self, points: &[(f64, f64)], class: &'static str) {
        self.drawing.area(&self.placed(points), class);
    }

    fn placed(&self, points: &[(f64, f64)]) -> Vec<(f64, f64)> {
        points.iter().map(|(x, y)| (self.x.at(*x), self.y.at(*y))).collect()
    }

    /// Adds a dot at a value.
    pub(crate) fn dot(&mut self, at: (f64, f64), class: &'static str) {
        self.drawing.circle((self.x.at(at.0), self.y.at(at.1)), 3.2, class);
    }

    /// The chart as an SVG element that says what it is.
    pub(crate) fn svg(&self, title: &str) -> Markup {
        self.drawing.svg(title)
    }
}
