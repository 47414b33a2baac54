//! Cohorts into files: in parallel, in order, whole or not at all.
//!
//! Patients are made in pieces of a few; workers take the next piece, and one writer puts them in order. At most a few pieces wait
//! for each worker, so memory does not grow with the cohort, and the bytes do not depend on the number of workers.

use std::fmt;
use std::io::{self, Write};
use std::path::{Path, PathBuf};
use std::sync::{Condvar, Mutex, MutexGuard, PoisonError};

use crate::cohort::Cohort;

/// Patients in a piece.
const PIECE: u64 = 16;
/// Pieces that may wait for each worker.
const WAITING: u64 = 3;
/// How hard zstd tries: quick, and smaller than gzip at its usual.
const ZSTD_LEVEL: i32 = 3;

/// How bytes are written.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Packing {
    /// As they are.
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

/// Cohorts could not be written.
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
    /// Where each record ends in `records`, before packing.
    pub ends: Vec<End>,
    /// The key, one line a record; empty when nobody asked for it.
    pub key: Vec<u8>,
}

/// The end of a record in a piece.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct End {
    /// The number of the patient.
    pub patient: u64,
    /// Which of the patient's records it is: 0, or 1 and on for those that a planted fault added.
    pub record: u64,
    /// The bytes of the piece up to and with it.
    pub at: usize,
}

/// What to make of the pieces.
#[derive(Clone, Copy, Debug)]
pub struct Form {
    /// How records are packed; none when they are to be cut apart.
    pub records: Packing,
    /// How the key is packed, if it is asked for.
    pub key: Option<Packing>,
}

/// Makes the patients `from..to` on some threads and gives their pieces to `take`, in order.
///
/// # Errors
/// The first error of `take`, or of packing.
pub fn each_piece(
    cohort: &Cohort,
    (from, to): (u64, u64),
    form: Form,
    threads: usize,
    mut take: impl FnMut(Piece) -> io::Result<()>,
) -> io::Result<()> {
    let pieces = (to.saturating_sub(from)).div_ceil(PIECE);
    let threads = threads.clamp(1, pieces.max(1) as usize);
    let make_at = |piece: u64| make(cohort, (from + piece * PIECE, to.min(from + (piece + 1) * PIECE)), form);
    if threads == 1 {
        return (0..pieces).try_for_each(|piece| take(make_at(piece)?));
    }
    let desk = Desk::new(pieces, WAITING * threads as u64);
    std::thread::scope(|scope| {
        for _ in 0..threads {
            scope.spawn(|| {
                while let Some(piece) = desk.next() {
                    desk.put(piece, make_at(piece));
                }
            });
        }
        let done = (0..pieces).try_for_each(|piece| take(desk.get(piece)?));
        desk.close();
        done
    })
}

fn make(cohort: &Cohort, (from, to): (u64, u64), form: Form) -> io::Result<Piece> {
    let mut piece = Piece { count: to - from, records: Vec::new(), ends: Vec::new(), key: Vec::new() };
    for index in from..to {
        let written = cohort.written(index)?;
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

    /// The next piece to be made, once the writer is near enough.
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

/// A file that appears under its name only when it is whole. Until then its bytes are in a file beside it, whose name ends
/// in `.partial`; it is taken away when the file is dropped before it is done.
pub struct WholeFile {
    path: PathBuf,
    partial: PathBuf,
    file: Option<io::BufWriter<std::fs::File>>,
}

impl WholeFile {
    /// Begins a file. What an interrupted run left beside it is written over.
    ///
    /// # Errors
    /// When the folder is not there or cannot be written to.
    pub fn begin(path: &Path) -> io::Result<Self> {
        let partial = Self::partial(path);
        let file = io::BufWriter::with_capacity(1 << 16, std::fs::File::create(&partial)?);
        Ok(Self { path: path.to_owned(), partial, file: Some(file) })
    }

    /// The name under which the bytes of a file are gathered.
    pub fn partial(path: &Path) -> PathBuf {
        let mut name = path.file_name().unwrap_or_default().to_owned();
        name.push(".partial");
        path.with_file_name(name)
    }

    /// Gives the file its name.
    ///
    /// # Errors
    /// When the last bytes cannot be written, or the name not be given.
    pub fn finish(mut self) -> io::Result<()> {
        let Some(file) = self.file.take() else { return Ok(()) };
        let file = file.into_inner().map_err(io::IntoInnerError::into_error)?;
        file.sync_all()?;
        std::fs::rename(&self.partial, &self.path)
    }
}

impl Write for WholeFile {
    fn write(&mut self, bytes: &[u8]) -> io::Result<usize> {
        self.file.as_mut().map_or(Ok(0), |file| file.write(bytes))
    }

    fn flush(&mut self) -> io::Result<()> {
        self.file.as_mut().map_or(Ok(()), Write::flush)
    }
}

impl Drop for WholeFile {
    fn drop(&mut self) {
        if self.file.take().is_some() {
            drop(std::fs::remove_file(&self.partial));
        }
    }
}
