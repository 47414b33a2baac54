//! A whole file, plain or compressed: no crash, whatever is in it.

#![no_main]

use libfuzzer_sys::fuzz_target;
use open_aligner_record::{Checker, run::check_reader};

thread_local! {
    static CHECKER: std::cell::RefCell<Checker> = std::cell::RefCell::new(Checker::new());
}

fuzz_target!(|bytes: &[u8]| {
    CHECKER.with_borrow_mut(|checker| {
        let text = std::io::Cursor::new(bytes.to_vec());
        let mut found = 0u64;
        // An error is an answer too: compressed bytes can be broken.
        let _ = check_reader(text, false, checker, &mut |_, finding| found += finding.message().len() as u64);
    });
});
