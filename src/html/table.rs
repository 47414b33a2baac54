//! Tables.

use super::{Markup, html};

/// A table of cells; the first row is its head.
pub(crate) fn plain_table(rows: &[Vec<String>]) -> Markup {
    html! {
        table {
            @for (place, row) in rows.iter().enumerate() {
                tr { @for cell in row { @if place == 0 { th { (cell) } } @else { td { (cell) } } } }
            }
        }
    }
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
    pub(crate) fn html(&self, class: &str) -> Markup {
        html! {
            table class=(class) {
                caption { (self.caption) }
                thead { tr { @for name in &self.head { th scope="col" { (name) } } } }
                tbody {
                    @for row in &self.rows {
                        tr {
                            @for (place, cell) in row.iter().enumerate() {
                                @if place == 0 { th scope="row" { (cell) } } @else { td { (cell) } }
                            }
                        }
                        "\n"
                    }
                }
            }
            "\n"
        }
    }
}
