//! A whole file, plain or compressed: no crash, whatever is in it.

#![no_main]

use libfuzzer_sys::fuzz_target;
use open_aligner_record::{Checker, Findings};

thread_local! {
    static CHECKER: std::cell::RefCell<Checker> = std::cell::RefCell::new(Checker::new());
}

fuzz_target!(|bytes: &[u8]| {
    CHECKER.with_borrow_mut(|checker| {
        // An error is an answer too: compressed bytes can be broken.
        for (_, finding) in Findings::new(bytes, false, checker).into_iter().flatten().flatten() {
            std::hint::black_box(finding.message());
        }
    });
});
