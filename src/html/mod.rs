//! What the pages share: escaping, drawings and charts, tables, figures with the table behind them, and the base of the style.

#![expect(clippy::cast_precision_loss, reason = "counts and places in a drawing are far below 2^52")]

pub(crate) mod chart;
mod curve;
mod drawing;
mod table;

pub(crate) use chart::{Chart, Scale};
pub(crate) use curve::{band, stairs};
pub(crate) use drawing::{Drawing, svg};
pub(crate) use table::{Table, plain_table};

/// The style that every page begins with: colours in light and dark, text, charts.
pub(crate) const STYLE: &str = include_str!("base.css");

/// Text as it may stand in HTML and SVG.
pub(crate) fn escaped(text: &str) -> String {
    text.replace('&', "&amp;").replace('<', "&lt;").replace('>', "&gt;").replace('"', "&quot;")
}

/// A plot with its title, what its shapes mean, and a table that can be opened.
pub(crate) fn explained(title: &str, svg: &str, legend: &str, table: &str) -> String {
    let (title, legend) = (escaped(title), escaped(legend));
    format!(
        "<figure><figcaption>{title}</figcaption>{svg}<p class=\"legend\">{legend}</p><details><summary>the table behind it</summary>{table}</details></figure>\n"
    )
}

/// A plot with its title and a table that can be opened. The plot and the table are HTML; the words are not.
pub(crate) fn figure(title: &str, svg: &str, table: &str, definition: &str) -> String {
    let (title, definition) = (escaped(title), escaped(definition));
    format!(
        "<figure><figcaption>{title}</figcaption>{svg}<details><summary>the table behind it</summary><p>{definition}</p>{table}</details></figure>\n"
    )
}
