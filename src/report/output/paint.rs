//! Colours on a terminal: one accent beside bold and faint. No information is carried by colour alone.

/// The accent: the blue of the 256-colour palette nearest to the blue of Okabe and Ito's palette for all kinds of
/// colour vision (Color Universal Design, 2008; from memory) that is still readable on white and on black.
const ACCENT: &str = "1;38;5;32";
const BOLD: &str = "1";
const FAINT: &str = "2";

/// Whether to paint.
#[derive(Clone, Copy)]
pub(super) struct Paint(pub(super) bool);

impl Paint {
    pub(super) fn accent(self, text: &str) -> String {
        self.with(ACCENT, text)
    }

    pub(super) fn bold(self, text: &str) -> String {
        self.with(BOLD, text)
    }

    pub(super) fn faint(self, text: &str) -> String {
        self.with(FAINT, text)
    }

    fn with(self, code: &str, text: &str) -> String {
        if self.0 { format!("\x1b[{code}m{text}\x1b[0m") } else { text.to_owned() }
    }
}
