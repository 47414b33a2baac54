//! Checks the bytes of one record and prints the findings: `cargo run --example check_bytes FILE`.

#![expect(clippy::print_stdout, reason = "an example prints its findings")]

use std::error::Error;

use open_aligner_record::Checker;

fn main() -> Result<(), Box<dyn Error>> {
    let path = std::env::args().nth(1).unwrap_or_else(|| "tests/base.oar.json".to_owned());
    let bytes = std::fs::read(&path)?;
    let mut checker = Checker::new().without_excerpts();
    if checker.is_clean(&bytes) {
        println!("{path}: nothing to report");
    }
    for finding in checker.check(&bytes) {
        let place = &finding.place;
        println!("{path}:{}:{} {}", place.line, place.column, finding.message());
        if let Some(help) = finding.help() {
            println!("  {help}");
        }
    }
    Ok(())
}
