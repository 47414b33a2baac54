//! Shapes and words on a plane of pixels; colours come from the page's style sheet.

use std::fmt::Write;

use maud::PreEscaped;

use super::{Markup, html};

/// A drawing to which shapes are added; a point is how far it is from the left and from the top. A class is part of the code, so
/// the only texts in a drawing are words and titles.
pub(crate) struct Drawing {
    size: (f64, f64),
    body: String,
}

impl Drawing {
    /// An empty one of that width and height.
    pub(crate) fn new(size: (f64, f64)) -> Self {
        Self { size, body: String::new() }
    }

    /// Adds a shape of a class with rounded numbers.
    pub(crate) fn shape(&mut self, name: &'static str, class: &'static str, numbers: &[(&'static str, f64)]) {
        let _ = write!(self.body, r#"<{name} class="{class}""#);
        for (attribute, number) in numbers {
            let _ = write!(self.body, r#" {attribute}="{number:.1}""#);
        }
        self.body += "/>";
    }

    /// Adds a straight line.
    pub(crate) fn line(&mut self, from: (f64, f64), to: (f64, f64), class: &'static str) {
        self.shape("line", class, &[("x1", from.0), ("y1", from.1), ("x2", to.0), ("y2", to.1)]);
    }

    /// Adds a cross.
    pub(crate) fn cross(&mut self, (x, y): (f64, f64), class: &'static str) {
        self.line((x - 4.0, y - 4.0), (x + 4.0, y + 4.0), class);
        self.line((x - 4.0, y + 4.0), (x + 4.0, y - 4.0), class);
    }

    /// Adds words.
    pub(crate) fn text(&mut self, (x, y): (f64, f64), anchor: &'static str, class: &'static str, text: &str) {
        let [x, y] = [x, y].map(|number| format!("{number:.1}"));
        self.body += &html! { text class=(class) x=(x) y=(y) text-anchor=(anchor) { (text) } }.0;
    }

    /// Adds a rectangle by its upper left corner, width and height.
    pub(crate) fn rect(&mut self, (x, y): (f64, f64), size: (f64, f64), class: &'static str) {
        self.shape("rect", class, &[("x", x), ("y", y), ("width", size.0), ("height", size.1)]);
    }

    /// Adds a circle.
    pub(crate) fn circle(&mut self, (x, y): (f64, f64), radius: f64, class: &'static str) {
        self.shape("circle", class, &[("cx", x), ("cy", y), ("r", radius)]);
    }

    /// Adds a line through points.
    pub(crate) fn path(&mut self, points: &[(f64, f64)], class: &'static str) {
        let _ = write!(self.body, r#"<polyline class="{class}" points="{}"/>"#, listed(points));
    }

    /// Adds an area between points.
    pub(crate) fn area(&mut self, points: &[(f64, f64)], class: &'static str) {
        let _ = write!(self.body, r#"<polygon class="{class}" points="{}"/>"#, listed(points));
    }

    /// Adds an area whose strength, from 0 to 1, tells a value.
    pub(crate) fn shade(&mut self, points: &[(f64, f64)], class: &'static str, strength: f64) {
        let points = listed(points);
        let _ = write!(self.body, r#"<polygon class="{class}" fill-opacity="{strength:.2}" points="{points}"/>"#);
    }

    /// Adds shapes that share a title.
    pub(crate) fn group(&mut self, title: &str, draw: impl FnOnce(&mut Self)) {
        let mut group = Self::new(self.size);
        draw(&mut group);
        self.body += &html! { g { (group.titled(title)) } }.0;
    }

    /// The drawing as an SVG element that says what it is.
    pub(crate) fn svg(&self, title: &str) -> Markup {
        let [width, height] = [self.size.0, self.size.1].map(|side| format!("{side:.0}"));
        html! {
            svg viewBox={ "0 0 " (width) " " (height) } width=(width) height=(height) role="img" aria-label=(title) {
                (self.titled(title))
            }
        }
    }

    fn titled(&self, title: &str) -> Markup {
        // The body is shapes of numbers, and texts that were escaped when they were added.
        html! { title { (title) } (PreEscaped(&self.body)) }
    }
}

fn listed(points: &[(f64, f64)]) -> String {
    points.iter().map(|(x, y)| format!("{x:.1},{y:.1}")).collect::<Vec<_>>().join(" ")
}
