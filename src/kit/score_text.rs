//! A score for people.

use std::fmt::Write as _;

use super::manifest::CaseKind;
use super::score::{AnswerTally, Score, WrongAnswer};
use crate::text::counted;

/// The score as text.
pub fn text(score: &Score) -> String {
    let mut out = String::new();
    table(score, &mut out);
    if !score.wrong.is_empty() {
        out.push_str("\nwrong\n");
    }
    for wrong in &score.wrong {
        one(wrong, &mut out);
    }
    let lists = [
        ("not answered", &score.missing),
        ("answered more than once, the first counts", &score.doubled),
        ("not a case of this kit", &score.unknown),
    ];
    for (what, cases) in lists {
        if !cases.is_empty() {
            let _ = write!(out, "\n{what}: {}\n", cases.join(", "));
        }
    }
    let _ = write!(out, "\n{}\n", verdict(score));
    out
}

fn table(score: &Score, out: &mut String) {
    let _ = writeln!(out, "{:<28} {:>7} {:>7} {:>12}", "", "right", "wrong", "not claimed");
    let mut row = |name: &str, tally: &AnswerTally| {
        let _ = writeln!(out, "{name:<28} {:>7} {:>7} {:>12}", tally.right, tally.wrong, tally.not_claimed);
    };
    for kind in CaseKind::ALL {
        if let Some(tally) = score.accepted.get(&kind) {
            row(kind.as_str(), tally);
        }
    }
    row("location of the fault", &score.places);
    for (name, tally) in &score.derived {
        row(&format!("derived: {name}"), tally);
    }
}

fn one(wrong: &WrongAnswer, out: &mut String) {
    let _ = match (wrong.what.as_str(), &wrong.answered) {
        ("accepted", answered) => {
            let said =
                if *answered == true { "accepted, but should be refused" } else { "refused, but should be accepted" };
            writeln!(out, "  {}: {said}", wrong.case)
        }
        ("places", answered) => writeln!(out, "  {}: named another location: {answered}", wrong.case),
        (what, answered) => writeln!(out, "  {}: {what} is {answered}, expected {}", wrong.case, wrong.expected),
    };
    if let Some(finding) = &wrong.finding {
        let record = if finding.record > 1 { format!(" of record {}", finding.record) } else { String::new() };
        let at = if finding.pointer.is_empty() { "the whole record" } else { &finding.pointer };
        let _ = writeln!(out, "    {} {} at {at}{record}: {}", finding.level, finding.rule, finding.meaning);
    }
}

/// The result, in one or two sentences.
fn verdict(score: &Score) -> String {
    let tallies = || score.accepted.values().chain([&score.places]).chain(score.derived.values());
    let right: u64 = tallies().map(|tally| tally.right).sum();
    let not_claimed: u64 = tallies().map(|tally| tally.not_claimed).sum();
    let wrong = score.wrong.len();
    let mut said = format!("{}: {right} answers right, {wrong} wrong", cases(score.cases));
    let counts = [
        (score.missing.len() as u64, "not answered"),
        (score.doubled.len() as u64, "answered more than once"),
        (score.unknown.len() as u64, "unknown"),
        (not_claimed, "not claimed, so this reader was tested in part"),
    ];
    for (count, what) in counts.iter().filter(|(count, _)| *count > 0) {
        let _ = write!(said, ", {count} {what}");
    }
    if !score.only.is_empty() {
        let _ = write!(said, "\nscored only: {}", score.only.join(", "));
    }
    said
}

fn cases(count: u64) -> String {
    counted(count, "case")
}
