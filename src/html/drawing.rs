//! Shapes and words on a plane of pixels; colours come from the page's style sheet.

use std::fmt::Write;

use super::escaped;

/// A drawing to which shapes are added; a point is how far it is from the left and from the top.
pub(crate) struct Drawing {
    size: (f64, f64),
    body: String,
}

impl Drawing {
    /// An empty one of that width and height.
    pub(crate) fn new(size: (f64, f64)) -> Self {
        Self { size, body: String::new() }
    }

    /// Adds a straight line of a class.
    pub(crate) fn line(&mut self, from: (f64, f64), to: (f64, f64), class: &str) {
        let (x1, y1, x2, y2) = (from.0, from.1, to.0, to.1);
        let _ = write!(self.body, r#"<line class="{class}" x1="{x1:.1}" y1="{y1:.1}" x2="{x2:.1}" y2="{y2:.1}"/>"#);
    }

    /// Adds words.
    pub(crate) fn text(&mut self, at: (f64, f64), anchor: &str, class: &str, text: &str) {
        let (x, y, text) = (at.0, at.1, escaped(text));
        let _ =
            write!(self.body, r#"<text class="{class}" x="{x:.1}" y="{y:.1}" text-anchor="{anchor}">{text}</text>"#);
    }

    /// Adds a rectangle by its upper left corner, width and height.
    pub(crate) fn rect(&mut self, corner: (f64, f64), size: (f64, f64), class: &str) {
        let (x, y, width, height) = (corner.0, corner.1, size.0, size.1);
        let _ = write!(
            self.body,
            r#"<rect class="{class}" x="{x:.1}" y="{y:.1}" width="{width:.1}" height="{height:.1}"/>"#
        );
    }

    /// Adds a circle.
    pub(crate) fn circle(&mut self, at: (f64, f64), radius: f64, class: &str) {
        let (x, y) = at;
        let _ = write!(self.body, r#"<circle class="{class}" cx="{x:.1}" cy="{y:.1}" r="{radius:.1}"/>"#);
    }

    /// Adds a line through points.
    pub(crate) fn path(&mut self, points: &[(f64, f64)], class: &str) {
        let _ = write!(self.body, r#"<polyline class="{class}" points="{}"/>"#, listed(points));
    }

    /// Adds an area between points.
    pub(crate) fn area(&mut self, points: &[(f64, f64)], class: &str) {
        let _ = write!(self.body, r#"<polygon class="{class}" points="{}"/>"#, listed(points));
    }

    /// Adds an area whose strength, from 0 to 1, tells a value.
    pub(crate) fn shade(&mut self, points: &[(f64, f64)], class: &str, strength: f64) {
        let points = listed(points);
        let _ = write!(self.body, r#"<polygon class="{class}" fill-opacity="{strength:.2}" points="{points}"/>"#);
    }

    /// The drawing as an SVG element that says what it is.
    pub(crate) fn svg(&self, title: &str) -> String {
        svg(self.size, title, &self.body)
    }
}

fn listed(points: &[(f64, f64)]) -> String {
    points.iter().map(|(x, y)| format!("{x:.1},{y:.1}")).collect::<Vec<_>>().join(" ")
}

/// An SVG element with that content.
pub(crate) fn svg(size: (f64, f64), title: &str, body: &str) -> String {
    let (width, height, title) = (size.0, size.1, escaped(title));
    format!(
        r#"<svg viewBox="0 0 {width:.0} {height:.0}" width="{width:.0}" height="{height:.0}" role="img" aria-label="{title}"><title>{title}</title>{body}</svg>"#
    )
}
