//! What the pages share: markup that escapes every text, drawings and charts, tables, figures with the table behind them, and the
//! base of the style. `PreEscaped`, which leaves a text as it is, is used in this folder only.

#![expect(clippy::cast_precision_loss, reason = "counts and places in a drawing are far below 2^52")]

pub(crate) mod chart;
mod curve;
mod drawing;
mod table;

use maud::PreEscaped;

pub(crate) use chart::{Chart, Scale};
pub(crate) use curve::{band, stairs};
pub(crate) use drawing::Drawing;
pub(crate) use maud::{DOCTYPE, Markup, html};
pub(crate) use table::{Table, plain_table};

/// The head of a page, with its style after the style of every page: colours in light and dark, text, charts.
pub(crate) fn head(title: &str, viewport: &str, style: &'static str) -> Markup {
    html! {
        head {
            meta charset="utf-8";
            meta name="viewport" content=(viewport);
            title { (title) }
            // Quotes stay quotes in a style sheet; both are files beside the code.
            style { (PreEscaped(include_str!("base.css"))) (PreEscaped(style)) }
        }
    }
}

/// A plot with its title, what its shapes mean, and a table that can be opened.
pub(crate) fn explained(title: &str, plot: &Markup, legend: &str, table: &Markup) -> Markup {
    framed(title, &html! { (plot) p.legend { (legend) } }, table)
}

/// A plot with its title and a table that can be opened, which begins with the definition of what is plotted.
pub(crate) fn figure(title: &str, plot: &Markup, table: &Markup, definition: &str) -> Markup {
    framed(title, plot, &html! { p { (definition) } (table) })
}

fn framed(title: &str, plot: &Markup, details: &Markup) -> Markup {
    html! {
        figure { figcaption { (title) } (plot) details { summary { "the table behind it" } (details) } } "\n"
    }
}

/// Figures beside each other; nothing without any.
pub(crate) fn plots(figures: &[Markup]) -> Markup {
    html! { @if figures.iter().any(|figure| !figure.0.is_empty()) { div.plots { "\n" @for figure in figures { (figure) } } "\n" } }
}

/// A text with its first letter as a capital.
pub(crate) fn capital(text: &str) -> String {
    let mut letters = text.chars();
    letters.next().map_or(String::new(), |first| first.to_uppercase().chain(letters).collect())
}
