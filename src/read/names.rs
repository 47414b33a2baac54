//! Names of files: which are those of records, and which are excluded.

use std::collections::{BTreeMap, BTreeSet};

/// The endings of the names of record files.
const ENDINGS: &[&str] = &[".oar.json", ".oar.jsonl"];
/// The endings that compression adds.
const COMPRESSED: &[&str] = &[".gz", ".zst"];

/// The prefix of the names of temporary files of the command.
pub const PARTIAL_PREFIX: &str = ".oar-";
/// Their suffix.
pub const PARTIAL_SUFFIX: &str = ".partial";

/// Whether the name is that of a file that a run is writing, or that an interrupted run left behind.
pub fn is_partial(name: &str) -> bool {
    name.starts_with(PARTIAL_PREFIX) && name.ends_with(PARTIAL_SUFFIX)
}

/// Whether the name is that of a record file.
pub(crate) fn is_record(name: &str) -> bool {
    ends_with_any(name, ENDINGS)
}

/// Whether the name is that of a JSON file of any kind.
pub(super) fn is_json(name: &str) -> bool {
    ends_with_any(name, &[".json", ".jsonl", ".ndjson"])
}

/// Whether the name promises one record per line.
pub(super) fn says_lines(name: &str) -> bool {
    ends_with_any(name, &[".jsonl", ".ndjson"])
}

/// Whether the name has one of the endings, ignoring case, before that of a compression.
fn ends_with_any(name: &str, endings: &[&str]) -> bool {
    let name = name.to_lowercase();
    let bare = COMPRESSED.iter().find_map(|ending| name.strip_suffix(ending)).unwrap_or(&name);
    endings.iter().any(|ending| bare.ends_with(ending))
}

/// Whether the name matches the pattern, in which `*` matches any text.
pub(crate) fn matches(pattern: &str, name: &str) -> bool {
    let mut parts = pattern.split('*');
    let Some(mut rest) = name.strip_prefix(parts.next().unwrap_or_default()) else { return false };
    let Some(last) = parts.next_back() else { return rest.is_empty() };
    for part in parts {
        let Some(at) = rest.find(part) else { return false };
        rest = &rest[at + part.len()..];
    }
    rest.ends_with(last)
}

/// Many patterns. Those without `*` are looked up by name; only those with it are tried one by one.
#[derive(Debug, Default)]
pub(crate) struct Patterns {
    whole: BTreeMap<String, usize>,
    with_stars: Vec<(String, usize)>,
}

impl Patterns {
    pub(crate) fn new<'p>(patterns: impl IntoIterator<Item = &'p str>) -> Self {
        let mut all = Self::default();
        let mut known = BTreeSet::new();
        for (index, pattern) in patterns.into_iter().enumerate() {
            if !pattern.contains('*') {
                all.whole.entry(pattern.to_owned()).or_insert(index);
            } else if known.insert(pattern) {
                all.with_stars.push((pattern.to_owned(), index));
            }
        }
        all
    }

    /// The indices of the patterns that a name matches, each text once, in order.
    pub(crate) fn all(&self, name: &str) -> Vec<usize> {
        let with_stars = self.with_stars.iter().filter(|(pattern, _)| matches(pattern, name)).map(|(_, index)| *index);
        let mut all: Vec<usize> = self.whole.get(name).copied().into_iter().chain(with_stars).collect();
        all.sort_unstable();
        all
    }

    /// Whether a name matches one of them.
    pub(crate) fn any(&self, name: &str) -> bool {
        self.whole.contains_key(name) || self.with_stars.iter().any(|(pattern, _)| matches(pattern, name))
    }
}

#[cfg(test)]
mod tests {
    use super::{Patterns, matches};

    #[test]
    fn many_patterns_find_those_that_fit() {
        let patterns = Patterns::new(["a", "b*", "bc", "bc", "*c", "b*", "d"]);
        let all = ["a", "bc", "xc", "d", "e", "b"].map(|name| patterns.all(name));
        assert_eq!(all, [vec![0], vec![1, 2, 4], vec![4], vec![6], vec![], vec![1]]);
        assert!(patterns.any("xc") && patterns.any("d") && !patterns.any("e"));
    }

    #[test]
    fn a_star_stands_for_any_text() {
        // As in the names of a shell (POSIX, 2.14.1), but for a dot at the beginning.
        for (pattern, name) in
            [("old", "old"), ("old*", "old"), ("*", "x"), ("*.bak.*", "a.bak.json"), ("a*b*c", "abbc")]
        {
            assert!(matches(pattern, name), "{pattern} {name}");
        }
        for (pattern, name) in
            [("old", "older"), ("old", "cold"), ("", "a"), ("a*a", "a"), ("a*b*c", "acb"), ("*b", "bc")]
        {
            assert!(!matches(pattern, name), "{pattern} {name}");
        }
    }
}
