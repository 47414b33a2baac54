//! Text as a terminal or a log can show it: names of files and of unknown fields may hold anything.

/// The text with characters that would act instead of show written as `\u{1b}`.
pub fn visible(text: &str) -> String {
    let mut shown = String::with_capacity(text.len());
    for letter in text.chars() {
        if acts(letter) { shown.extend(letter.escape_unicode()) } else { shown.push(letter) }
    }
    shown
}

/// The text with a mark in place of each such character, so that it keeps its number of characters.
pub(super) fn same_length(text: &str) -> String {
    text.chars().map(|letter| if acts(letter) { '\u{fffd}' } else { letter }).collect()
}

/// Control characters, line ends, and characters without width that turn the direction of text round or hide in it.
fn acts(letter: char) -> bool {
    let hidden = matches!(letter, '\u{200b}'..='\u{200f}' | '\u{2028}'..='\u{202e}' | '\u{2060}'..='\u{2069}');
    letter.is_control() || hidden || letter == '\u{feff}'
}
