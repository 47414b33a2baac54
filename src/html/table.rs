//! Tables.

use std::fmt::Write;

use super::escaped;

/// A table of cells; the first row is its head.
pub(crate) fn plain_table(rows: &[Vec<String>]) -> String {
    let mut text = "<table>".to_owned();
    for (place, row) in rows.iter().enumerate() {
        let tag = if place == 0 { "th" } else { "td" };
        text.push_str("<tr>");
        for cell in row {
            let _ = write!(text, "<{tag}>{}</{tag}>", escaped(cell));
        }
        text.push_str("</tr>");
    }
    text + "</table>"
}

/// A table that says what it is: with a caption, and heads of columns and rows. The first cell of a row is its head.
pub(crate) struct Table {
    caption: String,
    head: Vec<String>,
    rows: Vec<Vec<String>>,
}

impl Table {
    /// An empty table.
    pub(crate) fn new(caption: &str, head: &[&str]) -> Self {
        let head = head.iter().map(|name| (*name).to_owned()).collect();
        Self { caption: caption.to_owned(), head, rows: Vec::new() }
    }

    /// Adds a row.
    pub(crate) fn row<const N: usize>(&mut self, cells: [String; N]) {
        self.rows.push(Vec::from(cells));
    }

    /// Adds a row of any length.
    pub(crate) fn long_row(&mut self, cells: Vec<String>) {
        self.rows.push(cells);
    }

    /// As HTML. A class tells how its cells stand.
    pub(crate) fn html(&self, class: &str) -> String {
        let mut head = String::new();
        for name in &self.head {
            let _ = write!(head, "<th scope=\"col\">{}</th>", escaped(name));
        }
        let rows: String = self.rows.iter().map(|row| row_html(row)).collect();
        let caption = escaped(&self.caption);
        format!(
            "<table class=\"{class}\"><caption>{caption}</caption><thead><tr>{head}</tr></thead><tbody>{rows}</tbody></table>\n"
        )
    }
}

fn row_html(cells: &[String]) -> String {
    let mut text = "<tr>".to_owned();
    for (place, cell) in cells.iter().enumerate() {
        let cell = escaped(cell);
        let _ = match place {
            0 => write!(text, "<th scope=\"row\">{cell}</th>"),
            _ => write!(text, "<td>{cell}</td>"),
        };
    }
    text + "</tr>\n"
}
