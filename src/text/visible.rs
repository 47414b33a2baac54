//! Text as a terminal or a log can show it: names of files and of unknown fields may hold anything.

use std::ffi::OsStr;
use std::path::Path;

/// The name of a file or path for people and logs. In addition to [`visible`], it cannot contain a command of a build log: `::`
/// at its beginning, a command in GitHub Actions, and `##`, a command in several systems, are broken up.
pub fn shown(name: &str) -> String {
    let mut text = visible(name).replace("##", "\\u{23}\\u{23}");
    if text.trim_start().starts_with("::") {
        text = text.replacen("::", "\\u{3a}:", 1);
    }
    text
}

/// A path for people and logs.
pub fn shown_path(path: &Path) -> String {
    shown(&readable(path.as_os_str()))
}

/// The name, or path, as text. Bytes that are not UTF-8 are written as `\xe9`.
pub fn readable(name: &OsStr) -> String {
    let mut text = String::new();
    for part in name.as_encoded_bytes().utf8_chunks() {
        text.push_str(part.valid());
        for byte in part.invalid() {
            text.extend(std::ascii::escape_default(*byte).map(char::from));
        }
    }
    text
}

/// The text with control characters written as `\u{1b}`.
pub fn visible(text: &str) -> String {
    let mut shown = String::with_capacity(text.len());
    for letter in text.chars() {
        if acts(letter) { shown.extend(letter.escape_unicode()) } else { shown.push(letter) }
    }
    shown
}

/// The text with a mark in place of each such character, so that it keeps its number of characters.
pub(crate) fn same_length(text: &str) -> String {
    text.chars().map(|letter| if acts(letter) { '\u{fffd}' } else { letter }).collect()
}

/// Control characters, line breaks, and zero-width characters that change the direction of text or are invisible in it: those
/// of the general categories Cc, Zl and Zp of Unicode, and those of Cf that show nothing themselves.
pub(crate) fn acts(letter: char) -> bool {
    let hidden = matches!(letter,
        '\u{ad}' | '\u{61c}' | '\u{180e}' | '\u{200b}'..='\u{200f}' | '\u{2028}'..='\u{202e}' | '\u{2060}'..='\u{206f}'
        | '\u{feff}' | '\u{fff9}'..='\u{fffb}' | '\u{13430}'..='\u{1343f}' | '\u{1bca0}'..='\u{1bca3}'
        | '\u{1d173}'..='\u{1d17a}' | '\u{e0000}'..='\u{e007f}');
    letter.is_control() || hidden
}
