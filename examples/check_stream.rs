//! Checks everything on standard input, record by record, in bounded memory:
//! `cargo run --example check_stream < datasets/demo/quillmere.oar.jsonl`.

#![expect(clippy::print_stdout, reason = "an example prints its findings")]

use std::io;

use open_aligner_record::rule::Level;
use open_aligner_record::{Checker, run::check_reader};

fn main() -> io::Result<()> {
    let mut errors = 0u64;
    let records = check_reader(io::stdin(), true, &mut Checker::new(), &mut |record, finding| {
        errors += u64::from(finding.level() == Level::Error);
        println!("record {record}: {}", finding.message());
    })?;
    println!("{records} records, {errors} errors");
    Ok(())
}
