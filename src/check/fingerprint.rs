//! Fingerprints: they identify a finding from run to run.
//!
//! A fingerprint is computed from the rule and the subject of the finding, so it survives inserted lines, moved entries and
//! reordered keys. It is a one-way hash, because it contains identifiers of the record; somebody who knows an identifier can
//! still test a guess against it.

use std::collections::BTreeMap;
use std::fmt;

use oar_schema::parse::from_text;
use sha2::{Digest, Sha256};

use crate::check::args::Arg;
use crate::check::finding::Item;

/// The number of bytes of the hash that are written: 128 bits.
const WRITTEN: usize = 16;

/// The shape of a fingerprint, as an ECMA-262 regular expression.
#[cfg(feature = "schemas")]
pub(crate) const KEY_PATTERN: &str = "^[0-9a-f]{32}$";

/// The subject of a finding, as a number of 128 bits: the rule, the record's id and system, the path to the value with
/// identifying fields in place of indices, and the names of fields in the finding. It includes no line, no index, no value and
/// no limit. Findings that agree in all of these have the same key.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub struct Key(pub u128);

impl Key {
    /// The subject of a finding.
    pub fn of(item: &Item<'_>) -> Self {
        Self::from_digest(&alike(item))
    }

    fn from_digest(hash: &Sha256) -> Self {
        let digest = hash.clone().finalize();
        Self(digest.iter().take(WRITTEN).fold(0, |key, byte| key << 8 | u128::from(*byte)))
    }
}

from_text!(Key, "a fingerprint: 32 hexadecimal digits", |text: &str| {
    let fits = text.len() == 2 * WRITTEN && text.bytes().all(|byte| b"0123456789abcdef".contains(&byte));
    fits.then(|| u128::from_str_radix(text, 16).ok().map(Self))?
});

impl fmt::Display for Key {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        write!(f, "{:032x}", self.0)
    }
}

/// Assigns each finding of one run its fingerprint. Findings have to come in the order of the run.
#[derive(Debug, Default)]
pub struct Fingerprints {
    /// The counts of findings, by the head of their hash.
    seen: BTreeMap<u64, u32>,
}

impl Fingerprints {
    /// The fingerprint of the next finding: 32 hexadecimal digits, those of its [`Key`]. Equal findings are distinguished by a
    /// count, which is part of the fingerprints of all except the first.
    pub fn next(&mut self, item: &Item<'_>) -> String {
        self.counted(alike(item))
    }

    /// The fingerprint of a file that could not be read.
    pub(crate) fn unreadable(&mut self, file: &str) -> String {
        self.counted(hashed("unreadable", file))
    }

    fn counted(&mut self, alike: Sha256) -> String {
        let head = (Key::from_digest(&alike).0 >> 64) as u64;
        let count = self.seen.entry(head).or_default();
        let counted = if *count == 0 { alike } else { alike.chain_update("\0").chain_update(count.to_string()) };
        *count += 1;
        Key::from_digest(&counted).to_string()
    }
}

/// The subject of a finding about a text that is not a record: the hash of the text, so that two broken lines of a file are
/// distinguished and one that moves stays the same.
pub(crate) fn of_text(text: &[u8]) -> String {
    format!("#{}", Key::from_digest(&Sha256::new().chain_update(text.trim_ascii())))
}

fn hashed(rule: &str, subject: &str) -> Sha256 {
    Sha256::new().chain_update(rule).chain_update("\0").chain_update(subject)
}

/// The hash of the rule and the subject of the finding. A record without an id, and a file without a record, are identified by
/// the name of the file.
fn alike(item: &Item<'_>) -> Sha256 {
    let subject = &item.finding.subject;
    let mut hash = hashed(item.finding.rule.name, subject);
    if subject.is_empty() || subject == "/" || subject.starts_with("//") {
        hash = hash.chain_update("\0").chain_update(item.file);
    }
    for (name, arg) in &item.finding.args {
        if let ("field", Arg::Word(word)) = (*name, arg) {
            hash = hash.chain_update("\0").chain_update(word);
        }
    }
    hash
}
