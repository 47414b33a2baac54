//! The findings of one file, one after the other.
//!
//! A file is plain, or compressed with gzip or zstd; it holds one record, or one a line. Memory holds one piece of it. The
//! iterator reads on only when it is asked for more, so a caller that stops leaves the rest unread.

use std::io::{self, Read};
use std::path::Path;

use crate::check::checker::Checker;
use crate::check::cohort::Cohort;
use crate::check::finding::Finding;
use crate::check::work::{FileProgress, Remark, Work};
use crate::read::frames::Frames;
use crate::read::inputs::Input;
use crate::read::stream;

/// The frames of a file or reader.
pub(super) type Source<'r> = Frames<Box<dyn Read + 'r>>;

pub(super) fn open<'r>(path: &Path, checker: &Checker) -> io::Result<Source<'r>> {
    let input = Input::File(path.to_path_buf());
    Ok(Frames::new(stream::open(&input)?, input.says_lines(), checker.largest_record()))
}

pub(super) fn read<'r>(reader: impl Read + 'r, says_lines: bool, checker: &Checker) -> io::Result<Source<'r>> {
    Ok(Frames::new(stream::decompressed(reader)?, says_lines, checker.largest_record()))
}

/// The findings of a file in its order, each with the number of its record; 0 is the file as a whole. When the checker keeps
/// facts ([`Checker::with_facts`]), the records are compared with each other, and those findings come last.
///
/// ```
/// use open_aligner_record::{Checker, Findings, rule::Level};
///
/// let lines = b"{\"format\": \"open-aligner-record\"}\n{\"format\"\n".as_slice();
/// let mut checker = Checker::new();
/// let mut errors = Findings::new(lines, true, &mut checker)?
///     .filter(|found| found.as_ref().is_ok_and(|(_, finding)| finding.level == Level::Error));
/// // Only as much is read as the first error needs.
/// let (record, finding) = errors.next().expect("an error")?;
/// assert_eq!((record, finding.rule.name), (1, "missing_field"));
/// # Ok::<(), std::io::Error>(())
/// ```
pub struct Findings<'c, 'r> {
    checker: &'c mut Checker,
    source: Source<'r>,
    work: Work,
    told: FileProgress,
    cohort: Cohort,
    waiting: std::vec::IntoIter<(u64, Finding)>,
    ended: bool,
}

impl<'c, 'r> Findings<'c, 'r> {
    /// The findings of a file.
    ///
    /// # Errors
    /// When it cannot be opened.
    pub fn open(path: impl AsRef<Path>, checker: &'c mut Checker) -> io::Result<Self> {
        Ok(Self::of(open(path.as_ref(), checker)?, checker))
    }

    /// The findings of a reader, as [`Records::new`](crate::Records::new) takes it.
    ///
    /// # Errors
    /// When its first bytes cannot be read.
    pub fn new(reader: impl Read + 'r, says_lines: bool, checker: &'c mut Checker) -> io::Result<Self> {
        Ok(Self::of(read(reader, says_lines, checker)?, checker))
    }

    fn of(source: Source<'r>, checker: &'c mut Checker) -> Self {
        let cohort = Cohort::with_levels(checker.levels_in_files().clone());
        let (work, told, waiting) = (Work::default(), FileProgress::default(), Vec::new().into_iter());
        Self { checker, source, work, told, cohort, waiting, ended: false }
    }

    /// How many records were checked so far.
    pub fn records(&self) -> u64 {
        self.told.records
    }

    /// Checks the next piece.
    fn piece(&mut self) -> io::Result<()> {
        let mut found = Vec::new();
        self.ended = !self.work.take(&mut self.source)?;
        self.work.check(self.checker, None);
        self.told.gather("-", &self.work, &mut self.cohort);
        self.told.tell(&self.work, &mut |record, said| {
            if let Remark::Finding(finding) = said {
                found.push((record, finding.clone()));
            }
            Ok(())
        })?;
        if self.ended {
            found.extend(self.cohort.findings().map(|across| (across.record, across.finding)));
        }
        self.waiting = found.into_iter();
        Ok(())
    }
}

impl Iterator for Findings<'_, '_> {
    type Item = io::Result<(u64, Finding)>;

    fn next(&mut self) -> Option<Self::Item> {
        loop {
            match self.waiting.next() {
                None if self.ended => return None,
                None => {}
                found => return found.map(Ok),
            }
            if let Err(error) = self.piece() {
                self.ended = true;
                return Some(Err(error));
            }
        }
    }
}
