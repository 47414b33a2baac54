//! Days along a line, with months marked.

use oar_schema::time::Date;

use crate::html::{Drawing, Markup, Scale, html};

/// An axis of days.
pub(super) struct Days {
    first: Date,
    last: Date,
    scale: Scale,
}

impl Days {
    /// From the beginning of the first day to the end of the last one, between two pixels.
    pub(super) fn new(first: Date, last: Date, start: f64, end: f64) -> Self {
        let scale = Scale::new(0.0, f64::from(last.days_since(first) + 1), start, end);
        Self { first, last, scale }
    }

    /// The pixel at which a day begins.
    pub(super) fn at(&self, day: Date) -> f64 {
        self.scale.at(f64::from(day.days_since(self.first)))
    }

    /// Firsts of months to mark, at most nine.
    fn months(&self) -> Vec<Date> {
        let (year, month, _) = self.first.civil();
        let count = self.last.days_since(self.first) / 30 + 1;
        let every = [1, 2, 3, 6, 12].into_iter().find(|every| count / every <= 8).unwrap_or(24);
        let months = (0..=count + 1).map(|more| year * 12 + month - 1 + more).filter(|month| month % every == 0);
        let firsts = months.filter_map(|month| Date::new(month / 12, month % 12 + 1, 1));
        firsts.filter(|day| (self.first..=self.last).contains(day)).collect()
    }

    /// Draws the months between two heights.
    pub(super) fn draw(&self, drawing: &mut Drawing, top: f64, floor: f64) {
        for day in self.months() {
            let (x, (year, month, _)) = (self.at(day), day.civil());
            drawing.line((x, top), (x, floor), "grid");
            drawing.text((x, floor + 15.0), "middle", "tick", &format!("{year}-{month:02}"));
        }
    }
}

/// A drawing that is wider than a phone, in a box that scrolls sideways.
pub(super) fn wide(title: &str, drawn: &Markup) -> Markup {
    html! { div.scroll tabindex="0" role="group" aria-label=(title) { (drawn) } }
}
