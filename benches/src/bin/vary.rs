//! Makes a large JSON Lines file out of a small one by repeating its records and varying what can vary without making
//! them wrong: ids, minutes, gaps, widths, movements, years of birth.
//!
//! `vary IN.oar.jsonl OUT.oar.jsonl MEGABYTES`

use std::fs::{File, read_to_string};
use std::io::{self, BufWriter, Write};

use oar_schema::number::Hundredths;
use oar_schema::record::Record;

/// A small generator of numbers (SplitMix64, Steele, Lea and Flood 2014), enough to vary data.
struct Numbers(u64);

impl Numbers {
    fn below(&mut self, end: u64) -> u64 {
        self.0 = self.0.wrapping_add(0x9e37_79b9_7f4a_7c15);
        let mut mixed = self.0;
        mixed = (mixed ^ mixed >> 30).wrapping_mul(0xbf58_476d_1ce4_e5b9);
        mixed = (mixed ^ mixed >> 27).wrapping_mul(0x94d0_49bb_1331_11eb);
        (mixed ^ mixed >> 31) % end
    }

    /// A value at most so far below `value`, on its side of zero.
    fn below_size(&mut self, value: &mut Hundredths, most: u64) {
        let less = self.below(most + 1).min(value.0.unsigned_abs().saturating_sub(1).into()) as i32;
        value.0 -= value.0.signum() * less;
    }
}

fn vary(record: &mut Record, number: u64, numbers: &mut Numbers) {
    record.id.0 = format!("QM-{number:07}");
    record.patient.id.0 = format!("P-{number:07}");
    if record.dentition.primary.is_none() {
        record.patient.birth_year -= numbers.below(15) as i32;
    }
    for day in record.wear_log.iter_mut().flatten().filter(|day| day.minutes > 60 && day.minutes < 1380) {
        day.minutes -= numbers.below(30) as i32;
    }
    for movement in record.series.iter_mut().flat_map(|series| &mut series.movements) {
        let axes = [&mut movement.mesial_mm, &mut movement.facial_mm, &mut movement.occlusal_mm];
        axes.into_iter().flatten().for_each(|value| numbers.below_size(value, 3));
        [&mut movement.rotation_deg, &mut movement.tip_deg]
            .into_iter()
            .flatten()
            .for_each(|value| numbers.below_size(value, 40));
    }
    for gap in record.check_ins.iter_mut().flatten().flat_map(|check_in| check_in.fit_gaps.iter_mut().flatten()) {
        numbers.below_size(&mut gap.gap_mm, 3);
    }
}

fn main() -> io::Result<()> {
    let arguments: Vec<String> = std::env::args().collect();
    let [_, from, to, megabytes] = &arguments[..] else {
        return Err(io::Error::other("vary IN.oar.jsonl OUT.oar.jsonl MEGABYTES"));
    };
    let wanted: u64 = megabytes.parse::<u64>().map_err(io::Error::other)? * 1_000_000;
    let records: Result<Vec<Record>, _> = read_to_string(from)?.lines().map(serde_json::from_str).collect();
    let records = records?;
    let mut out = BufWriter::new(File::create(to)?);
    let (mut numbers, mut number, mut written) = (Numbers(7), 0u64, 0u64);
    while written < wanted {
        let mut record = records[number as usize % records.len()].clone();
        vary(&mut record, number, &mut numbers);
        let mut line = serde_json::to_vec(&record)?;
        line.push(b'\n');
        out.write_all(&line)?;
        written += line.len() as u64;
        number += 1;
    }
    println!("{number} records, {written} bytes");
    out.flush()
}
