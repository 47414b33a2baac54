//! Writes cohorts as bytes: in parallel, in order.
//!
//! Patients are made in chunks of a few; workers take the next chunk, and one writer puts them in order. At most a few chunks wait
//! for each worker, so memory does not grow with the cohort, and the bytes do not depend on the number of workers.

use std::fmt;
use std::io::{self, Write};
use std::panic::resume_unwind;
use std::path::Path;
use std::sync::{Condvar, Mutex, MutexGuard, PoisonError};
use std::thread::{Builder, ScopedJoinHandle};

use oar_schema::record::Record;

use crate::cohort::SyntheticCohort;
use crate::key::Truth;

/// Patients in a chunk.
const CHUNK: u64 = 16;
/// Pieces that may wait for each worker.
const WAITING: u64 = 3;
/// The compression level of zstd: fast, and smaller than gzip at its default.
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
            Self::Gzip => {
                let mut packed = flate2::write::GzEncoder::new(Vec::new(), flate2::Compression::default());
                packed.write_all(&bytes)?;
                packed.finish()
            }
            Self::Zstd => zstd::bulk::compress(&bytes, ZSTD_LEVEL),
        }
    }
}

/// Why a cohort could not be written.
#[derive(Debug)]
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
    /// How records are packed; none when they are to be cut apart.
    pub records: Compression,
    /// How the key is packed, if it is asked for.
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
    let threads = threads.clamp(1, chunks.max(1) as usize);
    let make_at = |chunk: u64, sum: &mut S| {
        let span = (from + chunk * CHUNK, to.min(from + (chunk + 1) * CHUNK));
        make(cohort, span, options, |record, truth| look(sum, record, truth))
    };
    let alone = |take: &mut dyn FnMut(Chunk) -> io::Result<()>| {
        let mut sum = S::default();
        (0..chunks).try_for_each(|chunk| take(make_at(chunk, &mut sum)?))?;
        Ok(vec![sum])
    };
    if threads == 1 {
        return alone(&mut take);
    }
    let desk = Desk::new(chunks, WAITING * threads as u64);
    std::thread::scope(|scope| {
        let work = || {
            let mut sum = S::default();
            while let Some(chunk) = desk.next() {
                desk.put(chunk, make_at(chunk, &mut sum));
            }
            sum
        };
        // The system may refuse a thread because of its limits of processes or memory.
        let start = |_| Builder::new().spawn_scoped(scope, work).ok();
        let workers: Vec<_> = (0..threads).map_while(start).collect();
        if workers.is_empty() {
            return alone(&mut take);
        }
        let done = (0..chunks).try_for_each(|chunk| take(desk.get(chunk)?));
        desk.close();
        let join = |worker: ScopedJoinHandle<'_, S>| worker.join().unwrap_or_else(|panic| resume_unwind(panic));
        let sums = workers.into_iter().map(join).collect();
        done.map(|()| sums)
    })
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

/// Where chunks wait for their turn.
struct Desk {
    state: Mutex<DeskState>,
    changed: Condvar,
    chunks: u64,
    ahead: u64,
}

struct DeskState {
    next: u64,
    written: u64,
    ready: std::collections::BTreeMap<u64, io::Result<Chunk>>,
    closed: bool,
}

impl Desk {
    fn new(chunks: u64, ahead: u64) -> Self {
        let state = DeskState { next: 0, written: 0, ready: std::collections::BTreeMap::new(), closed: false };
        Self { state: Mutex::new(state), changed: Condvar::new(), chunks, ahead }
    }

    fn lock(&self) -> MutexGuard<'_, DeskState> {
        self.state.lock().unwrap_or_else(PoisonError::into_inner)
    }

    fn wait<'g>(&self, guard: MutexGuard<'g, DeskState>) -> MutexGuard<'g, DeskState> {
        self.changed.wait(guard).unwrap_or_else(PoisonError::into_inner)
    }

    /// The next chunk to be made, once the writer is near enough.
    fn next(&self) -> Option<u64> {
        let mut state = self.lock();
        while !state.closed && state.next < self.chunks && state.next >= state.written + self.ahead {
            state = self.wait(state);
        }
        (!state.closed && state.next < self.chunks).then(|| {
            state.next += 1;
            state.next - 1
        })
    }

    fn put(&self, chunk: u64, made: io::Result<Chunk>) {
        self.lock().ready.insert(chunk, made);
        self.changed.notify_all();
    }

    fn get(&self, chunk: u64) -> io::Result<Chunk> {
        let mut state = self.lock();
        loop {
            if let Some(made) = state.ready.remove(&chunk) {
                state.written = chunk + 1;
                self.changed.notify_all();
                return made;
            }
            state = self.wait(state);
        }
    }

    fn close(&self) {
        self.lock().closed = true;
        self.changed.notify_all();
    }
}
