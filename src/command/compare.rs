//! `oar compare`: what is new and what is gone between two reports.

use std::fs::File;
use std::io::{self, BufRead, Write};
use std::path::{Path, PathBuf};

use clap::Args;
use open_aligner_record::compare::{
    Comparison, ComparisonHead, ComparisonLine, ReportError, ReportedFinding, findings,
};
use open_aligner_record::fingerprint::Key;
use open_aligner_record::output::{shown, shown_path, visible};

use super::bounded_read::lines;
use super::options::{ExitOptions, number_or_all};
use super::outputs::{ReportFormat, Sink, Target, report_help};
use super::overwrite_guard::ProtectedFiles;
use super::settings_options::FailLevel;
use super::{Failure, is_quiet};

/// How many findings of a kind are listed by default.
const MAX_FINDINGS: u64 = 100;

/// Compare two reports and list new and gone findings
#[derive(Args)]
#[command(after_help = EXIT_CODES, after_long_help = LONG_HELP)]
#[allow(clippy::doc_markdown, reason = "the comments on fields are the help as it is shown")]
pub(crate) struct Compare {
    /// The old report, a file that oar check -o jsonl=FILE wrote
    #[arg(value_name = "OLD")]
    old: PathBuf,

    /// The new report, or - for standard input
    #[arg(value_name = "NEW")]
    new: PathBuf,

    /// Write the comparison as FORMAT, to FILE or standard output; repeatable
    #[arg(short, long, value_name = "FORMAT[=FILE]", default_value = "text", long_help = report_help::<ComparisonFormat>())]
    output: Vec<String>,

    /// In text, list at most N new and N gone findings; 0 lists none, all has no limit [default: 100]
    #[arg(long, value_name = "N", value_parser = number_or_all, allow_negative_numbers = true)]
    max_findings: Option<u64>,

    /// Exit with code 1 for new findings of LEVEL or above
    #[arg(long, value_name = "LEVEL", default_value = "note")]
    fail_level: FailLevel,

    #[command(flatten)]
    exit: ExitOptions,
}

const EXIT_CODES: &str = "Exit code: 0 no new findings at the fail level, 1 new findings, 2 a report could not be read";

const LONG_HELP: &str = "\
Exit code:
  0  no new findings at the fail level or above
  1  new findings at the fail level or above
  2  a report could not be read, or the command failed

Example:
  oar check -o jsonl=old.jsonl exports       before a change of the exporter
  oar check -o jsonl=new.jsonl exports       after it
  oar compare old.jsonl new.jsonl            what the change did";

/// The formats of a comparison.
#[derive(Clone, Copy, PartialEq, Eq)]
enum ComparisonFormat {
    Text,
    Jsonl,
}

impl ReportFormat for ComparisonFormat {
    const ALL: &'static [(Self, &'static str, &'static str)] = &[
        (Self::Text, "text", "new and gone findings and the totals, for people"),
        (Self::Jsonl, "jsonl", "one JSON object a line, for programs"),
    ];
    const REPORT: &'static str = "the comparison";
    const EXAMPLE: &'static str = "jsonl=comparison.jsonl";
}

impl Compare {
    /// Compares, and gives the exit code.
    pub(crate) fn run(self) -> Result<u8, Failure> {
        if self.old.as_os_str() == "-" {
            let text = "the old report cannot come from standard input: write it to a file and give its name";
            return Err(Failure::Message(text.to_owned()));
        }
        let targets = Target::parse_all(&self.output)?;
        let protected = ProtectedFiles::default().and(Some(&self.old), "is the old report");
        Target::refuse_clashes(&targets, &protected.and(Some(&self.new), "is the new report"))?;
        let (mut comparison, mut fails) = (Comparison::default(), false);
        each(&self.old, &mut |key, finding| {
            comparison.add_old(key, finding);
            Ok(())
        })?;
        let mut writers = Writers::open(&targets, self.max_findings.unwrap_or(MAX_FINDINGS))?;
        writers.head().map_err(Failure::writing("the comparison"))?;
        each(&self.new, &mut |key, finding| {
            if !comparison.add_new(key, finding) {
                return Ok(());
            }
            fails |= self.fail_level.is_reached(&finding.level);
            writers.finding("new", finding)
        })?;
        writers.end_list("new").map_err(Failure::writing("the comparison"))?;
        // The old report is read a second time, so that its findings need not be held.
        each(&self.old, &mut |key, finding| {
            if comparison.is_gone(key) { writers.finding("gone", finding) } else { Ok(()) }
        })?;
        let ended = writers.end_list("gone").and_then(|()| writers.end(&comparison));
        ended.map_err(Failure::writing("the comparison"))?;
        Sink::close_all(writers.0.into_iter().map(|writer| writer.out))?;
        Ok(self.exit.code(fails))
    }
}

/// All outputs.
struct Writers(Vec<ComparisonWriter<Sink>>);

impl Writers {
    fn open(targets: &[Target<ComparisonFormat>], most: u64) -> Result<Self, Failure> {
        let open = |target: &Target<ComparisonFormat>| {
            let out = Sink::open(target.file.as_ref(), io::stdout())?;
            let totals = target.file.is_some() || !is_quiet();
            Ok(ComparisonWriter { out, format: target.format, listed: 0, most, totals })
        };
        targets.iter().map(open).collect::<Result<_, _>>().map(Self)
    }

    fn head(&mut self) -> io::Result<()> {
        self.0.iter_mut().try_for_each(ComparisonWriter::head)
    }

    fn finding(&mut self, kind: &str, finding: &ReportedFinding) -> io::Result<()> {
        self.0.iter_mut().try_for_each(|writer| writer.finding(kind, finding))
    }

    fn end_list(&mut self, kind: &str) -> io::Result<()> {
        self.0.iter_mut().try_for_each(|writer| writer.end_list(kind))
    }

    fn end(&mut self, comparison: &Comparison) -> io::Result<()> {
        self.0.iter_mut().try_for_each(|writer| writer.end(comparison))
    }
}

/// Reads the findings of a report one by one.
fn each(path: &Path, take: &mut dyn FnMut(Key, &ReportedFinding) -> io::Result<()>) -> Result<(), Failure> {
    let mut failed = None;
    let read = opened(path).map_err(ReportError::Io).and_then(|file| {
        findings(file, &mut |key, finding| {
            if failed.is_none() {
                failed = take(key, &finding).err();
            }
        })
    });
    match (failed, read) {
        (Some(error), _) => Err(Failure::writing("the comparison")(error)),
        (None, Err(why)) => Err(Failure::Message(format!("{}: {why}", path_name(path)))),
        (None, Ok(())) => Ok(()),
    }
}

fn opened(path: &Path) -> io::Result<Box<dyn BufRead>> {
    if path.as_os_str() == "-" {
        return Ok(Box::new(lines(io::stdin().lock())));
    }
    Ok(Box::new(lines(File::open(path)?)))
}

fn path_name(path: &Path) -> String {
    if path.as_os_str() == "-" { "standard input".to_owned() } else { shown_path(path) }
}

struct ComparisonWriter<W: Write> {
    out: W,
    format: ComparisonFormat,
    /// How many findings of the current kind there were.
    listed: u64,
    most: u64,
    totals: bool,
}

impl<W: Write> ComparisonWriter<W> {
    fn head(&mut self) -> io::Result<()> {
        match self.format {
            ComparisonFormat::Text => Ok(()),
            ComparisonFormat::Jsonl => self.line(&ComparisonLine::Comparison(ComparisonHead::default())),
        }
    }

    fn finding(&mut self, kind: &str, finding: &ReportedFinding) -> io::Result<()> {
        self.listed += 1;
        if self.format == ComparisonFormat::Jsonl {
            return self.line(&if kind == "new" {
                ComparisonLine::New(finding)
            } else {
                ComparisonLine::Gone(finding)
            });
        }
        if self.listed > self.most {
            return Ok(());
        }
        let ReportedFinding { rule, level, file, line, column, pointer, message, .. } = finding;
        let gap = if pointer.is_empty() { "" } else { " " };
        let file = shown(file);
        let text = format!("{kind:<4}  {file}:{line}:{column}: {level} {rule}{gap}{pointer}: {message}");
        writeln!(self.out, "{}", visible(&text))
    }

    /// Ends the list of a kind.
    fn end_list(&mut self, kind: &str) -> io::Result<()> {
        let listed = std::mem::take(&mut self.listed);
        let more = listed.saturating_sub(self.most);
        match (self.format, listed) {
            (ComparisonFormat::Jsonl, _) | (_, 0) => Ok(()),
            _ if more > 0 && self.most > 0 => writeln!(self.out, "… and {more} more {kind}\n"),
            _ if more > 0 => Ok(()),
            _ => writeln!(self.out),
        }
    }

    fn end(&mut self, comparison: &Comparison) -> io::Result<()> {
        if self.format == ComparisonFormat::Jsonl {
            self.line(&ComparisonLine::Summary(comparison.totals()))?;
            return self.out.flush();
        }
        if !self.totals {
            return self.out.flush();
        }
        let changed = comparison.by_rule.iter().filter(|(_, one)| one.new + one.gone > 0);
        let rows: Vec<_> = changed.collect();
        if !rows.is_empty() {
            writeln!(self.out, "{:>6}  {:>6}  {:>6}  rule", "new", "gone", "same")?;
            for (rule, one) in rows {
                writeln!(self.out, "{:>6}  {:>6}  {:>6}  {}", one.new, one.gone, one.same, visible(rule))?;
            }
            writeln!(self.out)?;
        }
        let total = comparison.total();
        writeln!(self.out, "{} new, {} gone, {} the same", total.new, total.gone, total.same)?;
        self.out.flush()
    }

    fn line(&mut self, line: &ComparisonLine<'_>) -> io::Result<()> {
        serde_json::to_writer(&mut self.out, line)?;
        writeln!(self.out)
    }
}
