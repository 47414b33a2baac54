//! Cases with one fault each: every mistake-maker is tried on clean records until it has made its cases.

use std::io;

use oar_generators::faults::{self, Draft, FaultLocation, Maker, Suits};
use oar_generators::random::{RandomLayer, RandomStream};
use oar_schema::limits::Limits;

use super::builder::{Builder, expected};
use super::clean_records::{Clean, CleanRecords};
use super::manifest::{CaseKind, Expected, KitCase, Without};
use crate::check::rule::Level;
use crate::check::rules;

/// Cases that are made from one record; the limit makes different records contribute.
const PER_RECORD: usize = 4;
/// Records that are tried for each case of a rule.
const TRIED: u64 = 900;

/// A mistake-maker, and the number of cases that it still has to make.
struct Due {
    maker: &'static Maker,
    owed: u64,
}

/// Adds the cases with faults.
pub(super) fn add(builder: &mut Builder<'_>) -> io::Result<()> {
    let small = faults::all().filter(|maker| maker.suits != Suits::Asked);
    let mut due: Vec<Due> = small.map(|maker| Due { maker, owed: builder.each }).collect();
    due.sort_by_key(|due| due.maker.suits != Suits::Few);
    let mut source = CleanRecords::all(builder.seed);
    for _ in 0..TRIED * builder.each {
        if due.is_empty() {
            break;
        }
        if let Some(clean) = source.next(&mut builder.checker) {
            of_record(builder, &mut due, &clean)?;
            due.retain(|due| due.owed > 0);
        }
    }
    Ok(())
}

fn of_record(builder: &mut Builder<'_>, due: &mut [Due], clean: &Clean) -> io::Result<()> {
    let mut made = 0;
    for due in due {
        if made == PER_RECORD {
            break;
        }
        if let Some((texts, expected)) = fault(builder, due.maker, clean) {
            let number = builder.each - due.owed + 1;
            write(builder, &texts, expected, number)?;
            due.owed -= 1;
            made += 1;
        }
    }
    Ok(())
}

/// The texts of the records with the fault, and the finding; none when the record is not suitable.
fn fault(builder: &mut Builder<'_>, maker: &Maker, clean: &Clean) -> Option<(Vec<Vec<u8>>, Expected)> {
    let limits = Limits::default();
    let mut stream = RandomStream::new(builder.seed, clean.index, RandomLayer::Faults);
    let mut draft = Draft::new(&clean.record, &limits, true);
    let spot: FaultLocation = (maker.make)(&mut draft, &mut stream)?;
    let texts = draft.texts();
    let expected = expected(maker.rule, spot.record + 1, &spot.pointer)?;
    let found = builder.found(&in_one_file(&texts), texts.len() > 1);
    let only = matches!(found.as_slice(), [one] if expected == *one);
    only.then_some((texts, expected))
}

/// Records as the bytes of a file: a single one unchanged, several one per line.
fn in_one_file(texts: &[Vec<u8>]) -> Vec<u8> {
    match texts {
        [one] => one.clone(),
        several => several.iter().flat_map(|text| [text, b"\n".as_slice()].concat()).collect(),
    }
}

fn write(builder: &mut Builder<'_>, texts: &[Vec<u8>], expected: Expected, number: u64) -> io::Result<()> {
    let kind = if expected.level == Level::Error.as_str() { CaseKind::Refuse } else { CaseKind::Question };
    let name = format!("{}/{}-{number}", kind.as_str(), expected.rule);
    let ending = if texts.len() > 1 { "oar.jsonl" } else { "oar.json" };
    let case = KitCase {
        file: format!("{name}.{ending}"),
        case: name,
        kind,
        records: texts.len() as u64,
        what: format!("{}: {}", expected.level, expected.rule.replace('_', " ")),
        accepted: kind == CaseKind::Question,
        finding: Some(expected),
        same_as: None,
        derived: None,
    };
    builder.write(case, &in_one_file(texts))
}

/// The rules without a case, and why.
pub(super) fn without(cases: &[KitCase]) -> Vec<Without> {
    let why = |rule: &str| match faults::all().find(|maker| maker.rule == rule) {
        None => "nothing makes this mistake yet",
        Some(maker) if maker.suits == Suits::Asked => "its record is very large; oar generate --fault makes one",
        Some(_) => "too few of the tried records are suitable",
    };
    let has_case = |rule: &str| cases.iter().any(|case| case.finding.as_ref().is_some_and(|found| found.rule == rule));
    let none = rules::all().filter(|rule| !has_case(rule.name));
    none.map(|rule| Without { rule: rule.name.to_owned(), why: why(rule.name).to_owned() }).collect()
}
