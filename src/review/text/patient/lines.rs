//! The lines of a part: titles, names with their text, and drawn rows.

use crate::text::{visible, wrapped};

/// The width of a name in columns, including the space after it.
const NAME: usize = 16;

/// Lines of a text with a maximum width.
pub(super) struct WrappedLines {
    pub(super) width: usize,
    text: String,
}

impl WrappedLines {
    pub(super) fn new(width: usize) -> Self {
        Self { width, text: String::new() }
    }

    pub(super) fn into_text(self) -> String {
        self.text
    }

    /// An empty line, but not at the start.
    pub(super) fn blank(&mut self) {
        if !self.text.is_empty() {
            self.text.push('\n');
        }
    }

    /// The title of a part, after an empty line.
    pub(super) fn title(&mut self, title: &str) {
        self.blank();
        self.told("", title);
    }

    /// A sentence after some spaces, wrapped to the width.
    pub(super) fn told(&mut self, spaces: &str, sentence: &str) {
        let sentence = wrapped(&visible(sentence), spaces.len(), spaces.len(), self.width);
        self.row(&format!("{spaces}{sentence}"));
    }

    /// A name with its text beside it.
    pub(super) fn named(&mut self, name: &str, sentence: &str) {
        let start = format!("  {name:<width$}", width = NAME - 2);
        let sentence = wrapped(&visible(sentence), NAME, NAME, self.width);
        self.row(&format!("{start}{sentence}"));
    }

    /// A row without trailing spaces.
    pub(super) fn row(&mut self, row: &str) {
        self.text.push_str(row.trim_end());
        self.text.push('\n');
    }

    /// Marks and their meanings, two spaces between them.
    pub(super) fn legend<'a>(&mut self, marks: impl Iterator<Item = (char, &'a str)>) {
        // A mark stays on the line of its meaning.
        const TOGETHER: char = '\u{a0}';
        let told: Vec<String> =
            marks.map(|(mark, meaning)| format!("{mark} {meaning}").replace(' ', &TOGETHER.to_string())).collect();
        let text = wrapped(&told.join(" \u{a0}"), 2, 2, self.width).replace(TOGETHER, " ");
        text.lines().for_each(|line| self.row(&format!("  {}", line.trim())));
    }
}

/// Minutes as hours with one decimal place.
pub(super) fn hours(minutes: i32) -> String {
    format!("{:.1}", f64::from(minutes) / 60.0)
}
