//! `oar repair`: fixes errors when the fix is certain.

use std::fs::File;
use std::io::{self, BufWriter, Stdout, Write};
use std::path::PathBuf;

use clap::Args;
use open_aligner_record::finding::{Finding, Item};
use open_aligner_record::output::{OutputFormat, Printer, Style, shown, totals_line};
use open_aligner_record::partial::Partial;
use open_aligner_record::read::inputs::{FoundInputs, Input, Missed, reason};
use open_aligner_record::repair::diff::Diff;
use open_aligner_record::repair::file::{FileOutcome, RepairedPiece, Watcher, repair_reader};
use open_aligner_record::repair::{Fixes, Left, Repairer};
use open_aligner_record::run::Event;
use open_aligner_record::summary::Summary;

use super::options::{ExitOptions, number_or_all};
use super::outputs::input_name;
use super::overwrite_guard::refuse_existing;
use super::replace::Replacement;
use super::settings_options::SettingsOptions;
use super::temporary::{name_leftovers, name_leftovers_in};
use super::{COULD_NOT, Failure, complain, is_quiet, report, why_not_written};

/// How many findings and reasons are shown by default.
const MAX_CHANGES: u64 = 100;

/// Fix errors when the fix is certain; by default, only show the changes
#[derive(Args)]
#[command(after_help = EXIT_CODES, after_long_help = LONG_HELP)]
#[allow(clippy::doc_markdown, reason = "the comments on fields are the help as it is shown")]
pub(crate) struct Repair {
    /// Files, folders, or - for standard input, as for oar check
    #[arg(required = true, value_name = "PATH")]
    paths: Vec<PathBuf>,

    /// Replace the files by the repaired ones; by default, a unified diff shows the changes
    #[arg(long, conflicts_with = "output")]
    write: bool,

    /// Write the repaired file to PATH, or - for standard output; for a single file
    #[arg(short, long, value_name = "PATH")]
    output: Option<PathBuf>,

    /// With --output, overwrite an existing file
    #[arg(long, requires = "output")]
    overwrite: bool,

    /// Also format records: fields in the order of the format, uniform white space
    #[arg(long)]
    layout: bool,

    /// List at most N remaining findings and N reasons; 0 lists none, all has no limit [default: 100]
    #[arg(long, value_name = "N", value_parser = number_or_all, allow_negative_numbers = true)]
    max_changes: Option<u64>,

    #[command(flatten)]
    exit: ExitOptions,

    #[command(flatten)]
    settings: SettingsOptions,
}

const EXIT_CODES: &str = "Exit code: 0 no findings remain at the fail level, 1 findings remain, 2 some input could not be read or the command failed";

const LONG_HELP: &str = "\
Exit code:
  0  after the repair, no findings remain at the fail level or above
  1  findings remain, for a person to fix
  2  a file could not be read or written, or the command failed; the other files were repaired

Examples:
  oar repair exports                       show the changes
  oar repair --write exports               repair the files
  oar repair -o - - < a.oar.json           repair standard input to standard output
  oar repair --layout --write a.oar.json   repair and format a file";

impl Repair {
    /// Repairs, and gives the exit code.
    pub(crate) fn run(self) -> Result<u8, Failure> {
        let settings = self.settings.resolve(&self.paths)?;
        let found = settings.selection().find(&self.paths);
        self.refuse(&found)?;
        name_leftovers(&found.partial);
        for path in self.paths.iter().filter(|path| path.is_file()) {
            name_leftovers_in(path.parent().unwrap_or(path));
        }
        let to = self.output.as_ref().filter(|to| to.as_os_str() != "-");
        settings.protected(&found.inputs, "is to be repaired (--write would replace it)").refuse(to, "records")?;
        refuse_existing(to, self.overwrite)?;
        let mut run = Run {
            summary: Summary::default(),
            fixes: Fixes::new(),
            records: 0,
            report: RepairReport::new(self.max_changes),
        };
        for Missed { path, error, .. } in &found.missed {
            run.failed(&Input::File(path.clone()), &reason(error));
        }
        let mut repairer = Repairer::with_settings(&settings.settings);
        for input in &found.inputs {
            self.file(input, &mut repairer, &mut run)?;
        }
        run.end(&self)?;
        if run.summary.unreadable > 0 {
            return Ok(COULD_NOT);
        }
        Ok(self.exit.code(run.summary.fails(settings.fail_level.0)))
    }

    /// Refuses what cannot be done before anything is done.
    fn refuse(&self, found: &FoundInputs) -> Result<(), Failure> {
        if self.write && found.inputs.contains(&Input::Standard) {
            let text = "standard input has no file to replace: use -o PATH instead of --write";
            return Err(Failure::Message(text.to_owned()));
        }
        match (&self.output, found.inputs.len() + found.missed.len()) {
            (Some(_), count) if count != 1 => {
                Err(Failure::Message(format!("--output takes a single file, but there are {count}: use --write")))
            }
            _ => Ok(()),
        }
    }

    /// Repairs one file. A failure is reported, and the run goes on.
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
            (_, Some(error)) if !matches!(target, RepairTarget::Replacement(_)) => {
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

    fn target(&self, input: &Input) -> io::Result<RepairTarget> {
        match (input, &self.output) {
            (Input::File(path), None) if self.write => {
                Replacement::of(path).map(|file| RepairTarget::Replacement(Box::new(file)))
            }
            (_, Some(to)) if to.as_os_str() != "-" => {
                Replacement::new(to, self.overwrite).map(|file| RepairTarget::Replacement(Box::new(file)))
            }
            (_, Some(_)) => Ok(RepairTarget::Standard(BufWriter::new(io::stdout()))),
            (_, None) => Ok(RepairTarget::Diff(BufWriter::new(io::stdout()))),
        }
    }
}

/// Where the repaired file goes.
enum RepairTarget {
    Replacement(Box<Replacement>),
    Standard(BufWriter<Stdout>),
    Diff(BufWriter<Stdout>),
}

/// Where the pieces of a file go.
enum PieceSink<'a> {
    Pieces(&'a mut dyn Write),
    Diff(Diff<'a>),
}

impl RepairTarget {
    fn sink(&mut self, name: &str) -> PieceSink<'_> {
        match self {
            Self::Replacement(file) => PieceSink::Pieces(file.as_mut()),
            Self::Standard(out) => PieceSink::Pieces(out),
            Self::Diff(out) => PieceSink::Diff(Diff::new(name, out)),
        }
    }
}

impl PieceSink<'_> {
    fn piece(&mut self, piece: RepairedPiece<'_>) -> io::Result<()> {
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

/// What is reported on standard error.
struct RepairReport {
    printer: Box<dyn Printer>,
    /// Reasons why something was not changed that were shown.
    reasons: u64,
    /// The most of them that are shown.
    most: u64,
    /// What was fixed in each file, reported after the findings.
    fixed: Vec<String>,
}

impl RepairReport {
    fn new(most: Option<u64>) -> Self {
        let most = most.unwrap_or(MAX_CHANGES);
        let style = Style::default().most(most).folds(true).totals(!is_quiet());
        Self { printer: OutputFormat::Brief.printer(style), reasons: 0, most, fixed: Vec::new() }
    }

    fn say(line: &str) {
        report(line);
    }
}

/// The result of the whole run.
struct Run {
    summary: Summary,
    fixes: Fixes,
    /// Records that were fixed.
    records: u64,
    report: RepairReport,
}

impl Run {
    fn failed(&mut self, input: &Input, why: &str) {
        complain(&Failure::Message(format!("{}: {why}", input_name(input))));
        self.summary.unreadable += 1;
    }

    /// Puts a repaired file in its place, and counts.
    fn repaired(
        &mut self,
        input: &Input,
        name: &str,
        outcome: &FileOutcome,
        target: RepairTarget,
        asked: &Repair,
    ) -> Result<(), Failure> {
        if let RepairTarget::Replacement(file) = target
            && (!outcome.fixes.is_empty() || asked.output.is_some())
            && let Err(error) = file.finish()
        {
            self.failed(input, &format!("it cannot be written: {}", why_not_written(&error)));
            return Ok(());
        }
        let printer = &mut self.report.printer;
        let end = Event::FileEnd { file: name, records: outcome.records };
        printer.event(&mut io::stderr(), &end).map_err(Failure::writing("standard error"))?;
        if !outcome.fixes.is_empty() {
            let words: Vec<String> = outcome.fixes.iter().map(|(fix, count)| fix.words(*count)).collect();
            let verb = if asked.writes() { "fixed" } else { "to fix" };
            self.report.fixed.push(format!("{}: {verb}: {}", shown(name), words.join(", ")));
        }
        for (fix, count) in &outcome.fixes {
            *self.fixes.entry(*fix).or_default() += count;
        }
        self.records += outcome.fixed_records;
        self.summary.files += 1;
        self.summary.records += outcome.records;
        self.summary.records_with_findings += outcome.with_findings;
        self.summary.bytes += outcome.bytes;
        Ok(())
    }

    fn end(&mut self, asked: &Repair) -> Result<(), Failure> {
        if self.report.most > 0 {
            let shown = self.report.printer.event(&mut io::stderr(), &Event::End(&self.summary));
            shown.map_err(Failure::writing("standard error"))?;
        }
        if is_quiet() {
            return Ok(());
        }
        self.report.fixed.iter().for_each(|line| RepairReport::say(line));
        if !self.fixes.is_empty() && !asked.writes() {
            RepairReport::say("nothing was written: oar repair --write repairs the files");
        }
        let after = if self.fixes.is_empty() { "nothing to fix" } else { "after the repair" };
        RepairReport::say(&format!("{after}: {}", totals_line(&self.summary)));
        Ok(())
    }
}

impl Repair {
    fn writes(&self) -> bool {
        self.write || self.output.is_some()
    }
}

/// Passes on the events of a file.
struct Watch<'a> {
    name: &'a str,
    sink: PieceSink<'a>,
    /// Why the sink could not be written.
    failed: Option<io::Error>,
    run: &'a mut Run,
}

impl Watcher for Watch<'_> {
    fn piece(&mut self, piece: RepairedPiece<'_>) -> io::Result<()> {
        self.sink.piece(piece).inspect_err(|error| {
            self.failed = Some(io::Error::new(error.kind(), reason(error)));
        })
    }

    fn left(&mut self, record: u64, left: &Left) -> io::Result<()> {
        self.run.report.reasons += 1;
        if self.run.report.reasons <= self.run.report.most {
            let name = shown(self.name);
            RepairReport::say(&format!("{name}: not changed: record {record} {}: {}", left.pointer, left.why));
        }
        Ok(())
    }

    fn finding(&mut self, record: u64, finding: &Finding) -> io::Result<()> {
        self.run.summary.count(finding);
        let item = Item { file: self.name, record, finding };
        self.run.report.printer.event(&mut io::stderr(), &Event::Finding(item))
    }

    fn partial(&mut self, record: u64, partial: &Partial) -> io::Result<()> {
        self.run.summary.count_partial(partial);
        let event = Event::Partial { file: self.name, record, partial };
        self.run.report.printer.event(&mut io::stderr(), &event)
    }
}
