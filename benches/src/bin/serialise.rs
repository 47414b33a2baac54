//! What `oar generate` is measured against: records of a cohort, held in memory, are written as JSON to nowhere.
//!
//! `serialise PATIENTS [ROUNDS]` prints the nanoseconds of processor time that one round takes, and its bytes.
//! `serialise PATIENTS 0` makes the records and stops, so that the difference of two counts of instructions is what
//! serialising takes.

use std::io::{self, Write};

use oar_generators::cohort::SyntheticCohort;
use oar_generators::recipe::Recipe;

/// Counts bytes and throws them away.
struct Nowhere(u64);

impl Write for Nowhere {
    fn write(&mut self, bytes: &[u8]) -> io::Result<usize> {
        self.0 += bytes.len() as u64;
        Ok(bytes.len())
    }

    fn flush(&mut self) -> io::Result<()> {
        Ok(())
    }
}

/// Nanoseconds that this process was on a processor (Linux).
fn on_processor() -> u64 {
    let told = std::fs::read_to_string("/proc/self/schedstat").expect("Linux tells it");
    told.split(' ').next().and_then(|number| number.parse().ok()).expect("a number comes first")
}

fn main() {
    let mut arguments = std::env::args().skip(1).map(|text| text.parse::<u64>().expect("a number"));
    let patients = arguments.next().expect("how many patients");
    let rounds = arguments.next().unwrap_or(10);
    let cohort = SyntheticCohort::new(Recipe::load("general", &[]).expect("it comes with the generator"), 1);
    let records: Vec<_> = (0..patients).map(|index| cohort.patient(index).0).collect();
    let (mut nowhere, begun) = (Nowhere(0), on_processor());
    for record in (0..rounds).flat_map(|_| &records) {
        serde_json::to_writer(&mut nowhere, record).expect("records can be written");
        nowhere.write_all(b"\n").expect("nothing is kept");
    }
    println!("{} {}", (on_processor() - begun) / rounds.max(1), nowhere.0 / rounds.max(1));
}
