//! Writes cohorts as bytes: in parallel, in order.
//!
//! Patients are made in chunks of a few, by an ordered [`pipeline`]: memory does not grow with the cohort, and the bytes do
//! not depend on the number of threads.

use std::path::Path;
use std::{fmt, io};

use oar_schema::pipeline;
use oar_schema::record::Record;

use crate::cohort::SyntheticCohort;
use crate::key::Truth;

/// Patients in a chunk.
const CHUNK: u64 = 16;
/// The compression level of zstd: fast, and smaller than gzip at its default.
#[cfg(feature = "zstd")]
const ZSTD_LEVEL: i32 = 3;

/// How bytes are compressed.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Compression {
    /// As they are.
    Plain,
    /// As gzip members, one for each chunk.
    Gzip,
    /// As zstd frames, one for each chunk.
    Zstd,
}

impl Compression {
    /// By the ending of a file's name.
    pub fn of(path: &Path) -> Self {
        match path.extension().and_then(|ending| ending.to_str()) {
            Some("gz") => Self::Gzip,
            Some("zst") => Self::Zstd,
            _ => Self::Plain,
        }
    }

    fn pack(self, bytes: Vec<u8>) -> io::Result<Vec<u8>> {
        match self {
            Self::Plain => Ok(bytes),
            #[cfg(feature = "gzip")]
            Self::Gzip => {
                let mut packed = flate2::write::GzEncoder::new(Vec::new(), flate2::Compression::default());
                io::Write::write_all(&mut packed, &bytes)?;
                packed.finish()
            }
            #[cfg(feature = "zstd")]
            Self::Zstd => zstd::bulk::compress(&bytes, ZSTD_LEVEL),
            #[cfg(not(all(feature = "gzip", feature = "zstd")))]
            _ => Err(io::Error::new(io::ErrorKind::Unsupported, "this build does not compress files in this way")),
        }
    }
}

/// Why a cohort could not be written.
#[derive(Debug)]
#[non_exhaustive]
pub struct OutputError {
    /// What could not be written.
    pub what: String,
    /// Why.
    pub source: io::Error,
}

impl fmt::Display for OutputError {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        write!(f, "{} cannot be written: {}", self.what, self.source)
    }
}

impl std::error::Error for OutputError {
    fn source(&self) -> Option<&(dyn std::error::Error + 'static)> {
        Some(&self.source)
    }
}

/// Patients in order: a chunk of records, and of lines of the answer key.
#[derive(Default)]
pub struct Chunk {
    /// How many patients.
    pub count: u64,
    /// The records, one a line.
    pub records: Vec<u8>,
    /// Where each record ends in `records`, before compression.
    pub ends: Vec<End>,
    /// The key, one line per record; empty when it is not requested.
    pub key: Vec<u8>,
}

/// The end of a record in a chunk.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct End {
    /// The number of the patient.
    pub patient: u64,
    /// Which of the patient's records it is: 0, or 1 and up for those that a planted fault added.
    pub record: u64,
    /// The bytes of the chunk up to and with it.
    pub at: usize,
}

/// What to make of the chunks.
#[derive(Clone, Copy, Debug)]
pub struct OutputOptions {
    /// The compression of records; none when they are written separately.
    pub records: Compression,
    /// The compression of the key, if it is requested.
    pub key: Option<Compression>,
}

/// Makes the patients `from..to` on some threads, fewer when the system gives fewer, and gives their chunks to `take`, in order.
///
/// # Errors
/// The first error of `take`, or of packing.
pub fn each_chunk(
    cohort: &SyntheticCohort,
    span: (u64, u64),
    options: OutputOptions,
    threads: usize,
    take: impl FnMut(Chunk) -> io::Result<()>,
) -> io::Result<()> {
    each_chunk_with(cohort, span, options, threads, |(): &mut (), _, _| {}, take).map(drop)
}

/// The same, and calls `look` for each patient with the record without faults and the truth behind it. Each thread adds to its
/// own sum, and the patients in each sum differ from run to run.
///
/// # Errors
/// The first error of `take`, or of packing.
pub fn each_chunk_with<S: Default + Send>(
    cohort: &SyntheticCohort,
    (from, to): (u64, u64),
    options: OutputOptions,
    threads: usize,
    look: impl Fn(&mut S, &Record, &Truth) + Sync,
    mut take: impl FnMut(Chunk) -> io::Result<()>,
) -> io::Result<Vec<S>> {
    let chunks = (to.saturating_sub(from)).div_ceil(CHUNK);
    let threads = threads.min(chunks as usize);
    let mut starts = (from..to).step_by(CHUNK as usize);
    let fill = |slot: &mut Slot| {
        starts.next().is_some_and(|start| {
            slot.span = (start, to.min(start.saturating_add(CHUNK)));
            true
        })
    };
    let work = |sum: &mut S, slot: &mut Slot| {
        slot.made = make(cohort, slot.span, options, |record, truth| look(sum, record, truth));
    };
    pipeline::run(threads, fill, S::default, work, |slot| {
        take(std::mem::replace(&mut slot.made, Ok(Chunk::default()))?)
    })
}

/// The patients of a chunk, and what was made of them.
struct Slot {
    span: (u64, u64),
    made: io::Result<Chunk>,
}

impl Default for Slot {
    fn default() -> Self {
        Self { span: (0, 0), made: Ok(Chunk::default()) }
    }
}

fn make(
    cohort: &SyntheticCohort,
    (from, to): (u64, u64),
    options: OutputOptions,
    mut look: impl FnMut(&Record, &Truth),
) -> io::Result<Chunk> {
    let mut chunk = Chunk { count: to - from, records: Vec::new(), ends: Vec::new(), key: Vec::new() };
    for index in from..to {
        let written = cohort.written_and_seen(index, &mut look)?;
        for (record, text) in (0..).zip(&written.texts) {
            chunk.records.extend_from_slice(text);
            chunk.records.push(b'\n');
            chunk.ends.push(End { patient: index, record, at: chunk.records.len() });
        }
        if options.key.is_some() {
            serde_json::to_writer(&mut chunk.key, &written.truth)?;
            chunk.key.push(b'\n');
        }
    }
    chunk.records = options.records.pack(chunk.records)?;
    if let Some(packing) = options.key {
        chunk.key = packing.pack(chunk.key)?;
    }
    Ok(chunk)
}
