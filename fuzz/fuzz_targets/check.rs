//! One record: no crash, and both paths say the same.

#![no_main]

use libfuzzer_sys::fuzz_target;
use open_aligner_record::Checker;

thread_local! {
    static CHECKER: std::cell::RefCell<Checker> = std::cell::RefCell::new(Checker::new());
}

fuzz_target!(|bytes: &[u8]| {
    CHECKER.with_borrow_mut(|checker| {
        let (fast, slow) = checker.both_roads(bytes);
        if let Some(fast) = fast {
            assert_eq!(fast, slow);
        }
    });
});
