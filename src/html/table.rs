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
        self.rows.push(cells.to_vec());
    }

    /// Adds a row of any length.
    pub(crate) fn long_row(&mut self, cells: Vec<String>) {
        self.rows.push(cells);
    }

    /// Whether it has no row.
    pub(crate) fn is_empty(&self) -> bool {
        self.rows.is_empty()
    }

    /// As HTML. A class tells how its cells stand.
    pub(crate) fn html(&self, class: &str) -> String {
        let head: String = self.head.iter().map(|name| format!("<th scope=\"col\">{}</th>", escaped(name))).collect();
        let rows: String = self.rows.iter().map(|row| row_html(row)).collect();
        let caption = escaped(&self.caption);
        format!(
            "<table class=\"{class}\"><caption>{caption}</caption><thead><tr>{head}</tr></thead><tbody>{rows}</tbody></table>\n"
        )
    }
}

fn row_html(cells: &[String]) -> String {
    let cells = cells.iter().enumerate().map(|(place, cell)| match place {
        0 => format!("<th scope=\"row\">{}</th>", escaped(cell)),
        _ => format!("<td>{}</td>", escaped(cell)),
    });
    format!("<tr>{}</tr>\n", cells.collect::<String>())
}
