//! Whole files, record by record: memory holds a piece of the file, or one record if that is larger.

use std::io::{self, Read};

use super::{Fix, Fixes, Left, Repairer};
use crate::check::finding::Finding;
use crate::check::partial::Partial;
use crate::check::work::{FileProgress, Remark, Work};
use crate::json::layout::Form;
use crate::read::frames::{Frame, Frames, Layout};
use crate::read::stream::decompressed;

/// The byte order mark of UTF-8.
const MARK: &[u8] = &[0xef, 0xbb, 0xbf];

/// A piece of a file before and after its repair.
#[derive(Clone, Copy, Debug)]
pub struct RepairedPiece<'a> {
    /// The original bytes.
    pub before: &'a [u8],
    /// The repaired bytes.
    pub after: &'a [u8],
    /// Whether each line of one corresponds to the same line of the other, as in JSON Lines.
    pub by_line: bool,
}

/// The events of a repair, in the order of the file.
pub trait Watcher {
    /// The next piece of the file, including pieces without changes.
    ///
    /// # Errors
    /// The errors of the watcher; they end the repair.
    fn piece(&mut self, piece: RepairedPiece<'_>) -> io::Result<()>;

    /// Something in record `record`, counted from 1, was deliberately not changed.
    ///
    /// # Errors
    /// The errors of the watcher; they end the repair.
    fn left(&mut self, record: u64, left: &Left) -> io::Result<()>;

    /// A finding in the repaired record `record`; 0 is the file as a whole.
    ///
    /// # Errors
    /// The errors of the watcher; they end the repair.
    fn finding(&mut self, record: u64, finding: &Finding) -> io::Result<()>;

    /// The repaired record `record` could be checked only in part.
    ///
    /// # Errors
    /// The errors of the watcher; they end the repair.
    fn partial(&mut self, _record: u64, _partial: &Partial) -> io::Result<()> {
        Ok(())
    }
}

/// The totals of the repair of a file.
#[derive(Clone, Debug, Default, PartialEq, Eq)]
#[non_exhaustive]
pub struct FileOutcome {
    /// Records in the file.
    pub records: u64,
    /// Records that were fixed.
    pub fixed_records: u64,
    /// Records of the repaired file with findings.
    pub with_findings: u64,
    /// Bytes of the repaired file, before compression.
    pub bytes: u64,
    /// What was fixed.
    pub fixes: Fixes,
}

/// Repairs everything in `reader`, which may be compressed. With `lay_out`, records are also formatted. `says_lines` means
/// that the name of the file promises one record per line.
///
/// # Errors
/// When reading fails, when the file is truncated or not UTF-8, or when a record is too large: the watcher has then not
/// received the whole file.
pub fn repair_reader<R: Read + 'static>(
    reader: R,
    says_lines: bool,
    lay_out: bool,
    repairer: &mut Repairer,
    watcher: &mut dyn Watcher,
) -> io::Result<FileOutcome> {
    let mut frames = Frames::new(decompressed(reader)?, says_lines, repairer.checker.largest_record());
    let (mut told, mut work, mut outcome) = (FileProgress::default(), Work::default(), FileOutcome::default());
    let mut before = Vec::new();
    loop {
        let more = work.take(&mut frames)?;
        if let Some(why) = work.repair_refusal() {
            return Err(io::Error::new(io::ErrorKind::InvalidData, why));
        }
        before.clear();
        if work.take_byte_order_mark() {
            before.extend_from_slice(MARK);
            *outcome.fixes.entry(Fix::ByteOrderMark).or_default() += 1;
        }
        let frame = work.frame_mut();
        before.extend_from_slice(&frame.bytes);
        let lines = frame.layout == Layout::Lines;
        let mut piece = Fixing { repairer: &mut *repairer, lay_out, first: told.records, outcome: &mut outcome };
        if lines {
            piece.lines(frame, watcher)?;
        } else {
            piece.document(frame, watcher)?;
        }
        watcher.piece(RepairedPiece { before: &before, after: work.text(), by_line: lines })?;
        work.check(&mut repairer.checker, None);
        told.tell(&work, &mut |record, said| match said {
            Remark::Finding(finding) => watcher.finding(record, finding),
            Remark::Partial(partial) => watcher.partial(record, partial),
        })?;
        if !more {
            (outcome.records, outcome.with_findings, outcome.bytes) = (told.records, told.with_findings, told.bytes);
            return Ok(outcome);
        }
    }
}

/// The repair of one piece.
struct Fixing<'a> {
    repairer: &'a mut Repairer,
    lay_out: bool,
    /// Records that came before.
    first: u64,
    outcome: &'a mut FileOutcome,
}

impl Fixing<'_> {
    fn document(&mut self, frame: &mut Frame, watcher: &mut dyn Watcher) -> io::Result<()> {
        self.repairer.lay_out(self.lay_out.then_some(Form::Lines));
        if let Some(text) = self.record(&frame.bytes, self.first + 1, watcher)? {
            frame.bytes = text;
        }
        Ok(())
    }

    fn lines(&mut self, frame: &mut Frame, watcher: &mut dyn Watcher) -> io::Result<()> {
        self.repairer.lay_out(self.lay_out.then_some(Form::Compact));
        let mut after = Vec::with_capacity(frame.bytes.len());
        let mut record = self.first;
        for line in frame.bytes.split_inclusive(|byte| *byte == b'\n') {
            let inside = line.trim_ascii();
            if inside.is_empty() {
                after.extend_from_slice(line);
                continue;
            }
            record += 1;
            let text = self.record(inside, record, watcher)?;
            let start = line.len() - line.trim_ascii_start().len();
            if self.lay_out && serde_json::from_slice::<serde::de::IgnoredAny>(inside).is_ok() {
                after.extend_from_slice(text.as_deref().unwrap_or(inside));
                after.push(b'\n');
                let spaced = line.len() != inside.len() + 1 || !line.ends_with(b"\n");
                self.count_space(spaced && text.is_none());
            } else {
                after.extend_from_slice(&line[..start]);
                after.extend_from_slice(text.as_deref().unwrap_or(inside));
                after.extend_from_slice(&line[start + inside.len()..]);
            }
        }
        frame.bytes = after;
        frame.ends_open &= !frame.bytes.ends_with(b"\n");
        Ok(())
    }

    /// Counts a line in which only the space around the record changed.
    fn count_space(&mut self, changed: bool) {
        if changed {
            *self.outcome.fixes.entry(Fix::Layout).or_default() += 1;
            self.outcome.fixed_records += 1;
        }
    }

    /// The repaired text of a record, if it differs.
    fn record(&mut self, text: &[u8], record: u64, watcher: &mut dyn Watcher) -> io::Result<Option<Vec<u8>>> {
        let repaired = self.repairer.record(text);
        repaired.left.iter().try_for_each(|left| watcher.left(record, left))?;
        for (fix, count) in repaired.fixes {
            *self.outcome.fixes.entry(fix).or_default() += count;
        }
        self.outcome.fixed_records += u64::from(repaired.text.is_some());
        Ok(repaired.text)
    }
}
