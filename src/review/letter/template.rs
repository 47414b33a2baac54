//! Lines with conditions and placeholders.

use oar_schema::nearest::nearest;

use super::facts::{LetterFacts, NAMES};

/// A line with its placeholders filled, or nothing when it is omitted.
pub(super) fn fill(line: &str, facts: &LetterFacts) -> Result<Option<String>, String> {
    let (conditions, line) = match line.strip_prefix("{?") {
        None => (None, line),
        Some(rest) => {
            let (conditions, line) = rest.split_once('}').ok_or("`{?` has no `}`")?;
            (Some(conditions), line.trim_start())
        }
    };
    let mut holds = true;
    for condition in conditions.iter().flat_map(|list| list.split(',')) {
        holds &= is_so(condition.trim(), facts)?;
    }
    let filled = places(line, facts)?;
    Ok(filled.filter(|_| holds))
}

fn is_so(condition: &str, facts: &LetterFacts) -> Result<bool, String> {
    let (name, wanted) = condition.strip_prefix("no ").map_or((condition, true), |name| (name.trim(), false));
    known(name)?;
    Ok(facts.contains_key(name) == wanted)
}

/// Fills the placeholders; nothing when one of them is not known.
fn places(line: &str, facts: &LetterFacts) -> Result<Option<String>, String> {
    let (mut filled, mut rest, mut whole) = (String::new(), line, true);
    while let Some(at) = rest.find(['{', '}']) {
        filled.push_str(&rest[..at]);
        let (brace, after) = rest[at..].split_at(1);
        if let Some(after) = after.strip_prefix(brace) {
            filled.push_str(brace);
            rest = after;
            continue;
        }
        if brace == "}" {
            return Err("`}` has no `{` before it; write `}}` for the brace itself".to_owned());
        }
        let (name, after) = after.split_once('}').ok_or("`{` has no `}`; write `{{` for the brace itself")?;
        match facts.get(place(name.trim())?) {
            Some(Some(text)) => filled.push_str(text),
            _ => whole = false,
        }
        rest = after;
    }
    filled.push_str(rest);
    Ok(whole.then_some(filled))
}

/// A name that has a text.
fn place(name: &str) -> Result<&str, String> {
    if name.starts_with('?') {
        return Err(format!("{{{name}}} is a condition, which belongs at the start of a line"));
    }
    let (_, _, has_text) = known(name)?;
    if has_text { Ok(name) } else { Err(format!("{name} has no text; it is a condition, as in {{?{name}}}")) }
}

fn known(name: &str) -> Result<(&'static str, &'static str, bool), String> {
    let found = NAMES.iter().find(|(known, ..)| *known == name);
    found.copied().ok_or_else(|| match nearest(name, NAMES.iter().map(|(known, ..)| *known)) {
        Some(near) => format!("{{{name}}} is no place of a letter (did you mean {{{near}}}?)"),
        None => format!("{{{name}}} is no place of a letter; docs/how-to/review.md lists them"),
    })
}
