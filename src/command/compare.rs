//! `oar compare`: what is new and what is gone between two reports.

use std::fs::File;
use std::io::{self, BufRead, BufWriter, Write};
use std::path::{Path, PathBuf};

use clap::Args;
use open_aligner_record::compare::{Comparison, Told, Unread, findings};
use open_aligner_record::fingerprint::Key;
use open_aligner_record::output::{shown, shown_path, visible};
use serde_json::{Value, json};

use super::check::most;
use super::chosen::FailLevel;
use super::side_file::lines;
use super::{CLEAN, FOUND, Failure};

/// How many findings of a kind are listed, unless it is said.
const MOST: u64 = 100;

/// Compare two reports and say which findings are new and which are gone.
#[derive(Args)]
#[command(
    after_help = "Exit code: 0 nothing is new at the fail level or above it, 1 something is, 2 a report could not be read"
)]
#[allow(clippy::doc_markdown, reason = "the comments on fields are the help as it is shown")]
pub(crate) struct Compare {
    /// The report of before, as oar check --output jsonl=FILE writes it
    old: PathBuf,

    /// The report of now, or - for standard input
    new: PathBuf,

    /// Write the comparison as text or jsonl
    #[arg(short, long, value_name = "FORMAT", default_value = "text", value_parser = Form::parse)]
    output: Form,

    /// List at most so many new and so many gone findings in text; 0 only the totals, all has no limit [default: 100]
    #[arg(long, value_name = "NUMBER", value_parser = most, allow_negative_numbers = true)]
    most: Option<u64>,

    /// From which level on a new finding makes the exit code 1
    #[arg(long, value_name = "LEVEL", default_value = "note")]
    fail_level: FailLevel,
}

#[derive(Clone, Copy, PartialEq, Eq)]
enum Form {
    Text,
    Jsonl,
}

impl Form {
    fn parse(text: &str) -> Result<Self, String> {
        match text.split_once('=') {
            None if text == "text" => Ok(Self::Text),
            None if text == "jsonl" => Ok(Self::Jsonl),
            Some((form, file)) => Err(format!("a comparison goes to standard output: write -o {form} > {file}")),
            None => Err("give text or jsonl".to_owned()),
        }
    }
}

impl Compare {
    /// Compares, and gives the exit code.
    pub(crate) fn run(self) -> Result<u8, Failure> {
        if self.old.as_os_str() == "-" {
            let text = "standard input cannot be read twice: write the report of before to a file and name that";
            return Err(Failure::Asked(text.to_owned()));
        }
        let (mut comparison, mut fails) = (Comparison::default(), false);
        each(&self.old, &mut |key, told| {
            comparison.add_old(key, told);
            Ok(())
        })?;
        let mut writer = Writer { out: BufWriter::new(io::stdout()), form: self.output, listed: 0, most: self.most() };
        writer.head().map_err(Failure::writing("standard output"))?;
        each(&self.new, &mut |key, told| {
            if !comparison.add_new(key, told) {
                return Ok(());
            }
            fails |= self.fail_level.is_reached(&told.level);
            writer.finding("new", told)
        })?;
        writer.turn("new").map_err(Failure::writing("standard output"))?;
        // The first report is read once more, so that its findings need not be held.
        each(&self.old, &mut |key, told| {
            if comparison.is_gone(key) { writer.finding("gone", told) } else { Ok(()) }
        })?;
        let ended = writer.turn("gone").and_then(|()| writer.end(&comparison));
        ended.map_err(Failure::writing("standard output"))?;
        Ok(if fails { FOUND } else { CLEAN })
    }

    fn most(&self) -> u64 {
        self.most.unwrap_or(MOST)
    }
}

/// Goes through the findings of a report.
fn each(path: &Path, tell: &mut dyn FnMut(Key, &Told) -> io::Result<()>) -> Result<(), Failure> {
    let mut failed = None;
    let read = opened(path).map_err(Unread::Io).and_then(|file| {
        findings(file, &mut |key, told| {
            if failed.is_none() {
                failed = tell(key, &told).err();
            }
        })
    });
    match (failed, read) {
        (Some(error), _) => Err(Failure::writing("standard output")(error)),
        (None, Err(why)) => Err(Failure::Asked(format!("{}: {why}", path_name(path)))),
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

struct Writer<W: Write> {
    out: W,
    form: Form,
    /// How many findings of the kind that is told have been.
    listed: u64,
    most: u64,
}

impl<W: Write> Writer<W> {
    fn head(&mut self) -> io::Result<()> {
        match self.form {
            Form::Text => Ok(()),
            Form::Jsonl => self.line(&json!({
                "type": "comparison",
                "format": "open-aligner-record comparison",
                "version": "1.0",
                "tool": "oar",
                "tool_version": env!("CARGO_PKG_VERSION"),
            })),
        }
    }

    fn finding(&mut self, kind: &str, told: &Told) -> io::Result<()> {
        self.listed += 1;
        let Told { rule, level, file, line, column, pointer, message, fingerprint } = told;
        if self.form == Form::Jsonl {
            return self.line(&json!({
                "type": kind, "rule": rule, "level": level, "file": file, "line": line, "column": column,
                "pointer": pointer, "message": message, "fingerprint": fingerprint,
            }));
        }
        if self.listed > self.most {
            return Ok(());
        }
        let gap = if pointer.is_empty() { "" } else { " " };
        let file = shown(file);
        let text = format!("{kind:<4}  {file}:{line}:{column}: {level} {rule}{gap}{pointer}: {message}");
        writeln!(self.out, "{}", visible(&text))
    }

    /// Ends the list of a kind.
    fn turn(&mut self, kind: &str) -> io::Result<()> {
        let listed = std::mem::take(&mut self.listed);
        let more = listed.saturating_sub(self.most);
        match (self.form, listed) {
            (Form::Jsonl, _) | (_, 0) => Ok(()),
            _ if more > 0 && self.most > 0 => writeln!(self.out, "… and {more} more {kind}\n"),
            _ if more > 0 => Ok(()),
            _ => writeln!(self.out),
        }
    }

    fn end(&mut self, comparison: &Comparison) -> io::Result<()> {
        let total = comparison.total();
        if self.form == Form::Jsonl {
            let by_rule = comparison
                .by_rule
                .iter()
                .map(|(rule, one)| (rule.clone(), json!({"new": one.new, "gone": one.gone, "same": one.same})));
            let by_rule: serde_json::Map<String, Value> = by_rule.collect();
            self.line(&json!({
                "type": "summary", "new": total.new, "gone": total.gone, "same": total.same, "by_rule": by_rule,
            }))?;
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
        writeln!(self.out, "{} new, {} gone, {} the same", total.new, total.gone, total.same)?;
        self.out.flush()
    }

    fn line(&mut self, value: &Value) -> io::Result<()> {
        writeln!(self.out, "{value}")
    }
}
