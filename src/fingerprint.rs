//! Fingerprints: what makes a finding the same finding in the next run.
//!
//! A fingerprint is made of the rule and of what the finding is about, so it survives inserted lines, moved entries and
//! reordered keys. It is a hash that cannot be turned round, because identifiers of the record go into it; who already
//! knows an identifier can still test a guess against it.

use std::collections::BTreeMap;

use sha2::{Digest, Sha256};

use crate::output::Item;

/// Bytes of the hash that are written: 128 bits.
const WRITTEN: usize = 16;

/// Gives each finding of one run its fingerprint. Findings have to come in the order of the run.
#[derive(Debug, Default)]
pub struct Fingerprints {
    /// How often something was found, by the head of its hash.
    seen: BTreeMap<u64, u32>,
}

impl Fingerprints {
    /// The fingerprint of the next finding: 32 hexadecimal digits. Equal findings are told apart by counting them.
    pub fn next(&mut self, item: &Item<'_>) -> String {
        let subject = &item.finding.subject;
        // A finding about a text that is no record has no subject but its file.
        self.counted(item.finding.rule.name, if subject.is_empty() { item.file } else { subject })
    }

    /// The fingerprint of a file that could not be read.
    pub(crate) fn unreadable(&mut self, file: &str) -> String {
        self.counted("unreadable", file)
    }

    fn counted(&mut self, rule: &str, subject: &str) -> String {
        let alike = Sha256::new().chain_update(rule).chain_update("\0").chain_update(subject);
        let head = alike.clone().finalize().iter().take(8).fold(0, |head, byte| head << 8 | u64::from(*byte));
        let count = self.seen.entry(head).or_default();
        let hash = alike.chain_update("\0").chain_update(count.to_string()).finalize();
        *count += 1;
        let digits = hash.iter().take(WRITTEN).flat_map(|byte| [byte >> 4, byte & 15]);
        digits.filter_map(|digit| char::from_digit(u32::from(digit), 16)).collect()
    }
}
