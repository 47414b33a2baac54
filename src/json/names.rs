//! Finds names that an object uses twice.

use super::text::decode;
use std::{borrow::Cow, collections::BTreeSet};

/// The name of one member of an object that is still open.
#[derive(Clone, Copy, Debug)]
pub(super) struct MemberName {
    /// Range of the token, quotes included.
    pub(super) range: (u32, u32),
    /// Whether the token holds an escape or anything beyond ASCII.
    pub(super) unusual: bool,
    /// Equal for equal tokens.
    print: u64,
}

/// Up to this many members are compared each with each, by their prints: a few hundred
/// comparisons of words cost less than one sorted set.
const FEW: usize = 32;

impl MemberName {
    pub(super) fn new(bytes: &[u8], range: (u32, u32), unusual: bool) -> Self {
        let print = print(token(bytes, range));
        Self { range, unusual, print }
    }
}

/// A number that equal tokens share and most different ones do not.
fn print(token: &[u8]) -> u64 {
    match (token.first_chunk(), token.last_chunk()) {
        (Some(first), Some(last)) => {
            let (first, last) = (u64::from_le_bytes(*first), u64::from_le_bytes(*last));
            first.rotate_left(7) ^ last ^ token.len() as u64
        }
        _ => token.iter().fold(0, |n, &b| n << 8 | u64::from(b)),
    }
}

/// The positions, in order, of the names that an earlier one equals after unescaping.
pub(super) fn repeated(bytes: &[u8], names: &[MemberName]) -> Vec<usize> {
    if names.len() <= FEW && !names.iter().any(|name| name.unusual) {
        each_with_each(bytes, names)
    } else {
        by_set(bytes, names)
    }
}

fn each_with_each(bytes: &[u8], names: &[MemberName]) -> Vec<usize> {
    let same = |a: &MemberName, b: &MemberName| a.print == b.print && token(bytes, a.range) == token(bytes, b.range);
    let repeats = |&n: &usize| names[..n].iter().any(|earlier| same(earlier, &names[n]));
    (0..names.len()).filter(repeats).collect()
}

fn by_set(bytes: &[u8], names: &[MemberName]) -> Vec<usize> {
    let mut seen: BTreeSet<Cow<'_, str>> = BTreeSet::new();
    let mut repeats = |&n: &usize| !seen.insert(decode(token(bytes, names[n].range)));
    (0..names.len()).filter(|n| repeats(n)).collect()
}

/// The bytes of a token.
pub(super) fn token(bytes: &[u8], (start, end): (u32, u32)) -> &[u8] {
    &bytes[start as usize..end as usize]
}
