//! A letter to the patient, after a text with places.
//!
//! Each line of the text stands alone. A place in braces, such as `{tray}`, is filled from the record; a line with a place that the
//! record does not fill is left out. A line may begin with conditions, such as `{?active, no hold_day}`, and is left out
//! unless all of them hold: a name holds when the record fills that place, or when what it says is so. `{{` and `}}` are
//! braces. `docs/how-to/review.md` lists the names.

mod facts;
mod template;

use super::Review;
use crate::text::wrapped;
use facts::facts;

/// The text that comes with the program.
pub const TEXT: &str = include_str!("letter.txt");

/// Columns of a line.
const WIDTH: usize = 72;

/// The letter for a record, after a text with places.
///
/// # Errors
/// What is wrong with the text: a name that is none, a condition that has no text, or a brace without its other one.
pub fn letter(review: &Review, text: &str) -> Result<String, String> {
    let facts = facts(review);
    let mut letter = String::new();
    for (place, line) in text.trim_start_matches('\u{feff}').lines().enumerate() {
        let filled =
            template::fill(line, &facts).map_err(|wrong| format!("letter text, line {}: {wrong}", place + 1))?;
        if let Some(line) = filled {
            add(&mut letter, line.trim_end());
        }
    }
    Ok(letter.trim_end().to_owned() + "\n")
}

/// Adds a line; of several empty ones only the first, and none at the start.
fn add(letter: &mut String, line: &str) {
    if line.is_empty() && (letter.is_empty() || letter.ends_with("\n\n")) {
        return;
    }
    let indent = if line.starts_with("- ") { 2 } else { 0 };
    letter.push_str(&wrapped(line, 0, indent, WIDTH));
    letter.push('\n');
}

/// The names that a text may use, each with what it says, and whether it has a text of its own.
pub fn names() -> impl Iterator<Item = (&'static str, &'static str, bool)> {
    facts::NAMES.iter().copied()
}
