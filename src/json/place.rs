//! From byte offsets to lines and columns.

/// Line and column of a byte offset, both counted from 1; columns count Unicode code points.
///
/// Only a line feed ends a line, so a carriage return before it is the last column of its line.
/// An offset past the end counts as the end. The bytes need not be UTF-8 after the offset.
pub fn line_and_column(bytes: &[u8], offset: usize) -> (usize, usize) {
    let before = &bytes[..offset.min(bytes.len())];
    let mut lines = before.split(|&b| b == b'\n').rev();
    let last = lines.next().unwrap_or_default();
    let column = last.iter().filter(|&&b| !continues(b)).count() + 1;
    (lines.count() + 1, column)
}

/// Whether a byte is the second or a later one of a code point in UTF-8.
fn continues(byte: u8) -> bool {
    byte & 0b1100_0000 == 0b1000_0000
}

#[cfg(test)]
mod tests {
    use super::line_and_column;

    #[test]
    fn lines_and_columns_count_from_one_in_code_points() {
        // Counted by hand.
        let text = "{\n \"é𝄞\": x\r\n}".as_bytes();
        let at = |c: u8| text.iter().position(|&b| b == c).unwrap();
        assert_eq!(line_and_column(text, 0), (1, 1));
        assert_eq!(line_and_column(text, 1), (1, 2));
        assert_eq!(line_and_column(text, 2), (2, 1));
        assert_eq!(line_and_column(text, at(b'x')), (2, 8));
        assert_eq!(line_and_column(text, at(b'}')), (3, 1));
        assert_eq!(line_and_column(text, 999), (3, 2));
        assert_eq!(line_and_column(b"", 0), (1, 1));
    }
}
