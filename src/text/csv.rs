//! Tables as CSV (RFC 4180), the one way in which any is written: lines end in CR LF, and no cell is a formula.

use std::io::{self, Write};

use csv::{Terminator, Writer, WriterBuilder};

/// A row is written at once and is seldom longer.
const BUFFER: usize = 1 << 10;

/// Writes rows.
pub(crate) struct CsvRows<W: Write>(Writer<W>);

impl<W: Write> CsvRows<W> {
    /// Rows into `out`.
    pub(crate) fn new(out: W) -> Self {
        Self(WriterBuilder::new().terminator(Terminator::CRLF).buffer_capacity(BUFFER).from_writer(out))
    }

    /// Writes a row. A cell that a spreadsheet would take for a formula is kept a text by a space before it.
    pub(crate) fn row<T: AsRef<str>>(&mut self, cells: impl IntoIterator<Item = T>) -> io::Result<()> {
        for cell in cells {
            let cell = cell.as_ref();
            if is_formula(cell) {
                self.0.write_field(format!(" {cell}"))?;
            } else {
                self.0.write_field(cell)?;
            }
        }
        self.0.write_record(None::<&[u8]>)?;
        self.0.flush()
    }
}

/// Whether a spreadsheet would take a cell for a formula. A number is none, whatever its sign.
fn is_formula(cell: &str) -> bool {
    cell.starts_with(['=', '+', '-', '@', '\t', '\r']) && cell.parse::<f64>().is_err()
}

#[cfg(test)]
mod tests {
    use super::CsvRows;

    fn written(cells: &[&str]) -> String {
        let mut bytes = Vec::new();
        CsvRows::new(&mut bytes).row(cells).unwrap();
        String::from_utf8(bytes).unwrap()
    }

    #[test]
    fn cells_are_quoted_where_rfc_4180_needs_it() {
        assert_eq!(written(&["a", "", "b c", "1.5"]), "a,,b c,1.5\r\n");
        assert_eq!(
            written(&["a,b", "say \"x\"", "two\nlines", "a\rb"]),
            "\"a,b\",\"say \"\"x\"\"\",\"two\nlines\",\"a\rb\"\r\n"
        );
    }

    #[test]
    fn no_cell_is_a_formula_and_numbers_stay_numbers() {
        for start in ['=', '+', '-', '@', '\t', '\r'] {
            let row = written(&[&format!("{start}1+1"), "x"]);
            assert!(row.trim_start_matches('"').starts_with(&format!(" {start}1+1")), "{row:?}");
        }
        assert_eq!(written(&["-3", "+0.5", "-", "a=1"]), "-3,+0.5, -,a=1\r\n");
    }
}
