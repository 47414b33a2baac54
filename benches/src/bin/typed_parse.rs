//! Reads a JSON Lines file in blocks and parses every record into its type with sonic-rs: nothing else.
//! It is the yardstick for the full check.

use std::fs::File;
use std::io::{self, Read};

use oar_schema::record::Record;

const BLOCK: usize = 1 << 20;

fn main() -> io::Result<()> {
    let path = std::env::args().nth(1).expect("a JSON Lines file");
    let mut file = File::open(path)?;
    let (mut held, mut records): (Vec<u8>, u64) = (Vec::new(), 0);
    loop {
        let read = file.by_ref().take(BLOCK as u64).read_to_end(&mut held)?;
        let end = memchr::memrchr(b'\n', &held).map_or(0, |at| at + 1);
        let mut rest = &held[..end];
        while let Some(at) = memchr::memchr(b'\n', rest) {
            let record: Record = sonic_rs::from_slice(&rest[..at]).expect("a valid record");
            records += u64::from(!std::hint::black_box(record).id.0.is_empty());
            rest = &rest[at + 1..];
        }
        held.drain(..end);
        if read == 0 {
            break;
        }
    }
    println!("{records} records");
    Ok(())
}
