//! A letter to the patient, from a template.
//!
//! Each line of the template is independent. A placeholder in braces, such as `{tray}`, is filled from the record; a line
//! with a placeholder that the record does not fill is omitted. A line may begin with conditions, such as
//! `{?active, no hold_day}`, and is omitted unless all of them are true: a name is true when the record fills that
//! placeholder, or when its condition is met. `{{` and `}}` are braces. `docs/how-to/review.md` lists the names.

mod facts;
mod template;

use super::Review;
use crate::text::wrapped;
use facts::facts;

/// The default template.
pub const TEXT: &str = include_str!("letter.txt");

/// The width of a line in columns.
const WIDTH: usize = 72;

/// The letter for a record, from a template.
///
/// # Errors
/// What is wrong with the template: an unknown name, a condition used as a placeholder, or an unmatched brace.
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

/// Adds a line. Of several consecutive empty lines only the first is kept, and none at the start.
fn add(letter: &mut String, line: &str) {
    if line.is_empty() && (letter.is_empty() || letter.ends_with("\n\n")) {
        return;
    }
    let indent = if line.starts_with("- ") { 2 } else { 0 };
    letter.push_str(&wrapped(line, 0, indent, WIDTH));
    letter.push('\n');
}

/// The names that a template may use, each with its meaning, and whether it has a text.
pub fn names() -> impl Iterator<Item = (&'static str, &'static str, bool)> {
    facts::NAMES.iter().copied()
}
