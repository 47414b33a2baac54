//! How much is checked while a record is shrunk.
//!
//! Finding the smallest record takes as many checks as it has values, and each reads all that is left: for a large record that
//! would never end. So the bytes that are checked have a limit, which grows with the record and no faster.

/// Bytes that are checked for any record, and so many times the record besides: a few seconds, and far more than a treatment of
/// usual length needs.
const BYTES: usize = 1 << 28;
const TIMES: usize = 200;

/// The bytes that may still be checked.
#[derive(Clone, Copy, Debug)]
pub(super) struct Budget {
    left: usize,
}

impl Budget {
    /// For a record of so many bytes.
    pub(super) fn of(record: usize) -> Self {
        Self { left: record.saturating_mul(TIMES).saturating_add(BYTES) }
    }

    /// Takes the bytes of one check; false, now and from then on, when they are not there.
    pub(super) fn takes(&mut self, bytes: usize) -> bool {
        self.left = self.left.saturating_sub(bytes);
        !self.is_spent()
    }

    /// Whether nothing may be checked any more.
    pub(super) fn is_spent(self) -> bool {
        self.left == 0
    }
}

#[cfg(test)]
mod tests {
    use super::Budget;

    #[test]
    fn it_grows_with_the_record_and_ends() {
        let checks = |record: usize| {
            let mut budget = Budget::of(record);
            (0..10_000usize).take_while(|_| budget.takes(record)).count()
        };
        assert!(checks(30_000) > 5_000);
        assert!((200..230).contains(&checks(10_000_000)));
        let mut budget = Budget::of(0);
        assert!(!budget.takes(usize::MAX) && budget.is_spent() && !budget.takes(1));
    }
}
