//! `oar review`: who needs attention, and why; or the whole story of one patient.

use std::io::{self, Write};
use std::path::PathBuf;

use clap::{Args, ValueEnum};
use open_aligner_record::finding::Finding;
use open_aligner_record::output::shown_path;
use open_aligner_record::read::inputs::{Input, Missed};
use open_aligner_record::review::clinic::Clinic;
use open_aligner_record::review::entry::{Entry, First};
use open_aligner_record::review::run::{Options, Part, Place, Totals, run};
use open_aligner_record::review::{Rank, Ranks, Review as Reviewed, csv, json, letter, page, signals, text};
use open_aligner_record::rule::Level;
use open_aligner_record::settings::Origin;
use open_aligner_record::time::Date;

use super::check::{most, threads};
use super::chosen::Chosen;
use super::reads::Reads;
use super::review_cohort as cohort;
use super::side_file::{SETTINGS, read_text};
use super::targets::{Sink, Target, refuse_clashes, target, tell_missed};
use super::temporary::name_leftovers;
use super::{CLEAN, COULD_NOT, FOUND, Failure, perhaps, width};

/// Lines of a worklist on a terminal, unless it is said.
const MOST: u64 = 40;
/// Lines of a worklist on a page.
const MOST_ON_PAGE: u64 = 200;

/// Say who needs attention and why, from right records; or tell the story of one patient.
///
/// Signals name what somebody should look at, with the numbers and fields that they rest on. They are no advice on treatment; that
/// belongs to licensed clinicians and local rules.
#[derive(Args)]
#[command(after_help = EXIT_CODES, after_long_help = LONG_HELP)]
#[allow(clippy::doc_markdown, reason = "the comments on fields are the help as it is shown")]
pub(crate) struct Review {
    /// Files, folders, or - for standard input, as oar check takes them
    #[arg(required = true, value_name = "PATH")]
    paths: Vec<PathBuf>,

    /// Review the records as they stood on an earlier day; without it, each on the day of its export
    #[arg(long, value_name = "DAY", value_parser = day)]
    as_of: Option<Date>,

    /// Review only the record, or the records of the patient, with this id; a single record is told in full
    #[arg(long, value_name = "ID")]
    only: Option<String>,

    /// Write the review as FORMAT, to FILE if one is given; may be given several times. FORMAT is text, jsonl (one JSON object for each
    /// record), csv (one row for each signal), json (what all records come to), html (one page), or letter (for the patient; a single record)
    #[arg(short, long, value_name = "FORMAT[=FILE]", default_value = "text")]
    output: Vec<String>,

    /// Project when series and treatments end from these treatments that are over, too; files and folders; may be given several times
    #[arg(long, value_name = "PATH")]
    cohort: Vec<PathBuf>,

    /// In which order: urgency, which holds the records that are shown in memory, or input [default: urgency in text and html, input
    /// in jsonl and csv]
    #[arg(long, value_name = "ORDER")]
    sort: Option<Sort>,

    /// Show at most so many records; all has no limit [default: 40 in text, 200 in html, all in jsonl and csv]
    #[arg(long, value_name = "NUMBER", value_parser = most, allow_negative_numbers = true)]
    most: Option<u64>,

    /// Show only records that raise this signal; may be given several times
    #[arg(long = "with", value_name = "SIGNAL")]
    with: Vec<String>,

    /// Show only records whose most urgent signal has this rank or a more urgent one: today, this_week or next_contact
    #[arg(long, value_name = "RANK", value_parser = rank)]
    least: Option<Rank>,

    /// Give a signal another rank, or turn it off, as in low_wear=today or rescan_due=off; may be given several times
    #[arg(long = "signal", value_name = "SIGNAL=RANK")]
    ranks: Vec<String>,

    /// The text of the letter, with the places that docs/how-to/review.md lists, instead of the one that comes with oar
    #[arg(long, value_name = "FILE")]
    letter_text: Option<PathBuf>,

    /// How many threads look at records, from 1 to 1024; without it, one for each core
    #[arg(long, value_name = "NUMBER")]
    threads: Option<usize>,

    #[command(flatten)]
    chosen: Chosen,
}

#[derive(Clone, Copy, PartialEq, Eq, ValueEnum)]
enum Sort {
    Urgency,
    Input,
}

const EXIT_CODES: &str = "Exit code: 0 all records were reviewed, 1 some have errors and were left out, 2 not everything could be read or done";

const LONG_HELP: &str = "\
Exit code:
  0  all records were reviewed
  1  some have errors, which oar check tells; they were left out
  2  the command could not run, or not everything could be read

Examples:
  oar review exports                          the worklist of a folder
  oar review --as-of 2031-05-01 exports       the same on an earlier day
  oar review --with low_wear exports          those with low wear
  oar review --only QM-0007 exports           one patient
  oar review --cohort ended --only QM-0007 exports
                                              with its finish as in treatments that are over
  oar review -o html=review.html exports      a page
  oar review -o letter=letter.txt a.oar.json  a letter for the patient";

/// The forms of a review.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
enum Form {
    Text,
    Jsonl,
    Csv,
    Json,
    Html,
    Letter,
}

const FORMS: &[(Form, &str)] = &[
    (Form::Text, "text"),
    (Form::Jsonl, "jsonl"),
    (Form::Csv, "csv"),
    (Form::Json, "json"),
    (Form::Html, "html"),
    (Form::Letter, "letter"),
];

impl Review {
    /// Reviews, and gives the exit code.
    pub(crate) fn run(self) -> Result<u8, Failure> {
        let targets: Vec<Target<Form>> =
            self.output.iter().map(|text| target(text, FORMS)).collect::<Result<_, _>>()?;
        refuse_clashes(&targets, "html=review.html")?;
        self.with.iter().try_for_each(|name| known(name, "--with"))?;
        let chosen = self.chosen.settle(&self.paths)?;
        let found = chosen.selection().find(&self.paths);
        let reads = chosen.reads(&found.inputs, "is to be reviewed").and(self.letter_text.as_ref(), "is the letter");
        targets.iter().try_for_each(|(_, file)| reads.refuse(file.as_ref(), "the review"))?;
        let treated = cohort::find(&self.cohort, &chosen)?;
        let reads = Reads::of(&treated.inputs, "is of the cohort");
        targets.iter().try_for_each(|(_, file)| reads.refuse(file.as_ref(), "the review"))?;
        let mut options = Options {
            settings: chosen.settings,
            ranks: self.ranks(chosen.ranks)?,
            day: self.as_of,
            threads: threads(self.threads)?,
            cohort: None,
        };
        name_leftovers(&found.partial);
        let mut missed = false;
        for Missed { path, error } in found.missed.iter().chain(&treated.missed) {
            missed = true;
            tell_missed(&Input::File(path.clone()), error);
        }
        if !self.cohort.is_empty() {
            options.cohort = Some(cohort::read(&treated.inputs, &options, &mut |input, error| {
                missed = true;
                tell_missed(input, error);
            })?);
        }
        let mut gathered = Gathered::new(&self, &targets)?;
        let totals = run(
            &found.inputs,
            &options,
            &mut |place, part: Piece| gathered.take(&self, place, part),
            &mut |input, error| {
                missed = true;
                tell_missed(input, error);
            },
        );
        let totals = totals.map_err(Failure::writing("the review"))?;
        let left_out = gathered.clinic.refused + totals.too_large;
        if totals.records == 0 && !missed {
            return Err(Failure::Asked("there is no record in what was given, so that nothing is reviewed".to_owned()));
        }
        gathered.end(&self, &targets, totals)?;
        Ok(match (missed || totals.records == 0, left_out) {
            (true, _) => COULD_NOT,
            (false, 0) => CLEAN,
            (false, _) => FOUND,
        })
    }

    /// The ranks of the file and of the options, which go before.
    fn ranks(&self, mut ranks: Ranks) -> Result<Ranks, Failure> {
        for given in &self.ranks {
            let Some((name, word)) = given.split_once('=') else {
                return Err(Failure::Asked(format!("--signal {given}: write it as low_wear=today, or low_wear=off")));
            };
            known(name, "--signal")?;
            let rank = if word == "off" { Ok(None) } else { rank(word).map(Some) };
            let rank = rank.map_err(|why| Failure::Asked(format!("--signal {given}: {why}, or off")))?;
            let origin = Origin::Option(format!("--signal {given}").into());
            if let Some(signal) = signals::find(name) {
                ranks.set(signal, rank, origin);
            }
        }
        Ok(ranks)
    }

    /// Whether an entry is to be shown.
    fn shows(&self, entry: &Entry) -> bool {
        let raises = |name: &String| entry.raised.iter().any(|raised| raised.signal.name == name);
        let urgent = self.least.is_none_or(|least| entry.rank().is_some_and(|rank| rank <= least));
        urgent && (self.with.is_empty() || self.with.iter().any(raises))
    }

    fn is_meant(&self, review: &Reviewed) -> bool {
        let record = &review.record;
        self.only.as_ref().is_none_or(|id| record.id.0 == *id || record.patient.id.0 == *id)
    }
}

/// What was found in a record: the level and name of each rule, once for each finding.
type Faults = Vec<(Level, &'static str)>;

/// What the threads make of a piece of the input.
#[derive(Default)]
struct Piece {
    /// The reviews of the piece, with their places in it.
    reviews: Vec<(u64, Box<Reviewed>, Faults)>,
    /// What is wrong with the records that have errors.
    refused: Vec<Faults>,
}

impl Part for Piece {
    fn take(&mut self, record: u64, review: Reviewed, findings: &[Finding]) {
        self.reviews.push((record, Box::new(review), faults(findings)));
    }

    fn refuse(&mut self, _: u64, findings: &[Finding]) {
        self.refused.push(faults(findings));
    }
}

fn faults(findings: &[Finding]) -> Faults {
    findings.iter().map(|finding| (finding.level(), finding.rule.name)).collect()
}

/// A form that is written as records come, in the order of the input.
struct Stream {
    form: Form,
    out: Sink,
    left: u64,
}

/// Everything that is kept of the records.
struct Gathered {
    clinic: Clinic,
    /// The most urgent records, for the forms that are written at the end.
    first: First,
    streams: Vec<Stream>,
    /// Records that were shown, or would have been.
    shown: u64,
    /// The only one of them.
    single: Option<Box<Reviewed>>,
}

impl Gathered {
    fn new(asked: &Review, targets: &[Target<Form>]) -> Result<Self, Failure> {
        let held = targets.iter().filter(|(form, _)| !asked.streams(*form)).map(|(form, _)| asked.most(*form)).max();
        let mut streams = Vec::new();
        for (form, file) in targets.iter().filter(|(form, _)| asked.streams(*form)) {
            let out = Sink::open(file.as_ref(), io::stdout())?;
            let mut stream = Stream { form: *form, out, left: asked.most(*form) };
            stream.head()?;
            streams.push(stream);
        }
        let first = First::new(usize::try_from(held.unwrap_or(0)).unwrap_or(usize::MAX));
        Ok(Self { clinic: Clinic::default(), first, streams, shown: 0, single: None })
    }

    fn take(&mut self, asked: &Review, place: Place<'_>, piece: Piece) -> io::Result<()> {
        piece.refused.iter().for_each(|faults| self.clinic.refuse(faults));
        let file = place.input.name();
        for (record, review, faults) in piece.reviews {
            if !asked.is_meant(&review) {
                continue;
            }
            self.clinic.add(&review, &faults);
            let entry = Entry { file: file.clone(), record: place.before + record + 1, ..Entry::of(&review) };
            if asked.shows(&entry) {
                self.shown += 1;
                self.single = (self.shown == 1).then_some(review);
                self.streams.iter_mut().try_for_each(|stream| stream.add(&entry))?;
                self.first.add(entry);
            }
        }
        Ok(())
    }

    /// Writes the forms that are written at the end.
    fn end(self, asked: &Review, targets: &[Target<Form>], totals: Totals) -> Result<(), Failure> {
        let Self { clinic, first, streams, shown, single } = self;
        let mut sinks: Vec<Sink> = streams.into_iter().map(|stream| stream.out).collect();
        if totals.records > 0 && clinic.reviewed == 0 && asked.only.is_some() {
            let text = "no record or patient without errors has the id that --only asks for";
            return Err(Failure::Asked(text.to_owned()));
        }
        // Next to records that were left out, one record alone would look like all there is.
        let single = single.filter(|_| asked.only.is_some() || clinic.refused == 0);
        let list = first.into_list();
        for (form, file) in targets.iter().filter(|(form, _)| !asked.streams(*form)) {
            let most = usize::try_from(asked.most(*form)).unwrap_or(usize::MAX);
            let list = &list[..list.len().min(most)];
            let text = match (form, &single) {
                (Form::Text, Some(review)) => text::patient(review, if file.is_some() { 100 } else { width() }),
                (Form::Text, None) => text::worklist(list, shown, &clinic, if file.is_some() { 100 } else { width() }),
                (Form::Html, Some(review)) => page::patient(review),
                (Form::Html, None) => page::clinic(list, shown, &clinic),
                (Form::Letter, Some(review)) => letter::letter(review, &asked.letter()?).map_err(Failure::Asked)?,
                (Form::Letter, None) => return Err(not_one(shown)),
                (Form::Json, _) => json::json(&clinic),
                (Form::Jsonl, _) => text::lines(list),
                (Form::Csv, _) => csv::rows(list),
            };
            sinks.push(Sink::holding(&text, file.as_ref())?);
        }
        Sink::end_all(sinks.into_iter())
    }
}

impl Stream {
    fn head(&mut self) -> Result<(), Failure> {
        let head = if self.form == Form::Csv { csv::head() } else { String::new() };
        self.out.write_all(head.as_bytes()).map_err(Failure::writing(&self.out.name()))
    }

    fn add(&mut self, entry: &Entry) -> io::Result<()> {
        if self.left == 0 {
            return Ok(());
        }
        self.left -= 1;
        let text = if self.form == Form::Csv { csv::of(entry) } else { format!("{}\n", entry.json()) };
        self.out.write_all(text.as_bytes())
    }
}

impl Review {
    /// Whether a form is written as records come.
    fn streams(&self, form: Form) -> bool {
        matches!(form, Form::Jsonl | Form::Csv) && self.sort.unwrap_or(Sort::Input) == Sort::Input
    }

    /// How many records a form shows.
    fn most(&self, form: Form) -> u64 {
        self.most.unwrap_or(match form {
            Form::Text => MOST,
            Form::Html => MOST_ON_PAGE,
            Form::Jsonl | Form::Csv | Form::Letter => u64::MAX,
            Form::Json => 0,
        })
    }

    /// The text of the letter.
    fn letter(&self) -> Result<String, Failure> {
        let Some(file) = &self.letter_text else { return Ok(letter::TEXT.to_owned()) };
        read_text(file, &shown_path(file), SETTINGS)
    }
}

fn not_one(shown: u64) -> Failure {
    Failure::Asked(format!("a letter is for one patient, and there are {shown} records: choose one with --only ID"))
}

/// Refuses a name that is no signal.
fn known(name: &str, option: &str) -> Result<(), Failure> {
    if signals::find(name).is_some() {
        return Ok(());
    }
    let near = perhaps(name, signals::all().map(|signal| signal.name));
    Err(Failure::Asked(format!(
        "{option} {name}: no signal is called so{near}\n  help: oar explain signals lists them"
    )))
}

/// Reads a day.
fn day(text: &str) -> Result<Date, String> {
    Date::parse(text.as_bytes()).ok_or_else(|| "give a day as in 2031-05-31".to_owned())
}

/// Reads a rank.
fn rank(text: &str) -> Result<Rank, String> {
    let known = Rank::ALL.into_iter().find(|rank| rank.as_str() == text || rank.words() == text);
    known.ok_or_else(|| "give today, this_week or next_contact".to_owned())
}
