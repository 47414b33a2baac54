//! Wraps lines to the width of a terminal.

use unicode_width::UnicodeWidthStr;

/// The text in lines of at most `width` columns, broken between words. The first begins after `before` columns, the others
/// are indented by `indent`. A word that is longer than a line stays whole.
pub fn wrapped(text: &str, before: usize, indent: usize, width: usize) -> String {
    let (mut lines, mut column, mut at_start) = (String::with_capacity(text.len()), before, true);
    for word in text.split(' ') {
        let own = word.width();
        if !at_start && column + 1 + own > width {
            lines.push('\n');
            lines.extend(std::iter::repeat_n(' ', indent));
            column = indent;
        } else if !at_start {
            lines.push(' ');
            column += 1;
        }
        lines.push_str(word);
        column += own;
        at_start = false;
    }
    lines
}
