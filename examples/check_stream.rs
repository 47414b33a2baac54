//! Checks everything on standard input, record by record, in bounded memory:
//! `cargo run --example check_stream < datasets/demo/quillmere.oar.jsonl`.

#![expect(clippy::print_stdout, reason = "an example prints its findings")]

use std::io;

use open_aligner_record::rule::Level;
use open_aligner_record::{Checker, Findings};

fn main() -> io::Result<()> {
    let (mut checker, mut errors) = (Checker::new(), 0);
    let mut findings = Findings::new(io::stdin(), true, &mut checker)?;
    while let Some((record, finding)) = findings.next().transpose()? {
        errors += u64::from(finding.level == Level::Error);
        println!("record {record}: {}", finding.message());
    }
    println!("{} records, {errors} errors", findings.records());
    Ok(())
}
