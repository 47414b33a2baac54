//! Writes cohorts as bytes: in parallel, in order.
//!
//! Patients are made in small pieces; workers take the next piece, and one writer puts them in order. At most a few pieces
//! wait for each worker, so memory does not grow with the cohort, and the bytes do not depend on the number of workers.

use std::fmt;
use std::io::{self, Write};
use std::panic::resume_unwind;
use std::path::Path;
use std::sync::{Condvar, Mutex, MutexGuard, PoisonError};
use std::thread::{Builder, ScopedJoinHandle};

use oar_schema::record::Record;

use crate::cohort::Cohort;
use crate::key::Truth;

/// Patients in a piece.
const PIECE: u64 = 16;
/// Pieces that may wait for each worker.
const WAITING: u64 = 3;
/// The compression level of zstd: fast, and smaller than gzip at its default.
const ZSTD_LEVEL: i32 = 3;

/// The compression of the output.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Packing {
    /// None.
    Plain,
    /// As gzip members, one for each piece.
    Gzip,
    /// As zstd frames, one for each piece.
    Zstd,
}

impl Packing {
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

/// Patients in order: a piece of records, and of lines of the answer key.
pub struct Piece {
    /// How many patients.
    pub count: u64,
    /// The records, one a line.
    pub records: Vec<u8>,
    /// Where each record ends in `records`, before compression.
    pub ends: Vec<End>,
    /// The key, one line per record; empty when it is not requested.
    pub key: Vec<u8>,
}

/// The end of a record in a piece.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct End {
    /// The number of the patient.
    pub patient: u64,
    /// Which of the patient's records it is: 0, or 1 and up for those that a planted fault added.
    pub record: u64,
    /// The bytes of the piece up to and including it.
    pub at: usize,
}

/// The output of the pieces.
#[derive(Clone, Copy, Debug)]
pub struct Form {
    /// The compression of records; none when they are written separately.
    pub records: Packing,
    /// The compression of the key, if it is requested.
    pub key: Option<Packing>,
}

/// Makes the patients `from..to` on some threads, fewer when the system gives fewer, and passes their pieces to `take`, in order.
///
/// # Errors
/// The first error of `take`, or of compression.
pub fn each_piece(
    cohort: &Cohort,
    span: (u64, u64),
    form: Form,
    threads: usize,
    take: impl FnMut(Piece) -> io::Result<()>,
) -> io::Result<()> {
    each_piece_seen(cohort, span, form, threads, |(): &mut (), _, _| {}, take).map(drop)
}

/// The same, and calls `look` for each patient with the record without faults and the truth behind it. Each thread adds to its
/// own sum, and the patients in each sum differ from run to run.
///
/// # Errors
/// The first error of `take`, or of compression.
pub fn each_piece_seen<S: Default + Send>(
    cohort: &Cohort,
    (from, to): (u64, u64),
    form: Form,
    threads: usize,
    look: impl Fn(&mut S, &Record, &Truth) + Sync,
    mut take: impl FnMut(Piece) -> io::Result<()>,
) -> io::Result<Vec<S>> {
    let pieces = (to.saturating_sub(from)).div_ceil(PIECE);
    let threads = threads.clamp(1, pieces.max(1) as usize);
    let make_at = |piece: u64, sum: &mut S| {
        let span = (from + piece * PIECE, to.min(from + (piece + 1) * PIECE));
        make(cohort, span, form, |record, truth| look(sum, record, truth))
    };
    let alone = |take: &mut dyn FnMut(Piece) -> io::Result<()>| {
        let mut sum = S::default();
        (0..pieces).try_for_each(|piece| take(make_at(piece, &mut sum)?))?;
        Ok(vec![sum])
    };
    if threads == 1 {
        return alone(&mut take);
    }
    let desk = Desk::new(pieces, WAITING * threads as u64);
    std::thread::scope(|scope| {
        let work = || {
            let mut sum = S::default();
            while let Some(piece) = desk.next() {
                desk.put(piece, make_at(piece, &mut sum));
            }
            sum
        };
        // The system may refuse a thread because of its limits of processes or memory.
        let start = |_| Builder::new().spawn_scoped(scope, work).ok();
        let workers: Vec<_> = (0..threads).map_while(start).collect();
        if workers.is_empty() {
            return alone(&mut take);
        }
        let done = (0..pieces).try_for_each(|piece| take(desk.get(piece)?));
        desk.close();
        let join = |worker: ScopedJoinHandle<'_, S>| worker.join().unwrap_or_else(|panic| resume_unwind(panic));
        let sums = workers.into_iter().map(join).collect();
        done.map(|()| sums)
    })
}

fn make(
    cohort: &Cohort,
    (from, to): (u64, u64),
    form: Form,
    mut look: impl FnMut(&Record, &Truth),
) -> io::Result<Piece> {
    let mut piece = Piece { count: to - from, records: Vec::new(), ends: Vec::new(), key: Vec::new() };
    for index in from..to {
        let written = cohort.written_and_seen(index, &mut look)?;
        for (record, text) in (0..).zip(&written.texts) {
            piece.records.extend_from_slice(text);
            piece.records.push(b'\n');
            piece.ends.push(End { patient: index, record, at: piece.records.len() });
        }
        if form.key.is_some() {
            serde_json::to_writer(&mut piece.key, &written.truth)?;
            piece.key.push(b'\n');
        }
    }
    piece.records = form.records.pack(piece.records)?;
    if let Some(packing) = form.key {
        piece.key = packing.pack(piece.key)?;
    }
    Ok(piece)
}

/// Where pieces wait for their turn.
struct Desk {
    state: Mutex<State>,
    changed: Condvar,
    pieces: u64,
    ahead: u64,
}

struct State {
    next: u64,
    written: u64,
    ready: std::collections::BTreeMap<u64, io::Result<Piece>>,
    closed: bool,
}

impl Desk {
    fn new(pieces: u64, ahead: u64) -> Self {
        let state = State { next: 0, written: 0, ready: std::collections::BTreeMap::new(), closed: false };
        Self { state: Mutex::new(state), changed: Condvar::new(), pieces, ahead }
    }

    fn lock(&self) -> MutexGuard<'_, State> {
        self.state.lock().unwrap_or_else(PoisonError::into_inner)
    }

    fn wait<'g>(&self, guard: MutexGuard<'g, State>) -> MutexGuard<'g, State> {
        self.changed.wait(guard).unwrap_or_else(PoisonError::into_inner)
    }

    /// The next piece to be made, once the writer is close enough.
    fn next(&self) -> Option<u64> {
        let mut state = self.lock();
        while !state.closed && state.next < self.pieces && state.next >= state.written + self.ahead {
            state = self.wait(state);
        }
        (!state.closed && state.next < self.pieces).then(|| {
            state.next += 1;
            state.next - 1
        })
    }

    fn put(&self, piece: u64, made: io::Result<Piece>) {
        self.lock().ready.insert(piece, made);
        self.changed.notify_all();
    }

    fn get(&self, piece: u64) -> io::Result<Piece> {
        let mut state = self.lock();
        loop {
            if let Some(made) = state.ready.remove(&piece) {
                state.written = piece + 1;
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
