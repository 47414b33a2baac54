//! Each maker by itself, on clean records of every recipe.

use std::collections::BTreeMap;
use std::fmt::Write as _;

use oar_generators::cohort::SyntheticCohort;
use oar_generators::faults::{self, Draft, Maker, Suits};
use oar_generators::random::{RandomLayer, RandomStream};
use oar_generators::recipe::{BUILT_IN, Recipe};
use oar_schema::limits::Limits;
use oar_schema::record::Record;

use super::{Found, found, line, printed};

/// Records of each recipe that are offered to a maker.
const OFFERED: u64 = 12;
/// Records of each recipe that are offered when one maker is tried alone, or suits few.
const OFFERED_MORE: u64 = 200;
/// Mistakes of one maker that are checked at most.
const CHECKED: usize = 24;
/// A maker that suits a smaller share of records, in percent, than the first is [`Suits::Few`]; one that suits a greater share than the
/// second is not.
const FEW: [usize; 2] = [8, 25];
/// A maker that suits a share of records within these, in percent, may be [`Suits::Part`].
const PART: [usize; 2] = [5, 50];

/// A clean record with what is found in it.
struct Clean {
    name: String,
    index: u64,
    record: Record,
    notes: Vec<Found>,
}

fn clean(patients: u64) -> Vec<Clean> {
    let cohort = |recipe: &'static str| (recipe, SyntheticCohort::new(Recipe::load(recipe, &[]).unwrap(), 2));
    let cohorts: Vec<_> = BUILT_IN.iter().map(|(recipe, _)| cohort(recipe)).collect();
    let mut all = Vec::new();
    for index in 0..patients {
        for (recipe, cohort) in &cohorts {
            let (record, _) = cohort.patient(index);
            let notes = found(&[serde_json::to_vec(&record).unwrap()], true);
            all.push(Clean { name: format!("--recipe {recipe} --seed 2 --number {index}"), index, record, notes });
        }
    }
    all
}

/// What is wrong with what a maker makes of a record; none when that is right, or when the record does not suit it.
fn fault(maker: &Maker, clean: &Clean, own_file: bool, limits: &Limits) -> (bool, Option<String>) {
    let mut stream = RandomStream::new(2, clean.index, RandomLayer::Faults);
    let mut draft = Draft::new(&clean.record, limits, own_file);
    let before = draft.texts();
    let Some(spot) = (maker.make)(&mut draft, &mut stream) else {
        let changed = draft.texts() != before;
        return (false, changed.then(|| "gives nothing back and has changed the record".to_owned()));
    };
    let expected = printed(&[spot.planted(maker.rule)], 0);
    if clean.notes.iter().any(|note| (&note.1, &note.2) == (&expected[0].1, &expected[0].2)) {
        return (true, Some(format!("plants what is found in the clean record: {}", line(&expected[0]))));
    }
    let is_note = |found: &Found| clean.notes.iter().any(|note| (&note.1, &note.2) == (&found.1, &found.2));
    let found: Vec<Found> = found(&draft.texts(), own_file).into_iter().filter(|found| !is_note(found)).collect();
    if found == expected {
        return (true, None);
    }
    let mut text = format!("expected {}\n", line(&expected[0]));
    if found.is_empty() {
        text.push_str("  found nothing\n");
    }
    for found in &found {
        let _ = writeln!(text, "  found    {}", line(found));
    }
    text.push_str(&edits(&before, &draft.texts()));
    (true, Some(text))
}

/// The first place where the texts of the first record differ.
fn edits(before: &[Vec<u8>], after: &[Vec<u8>]) -> String {
    let (before, after) = (&before[0], &after[0]);
    let same = before.iter().zip(after).take_while(|(one, other)| one == other).count();
    let around = |text: &[u8]| {
        String::from_utf8_lossy(&text[same.saturating_sub(90).min(text.len())..(same + 90).min(text.len())])
            .into_owned()
    };
    format!("  before   …{}…\n  after    …{}…\n", around(before), around(after))
}

/// How a maker did.
#[derive(Default)]
struct Tally {
    offered: usize,
    suited: usize,
    wrong: Vec<String>,
}

impl Tally {
    fn try_on(&mut self, maker: &Maker, records: &[Clean], limits: &Limits) {
        for (number, clean) in records.iter().enumerate() {
            if self.suited >= if maker.suits == Suits::Asked { 1 } else { CHECKED } {
                return;
            }
            self.offered += 1;
            // Most mistakes can be made in both kinds of file; half of the records stand in files of their own.
            let (suited, wrong) = fault(maker, clean, number % 2 == 0, limits);
            self.suited += usize::from(suited);
            self.wrong.extend(wrong.map(|wrong| format!("{} ({}): {wrong}", maker.rule, clean.name)));
        }
    }
}

#[test]
#[expect(clippy::print_stdout, reason = "the list is what the test is run for by hand")]
fn each_maker_makes_the_one_mistake_that_it_tells() {
    let asked = std::env::var("FAULT").ok();
    let makers: Vec<&Maker> = faults::all()
        .filter(|maker| {
            asked.as_ref().is_none_or(|names| names.split(',').any(|name| name == maker.rule || name == maker.theme))
        })
        .collect();
    assert!(!makers.is_empty(), "FAULT names no maker");
    let limits = Limits::default();
    let mut records = clean(OFFERED);
    let mut tallies: BTreeMap<&str, Tally> = BTreeMap::new();
    for maker in &makers {
        tallies.entry(maker.rule).or_default().try_on(maker, &records, &limits);
    }
    if asked.is_some() || tallies.values().any(|tally| tally.suited < 4) {
        records = clean(OFFERED_MORE);
        for maker in &makers {
            let tally = tallies.entry(maker.rule).or_default();
            if asked.is_some() || tally.suited < 4 {
                tally.try_on(maker, &records[OFFERED as usize * BUILT_IN.len()..], &limits);
            }
        }
    }
    let mut wrong = String::new();
    for maker in &makers {
        let tally = &tallies[maker.rule];
        println!("{:<34} suits {:>3} of {:>4}, {} wrong", maker.rule, tally.suited, tally.offered, tally.wrong.len());
        wrong.extend(tally.wrong.iter().take(3).map(|text| format!("{text}\n")));
        let share = tally.suited * 100 / tally.offered.max(1);
        let rather = match maker.suits {
            _ if tally.suited == 0 => "change it until it suits some",
            Suits::Many if share < FEW[0] => "let it be Few",
            Suits::Few if share > FEW[1] => "let it be Part or Many",
            Suits::Part if !(PART[0]..=PART[1]).contains(&share) => "let it be Few or Many",
            _ => continue,
        };
        let _ = writeln!(wrong, "{} suits {} of {} records: {rather}", maker.rule, tally.suited, tally.offered);
    }
    assert!(wrong.is_empty(), "\n{wrong}");
}

#[test]
fn a_draft_is_written_as_the_clean_record_is() {
    let limits = Limits::default();
    for clean in clean(3) {
        let draft = Draft::new(&clean.record, &limits, true);
        assert_eq!(draft.texts(), [serde_json::to_vec(&clean.record).unwrap()], "{}", clean.name);
    }
}
