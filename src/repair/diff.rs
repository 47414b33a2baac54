//! The changes of a repair as a unified diff (the format of POSIX `diff -u`), written while a file is read.

mod shortest;

use std::collections::VecDeque;
use std::io::{self, Write};

use super::file::Piece;
use crate::text::shown;
use shortest::{Step, steps};

/// Unchanged lines around a change.
const CONTEXT: usize = 3;
/// A larger hunk is ended, so that memory stays bounded; the next one continues where it ends.
const MOST_BYTES: usize = 1 << 20;

/// Writes the differences of one file.
pub struct Diff<'w> {
    out: &'w mut dyn Write,
    name: String,
    begun: bool,
    /// Lines of each file so far.
    told: (u64, u64),
    /// The last unchanged lines before the next change.
    before: VecDeque<Vec<u8>>,
    hunk: Hunk,
}

#[derive(Default)]
struct Hunk {
    /// Each line with its mark: `-`, `+` or space.
    lines: Vec<(u8, Vec<u8>)>,
    /// The lines before it in each file.
    start: (u64, u64),
    bytes: usize,
    /// Unchanged lines at its end.
    unchanged: usize,
}

impl<'w> Diff<'w> {
    /// A diff of the file with that name.
    pub fn new(name: &str, out: &'w mut dyn Write) -> Self {
        let name = name.to_owned();
        Self { out, name, begun: false, told: (0, 0), before: VecDeque::new(), hunk: Hunk::default() }
    }

    /// The next piece of the file.
    ///
    /// # Errors
    /// When it cannot be written.
    pub fn piece(&mut self, piece: Piece<'_>) -> io::Result<()> {
        let lines =
            |text: &'_ [u8]| text.split_inclusive(|byte| *byte == b'\n').map(<[u8]>::to_vec).collect::<Vec<_>>();
        let (old, new) = (lines(piece.before), lines(piece.after));
        if piece.by_line && old.len() == new.len() {
            return old.iter().zip(&new).try_for_each(|(old, new)| self.pair(old, new));
        }
        for step in steps(&old, &new) {
            match step {
                Step::Same(at) => self.same(&old[at])?,
                Step::Gone(at) => self.changed(b'-', &old[at])?,
                Step::New(at) => self.changed(b'+', &new[at])?,
            }
        }
        Ok(())
    }

    fn pair(&mut self, old: &[u8], new: &[u8]) -> io::Result<()> {
        if old == new {
            return self.same(old);
        }
        self.changed(b'-', old)?;
        self.changed(b'+', new)
    }

    fn same(&mut self, line: &[u8]) -> io::Result<()> {
        if self.hunk.lines.is_empty() {
            self.before.push_back(line.to_vec());
            if self.before.len() > CONTEXT {
                self.before.pop_front();
            }
        } else {
            self.hunk.add(b' ', line);
            self.hunk.unchanged += 1;
        }
        self.told = (self.told.0 + 1, self.told.1 + 1);
        if self.hunk.unchanged > 2 * CONTEXT { self.end_hunk() } else { Ok(()) }
    }

    fn changed(&mut self, sign: u8, line: &[u8]) -> io::Result<()> {
        if self.hunk.lines.is_empty() {
            let before = self.before.len() as u64;
            self.hunk.start = (self.told.0 - before, self.told.1 - before);
            for line in std::mem::take(&mut self.before) {
                self.hunk.add(b' ', &line);
            }
        }
        self.hunk.add(sign, line);
        self.hunk.unchanged = 0;
        self.told = if sign == b'-' { (self.told.0 + 1, self.told.1) } else { (self.told.0, self.told.1 + 1) };
        // A line and its replacement stay in one hunk.
        if self.hunk.bytes > MOST_BYTES && sign == b'+' { self.end_hunk() } else { Ok(()) }
    }

    /// Ends the diff; returns whether there was any difference.
    ///
    /// # Errors
    /// When it cannot be written.
    pub fn end(mut self) -> io::Result<bool> {
        self.end_hunk()?;
        Ok(self.begun)
    }

    /// Writes the hunk; further unchanged lines are kept for the next one.
    fn end_hunk(&mut self) -> io::Result<()> {
        let mut hunk = std::mem::take(&mut self.hunk);
        if hunk.lines.is_empty() {
            return Ok(());
        }
        let more = hunk.unchanged.saturating_sub(CONTEXT);
        let rest = hunk.lines.split_off(hunk.lines.len() - more);
        self.before = rest.into_iter().map(|(_, line)| line).skip(more.saturating_sub(CONTEXT)).collect();
        if !std::mem::replace(&mut self.begun, true) {
            // A tab ends a name that contains spaces.
            let tab = if self.name.contains(' ') { "\t" } else { "" };
            write!(self.out, "--- {0}{tab}\n+++ {0}{tab}\n", quoted(&self.name))?;
        }
        hunk.write(self.out)
    }
}

/// A name as GNU diff and patch write it: unchanged, or in quotation marks with C escapes if it contains special characters.
/// `#` and non-ASCII characters, which may have no width, are then written as the octal bytes of UTF-8.
fn quoted(name: &str) -> String {
    if shown(name) == name && !name.contains(['"', '\\']) {
        return name.to_owned();
    }
    let escaped = |byte: u8| match byte {
        b'\n' => "\\n".to_owned(),
        b'\t' => "\\t".to_owned(),
        b'\r' => "\\r".to_owned(),
        b'"' | b'\\' => format!("\\{}", char::from(byte)),
        b' '..=b'"' | b'$'..=b'~' => char::from(byte).to_string(),
        _ => format!("\\{byte:03o}"),
    };
    let inside: String = name.bytes().map(escaped).collect();
    format!("\"{inside}\"")
}

impl Hunk {
    fn add(&mut self, sign: u8, line: &[u8]) {
        self.bytes += line.len();
        self.lines.push((sign, line.to_vec()));
    }

    fn write(&self, out: &mut dyn Write) -> io::Result<()> {
        let count = |without: u8| self.lines.iter().filter(|(sign, _)| *sign != without).count() as u64;
        let range = |before: u64, count: u64| match count {
            0 => format!("{before},0"),
            1 => format!("{}", before + 1),
            _ => format!("{},{count}", before + 1),
        };
        let (old, new) = (range(self.start.0, count(b'+')), range(self.start.1, count(b'-')));
        writeln!(out, "@@ -{old} +{new} @@")?;
        for (sign, line) in &self.lines {
            out.write_all(&[*sign])?;
            out.write_all(line)?;
            if !line.ends_with(b"\n") {
                out.write_all(b"\n\\ No newline at end of file\n")?;
            }
        }
        Ok(())
    }
}
