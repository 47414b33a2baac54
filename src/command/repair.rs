//! `oar repair`: mends what can be mended without a doubt.

use std::fs::File;
use std::io::{self, BufWriter, Stdout, Write};
use std::path::PathBuf;

use clap::Args;
use open_aligner_record::finding::Finding;
use open_aligner_record::finding::Item;
use open_aligner_record::output::{Format, Printer, Style, shown, totals_line};
use open_aligner_record::partial::Partial;
use open_aligner_record::read::inputs::{Found, Input, Missed, reason};
use open_aligner_record::repair::diff::Diff;
use open_aligner_record::repair::file::{Outcome, Piece, Watcher, repair_reader};
use open_aligner_record::repair::{Left, Mended, Repairer};
use open_aligner_record::summary::Summary;

use super::check::most;
use super::chosen::Chosen;
use super::reads::refuse_existing;
use super::replace::Replacement;
use super::targets::input_name;
use super::temporary::{name_leftovers, name_leftovers_in};
use super::{CLEAN, COULD_NOT, FOUND, Failure, complain, report, why_not_written};

/// How many findings and reasons are shown, unless told otherwise.
const MOST: u64 = 100;

/// Mend what can be mended without a doubt, and show or write it.
#[derive(Args)]
#[command(after_help = EXIT_CODES, after_long_help = LONG_HELP)]
#[allow(clippy::doc_markdown, reason = "the comments on fields are the help as it is shown")]
pub(crate) struct Repair {
    /// Files, folders, or - for standard input, as oar check takes them
    #[arg(required = true, value_name = "PATH")]
    paths: Vec<PathBuf>,

    /// Write the repaired files in their places; without it, what would change is shown as a unified diff
    #[arg(long, conflicts_with = "to")]
    write: bool,

    /// Write the repaired file to FILE, or to standard output if FILE is -; for one file
    #[arg(long, value_name = "FILE")]
    to: Option<PathBuf>,

    /// With --to, write over a file that is there
    #[arg(long, requires = "to")]
    overwrite: bool,

    /// Lay records out as well: fields in the order of the format, and white space by one rule
    #[arg(long)]
    layout: bool,

    /// Show at most so many of the findings that are left, and of the reasons; 0 none, all has no limit [default: 100]
    #[arg(long, value_name = "NUMBER", value_parser = most, allow_negative_numbers = true)]
    most: Option<u64>,

    #[command(flatten)]
    chosen: Chosen,
}

const EXIT_CODES: &str =
    "Exit code: 0 nothing is left, 1 something is left to be mended by hand, 2 not everything could be read or done";

const LONG_HELP: &str = "\
Exit code, of the repaired files:
  0  nothing is left at the fail level or above it
  1  something is
  2  the command could not run, or a file could not be read or written; the others were repaired all the same

Examples:
  oar repair exports                 show what would change
  oar repair --write exports         mend the files
  oar repair --to - - < a.oar.json   standard input to standard output
  oar repair --layout --write a.oar.json";

impl Repair {
    /// Repairs, and gives the exit code.
    pub(crate) fn run(self) -> Result<u8, Failure> {
        let chosen = self.chosen.settle(&self.paths)?;
        let found = chosen.selection().find(&self.paths);
        self.refuse(&found)?;
        name_leftovers(&found.partial);
        for path in self.paths.iter().filter(|path| path.is_file()) {
            name_leftovers_in(path.parent().unwrap_or(path));
        }
        let to = self.to.as_ref().filter(|to| to.as_os_str() != "-");
        chosen.reads(&found.inputs, "is to be repaired, in its place with --write").refuse(to, "records")?;
        refuse_existing(to, self.overwrite)?;
        let mut run =
            Run { summary: Summary::default(), mended: Mended::new(), records: 0, report: Report::new(self.most) };
        for Missed { path, error } in &found.missed {
            run.failed(&Input::File(path.clone()), &reason(error));
        }
        let mut repairer = Repairer::with_settings(&chosen.settings);
        for input in &found.inputs {
            self.file(input, &mut repairer, &mut run)?;
        }
        run.end(&self)?;
        Ok(match run.summary.fails(chosen.fail_level.0) {
            _ if run.summary.unreadable > 0 => COULD_NOT,
            false => CLEAN,
            true => FOUND,
        })
    }

    /// Refuses what cannot be done before anything is done.
    fn refuse(&self, found: &Found) -> Result<(), Failure> {
        if self.write && found.inputs.contains(&Input::Standard) {
            let text = "standard input has no file to be written to: leave --write out, or give --to FILE";
            return Err(Failure::Asked(text.to_owned()));
        }
        match (&self.to, found.inputs.len() + found.missed.len()) {
            (Some(_), count) if count != 1 => {
                Err(Failure::Asked(format!("--to takes one file, and there are {count}: use --write for several")))
            }
            _ => Ok(()),
        }
    }

    /// Repairs one file. What goes wrong with it is told, and the run goes on.
    fn file(&self, input: &Input, repairer: &mut Repairer, run: &mut Run) -> Result<(), Failure> {
        let name = input.name();
        let mut target = match self.target(input) {
            Ok(target) => target,
            Err(error) => {
                run.failed(input, &format!("it cannot be written: {}", why_not_written(&error)));
                return Ok(());
            }
        };
        let counted = run.summary.clone();
        let mut watch = Watch { name: &name, sink: target.sink(&name), failed: None, run };
        let done = match input {
            Input::Standard => repair_reader(io::stdin(), false, self.layout, repairer, &mut watch),
            Input::File(path) => File::open(path)
                .and_then(|file| repair_reader(file, input.says_lines(), self.layout, repairer, &mut watch)),
        };
        let (sink, failed) = (watch.sink, watch.failed);
        let ended = sink.end().map_err(Failure::writing("standard output"));
        match (done, failed) {
            (_, Some(error)) if !matches!(target, Target::Replacement(_)) => {
                return Err(Failure::Writing("standard output".to_owned(), error));
            }
            (_, Some(error)) => {
                run.summary = counted;
                run.failed(input, &format!("it cannot be written: {}", why_not_written(&error)));
            }
            (Err(error), None) => {
                run.summary = counted;
                run.failed(input, &reason(&error));
            }
            (Ok(outcome), None) => {
                ended?;
                run.repaired(input, &name, &outcome, target, self)?;
            }
        }
        Ok(())
    }

    fn target(&self, input: &Input) -> io::Result<Target> {
        match (input, &self.to) {
            (Input::File(path), None) if self.write => {
                Replacement::of(path).map(|file| Target::Replacement(Box::new(file)))
            }
            (_, Some(to)) if to.as_os_str() != "-" => {
                Replacement::new(to, self.overwrite).map(|file| Target::Replacement(Box::new(file)))
            }
            (_, Some(_)) => Ok(Target::Standard(BufWriter::new(io::stdout()))),
            (_, None) => Ok(Target::Diff(BufWriter::new(io::stdout()))),
        }
    }
}

/// Where the repaired file goes.
enum Target {
    Replacement(Box<Replacement>),
    Standard(BufWriter<Stdout>),
    Diff(BufWriter<Stdout>),
}

/// Where the pieces of a file go.
enum Sink<'a> {
    Pieces(&'a mut dyn Write),
    Diff(Diff<'a>),
}

impl Target {
    fn sink(&mut self, name: &str) -> Sink<'_> {
        match self {
            Self::Replacement(file) => Sink::Pieces(file.as_mut()),
            Self::Standard(out) => Sink::Pieces(out),
            Self::Diff(out) => Sink::Diff(Diff::new(name, out)),
        }
    }
}

impl Sink<'_> {
    fn piece(&mut self, piece: Piece<'_>) -> io::Result<()> {
        match self {
            Self::Pieces(out) => out.write_all(piece.after),
            Self::Diff(diff) => diff.piece(piece),
        }
    }

    fn end(self) -> io::Result<()> {
        match self {
            Self::Pieces(out) => out.flush(),
            Self::Diff(diff) => diff.end().map(drop),
        }
    }
}

/// Everything that is told on standard error.
struct Report {
    printer: Box<dyn Printer>,
    /// Reasons for leaving something that were shown.
    reasons: u64,
    /// So many of them are shown.
    most: u64,
    /// What was mended in each file, told after the findings.
    mended: Vec<String>,
}

impl Report {
    fn new(most: Option<u64>) -> Self {
        let most = most.unwrap_or(MOST);
        let style = Style { most, folds: true, ..Style::default() };
        Self { printer: Format::Brief.printer(style), reasons: 0, most, mended: Vec::new() }
    }

    fn say(line: &str) {
        report(line);
    }
}

/// What the whole run came to.
struct Run {
    summary: Summary,
    mended: Mended,
    /// Records that were mended.
    records: u64,
    report: Report,
}

impl Run {
    fn failed(&mut self, input: &Input, why: &str) {
        complain(&Failure::Asked(format!("{}: {why}", input_name(input))));
        self.summary.unreadable += 1;
    }

    /// Puts a repaired file in its place, and counts.
    fn repaired(
        &mut self,
        input: &Input,
        name: &str,
        outcome: &Outcome,
        target: Target,
        asked: &Repair,
    ) -> Result<(), Failure> {
        if let Target::Replacement(file) = target
            && (!outcome.mended.is_empty() || asked.to.is_some())
            && let Err(error) = file.finish()
        {
            self.failed(input, &format!("it cannot be written: {}", why_not_written(&error)));
            return Ok(());
        }
        let printer = &mut self.report.printer;
        printer.file_end(&mut io::stderr(), name, outcome.records).map_err(Failure::writing("standard error"))?;
        if !outcome.mended.is_empty() {
            let words: Vec<String> = outcome.mended.iter().map(|(mend, count)| mend.words(*count)).collect();
            let verb = if asked.writes() { "mended" } else { "to mend" };
            self.report.mended.push(format!("{}: {verb}: {}", shown(name), words.join(", ")));
        }
        for (mend, count) in &outcome.mended {
            *self.mended.entry(*mend).or_default() += count;
        }
        self.records += outcome.mended_records;
        self.summary.files += 1;
        self.summary.records += outcome.records;
        self.summary.records_with_findings += outcome.with_findings;
        self.summary.bytes += outcome.bytes;
        Ok(())
    }

    fn end(&mut self, asked: &Repair) -> Result<(), Failure> {
        if self.report.most > 0 {
            let shown = self.report.printer.end(&mut io::stderr(), &self.summary);
            shown.map_err(Failure::writing("standard error"))?;
        }
        self.report.mended.iter().for_each(|line| Report::say(line));
        if !self.mended.is_empty() && !asked.writes() {
            Report::say("nothing was written: oar repair --write mends the files");
        }
        let after = if self.mended.is_empty() { "nothing to mend" } else { "left after the repair" };
        Report::say(&format!("{after}: {}", totals_line(&self.summary)));
        Ok(())
    }
}

impl Repair {
    fn writes(&self) -> bool {
        self.write || self.to.is_some()
    }
}

/// Passes on what a file has.
struct Watch<'a> {
    name: &'a str,
    sink: Sink<'a>,
    /// Why the sink could not be written.
    failed: Option<io::Error>,
    run: &'a mut Run,
}

impl Watcher for Watch<'_> {
    fn piece(&mut self, piece: Piece<'_>) -> io::Result<()> {
        self.sink.piece(piece).inspect_err(|error| {
            self.failed = Some(io::Error::new(error.kind(), reason(error)));
        })
    }

    fn left(&mut self, record: u64, left: &Left) -> io::Result<()> {
        self.run.report.reasons += 1;
        if self.run.report.reasons <= self.run.report.most {
            let name = shown(self.name);
            Report::say(&format!("{name}: left as it is: record {record} {}: {}", left.pointer, left.why));
        }
        Ok(())
    }

    fn finding(&mut self, record: u64, finding: &Finding) -> io::Result<()> {
        self.run.summary.count(finding);
        let item = Item { file: self.name, record, finding };
        self.run.report.printer.finding(&mut io::stderr(), &item)
    }

    fn partial(&mut self, record: u64, partial: &Partial) -> io::Result<()> {
        self.run.summary.count_partial(partial);
        self.run.report.printer.partial(&mut io::stderr(), self.name, record, partial)
    }
}
