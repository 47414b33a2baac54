//! The changes of a repair as a unified diff (the format of POSIX `diff -u`), written while a file is read.

use std::collections::VecDeque;
use std::io::{self, Write};

use similar::{Algorithm, DiffTag, capture_diff_slices};

use super::file::RepairedPiece;
use crate::text::shown;

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
    pub fn piece(&mut self, piece: RepairedPiece<'_>) -> io::Result<()> {
        let (old, new) = (lines(piece.before), lines(piece.after));
        if piece.by_line && old.len() == new.len() {
            return old.iter().zip(&new).try_for_each(|(old, new)| self.pair(old, new));
        }
        self.lines(&old, &new)
    }

    /// Texts of several lines. Where they differ much, the search settles for a longer way, so that its work stays bounded.
    fn lines(&mut self, old: &[&[u8]], new: &[&[u8]]) -> io::Result<()> {
        for step in capture_diff_slices(Algorithm::Myers, old, new) {
            let (old, new) = (&old[step.old_range()], &new[step.new_range()]);
            if step.tag() == DiffTag::Equal {
                old.iter().try_for_each(|line| self.same(line))?;
            } else {
                old.iter().try_for_each(|line| self.changed(b'-', line))?;
                new.iter().try_for_each(|line| self.changed(b'+', line))?;
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

fn lines(text: &[u8]) -> Vec<&[u8]> {
    text.split_inclusive(|byte| *byte == b'\n').collect()
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

#[cfg(test)]
mod tests {
    use super::{Diff, RepairedPiece};

    /// The old and the new text that a diff of one piece speaks of, and how many lines change.
    fn followed(old: &str, new: &str) -> (String, String, usize) {
        let mut out = Vec::new();
        let mut diff = Diff::new("a", &mut out);
        diff.piece(RepairedPiece { before: old.as_bytes(), after: new.as_bytes(), by_line: false }).unwrap();
        diff.end().unwrap();
        let (mut before, mut after, mut changes) = (String::new(), String::new(), 0);
        for line in String::from_utf8(out).unwrap().split_inclusive('\n').skip(2) {
            let (sign, text) = line.split_at(1);
            if sign != "+" && sign != "@" {
                before.push_str(text);
            }
            if sign != "-" && sign != "@" {
                after.push_str(text);
            }
            changes += usize::from(sign == "+" || sign == "-");
        }
        (before, after, changes)
    }

    fn lines(letters: &str) -> String {
        letters.chars().flat_map(|letter| [letter, '\n']).collect()
    }

    /// Whether the letters between the first and the last change are those of the diff, and how many changes it has.
    fn changes(old: &str, new: &str) -> usize {
        let (old, new) = (lines(old), lines(new));
        let (before, after, changes) = followed(&old, &new);
        assert!(old.contains(&before) && new.contains(&after), "{old:?} {new:?}: {before:?} {after:?}");
        assert_eq!(old.len() - before.len(), new.len() - after.len(), "what is not shown is the same");
        assert_eq!(changes == 0, old == new);
        changes
    }

    #[test]
    fn the_way_is_short() {
        // The example of Myers, An O(ND) difference algorithm and its variations, Algorithmica 1, 1986: five changes.
        assert_eq!(changes("ABCABBA", "CBABAC"), 5);
        assert_eq!(changes("", ""), 0);
        assert_eq!(changes("", "abc"), 3);
        assert_eq!(changes("abc", ""), 3);
        assert_eq!(changes("abcdef", "abXdef"), 2);
        assert_eq!(changes("xaby", "xbay"), 2);
    }

    #[test]
    fn every_pair_of_short_texts_is_led_from_one_to_the_other() {
        let texts: Vec<String> =
            (0..3usize.pow(5)).map(|n| (0..5).map(|d| ['a', 'b', 'c'][n / 3usize.pow(d) % 3]).collect()).collect();
        for (n, old) in texts.iter().enumerate().step_by(7) {
            for new in texts.iter().skip(n % 5).step_by(5) {
                assert!(changes(old, new) <= 10);
            }
        }
    }

    #[test]
    fn texts_that_have_nothing_in_common_are_replaced() {
        assert_eq!(changes(&"ab".repeat(700), &"cd".repeat(700)), 2800);
    }
}
