//! Shrinking of what is not JSON: bytes are left out while the same fault is found.

use super::budget::Budget;
use super::{ShrinkError, Shrunk};
use crate::check::Checker;
use crate::check::args::Arg;
use crate::check::finding::Finding;
use crate::json::MAX_DEPTH;

/// The shortest text that still gives the finding. Letters and digits that stay are replaced where that changes nothing.
pub(super) fn shrink(record: &[u8], target: &Finding, checker: &mut Checker) -> Result<Shrunk, ShrinkError> {
    let mut budget = Budget::of(record.len());
    let mut bytes = simple().into_iter().find(|text| holds(text, target, checker)).unwrap_or_else(|| record.to_vec());
    let mut size = bytes.len();
    while size > 0 {
        let mut start = 0;
        while start < bytes.len() && budget.takes(bytes.len()) {
            let end = (start + size).min(bytes.len());
            let smaller = [&bytes[..start], &bytes[end..]].concat();
            if holds(&smaller, target, checker) {
                bytes = smaller;
            } else {
                start = end;
            }
        }
        size /= 2;
    }
    leave_out_pieces(&mut bytes, target, checker);
    let mut kept = 0;
    let mut budget = Budget::of(record.len());
    for at in 0..bytes.len() {
        if !budget.takes(bytes.len()) {
            return Err(ShrinkError::TooLarge);
        }
        let now = bytes[at];
        bytes[at] = plain(now);
        if !holds(&bytes, target, checker) {
            bytes[at] = now;
            kept += usize::from(now.is_ascii_alphanumeric());
        }
    }
    // A line end after the text is easier to show and to send; some findings are about the end.
    let ended = [bytes.as_slice(), b"\n"].concat();
    if holds(&ended, target, checker) {
        bytes = ended;
    }
    let s = if kept == 1 { "" } else { "s" };
    let why = format!("{kept} letter{s} or digit{s} of the original text, which the finding needs");
    Ok(Shrunk {
        before: record.len(),
        after: bytes.len(),
        kept: (kept > 0).then_some(why).into_iter().collect(),
        text: bytes,
        ..Shrunk::default()
    })
}

/// The most bytes of a piece that is looked for at every place.
const PIECE: usize = 12;

/// The longest text in which they are looked for.
const SHORT: usize = 400;

/// Leaves out what only goes as a whole, such as `"":"",`, wherever it begins.
fn leave_out_pieces(bytes: &mut Vec<u8>, target: &Finding, checker: &mut Checker) {
    if bytes.len() > SHORT {
        return;
    }
    for size in (1..=PIECE).rev() {
        let mut start = 0;
        while start + size <= bytes.len() {
            let smaller = [&bytes[..start], &bytes[start + size..]].concat();
            if holds(&smaller, target, checker) {
                *bytes = smaller;
            } else {
                start += 1;
            }
        }
    }
}

/// Short texts that are broken in a usual way: quicker to try than to find among the record's own bytes.
fn simple() -> [Vec<u8>; 3] {
    [b"{".to_vec(), b"[".repeat(MAX_DEPTH + 1), b"<".to_vec()]
}

/// Whether a text gives the same finding, and says the same of it.
fn holds(text: &[u8], target: &Finding, checker: &mut Checker) -> bool {
    let findings = checker.check(text);
    // Which line it is on may change, and so may what was told of it.
    let words = |finding: &Finding| -> Vec<(&'static str, Option<&'static str>)> {
        let word = |arg: &Arg| if let Arg::Word(word) = arg { Some(*word) } else { None };
        finding.args.iter().map(|(name, arg)| (*name, word(arg))).collect()
    };
    let problem = |finding: &Finding| {
        finding.args.iter().find(|(name, _)| *name == "problem").map(|(_, problem)| problem.to_string())
    };
    let same = |found: &Finding| {
        found.rule == target.rule && words(found) == words(target) && problem(found) == problem(target)
    };
    matches!(&findings[..], [found] if same(found))
}

/// A letter or digit that says nothing in the place of another.
fn plain(byte: u8) -> u8 {
    match byte {
        b'a'..=b'z' => b'x',
        b'A'..=b'Z' => b'X',
        b'1'..=b'9' => b'0',
        other => other,
    }
}
