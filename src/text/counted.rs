//! Counts with their nouns, for everything that people read: `1 record`, `12 records`.

/// A count with its noun, which has an `s` unless the count is 1; `entry` becomes `entries`.
///
/// ```
/// use open_aligner_record::counted;
///
/// assert_eq!(counted(1, "record"), "1 record");
/// assert_eq!(counted(0, "entry"), "0 entries");
/// ```
pub fn counted(count: impl std::fmt::Display, noun: &str) -> String {
    let count = count.to_string();
    match noun.strip_suffix('y') {
        _ if count == "1" => format!("1 {noun}"),
        Some(stem) if !stem.ends_with(['a', 'e', 'o', 'u']) => format!("{count} {stem}ies"),
        _ => format!("{count} {noun}s"),
    }
}

/// Some of all, with their noun: `2 of 14 records`, but `1 record` where there is no other.
pub(crate) fn some_of(some: u64, all: u64, noun: &str) -> String {
    if all == 1 { counted(all, noun) } else { format!("{some} of {}", counted(all, noun)) }
}
