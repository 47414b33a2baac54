//! `oar digest`: the digest of each record, independent of its layout.

use std::io::{self, BufWriter, Read, Write};
use std::path::PathBuf;

use clap::Args;
use open_aligner_record::Checker;
use open_aligner_record::canonical::{CanonicalError, canonical, digest};
use open_aligner_record::output::{shown, visible};
use open_aligner_record::read::frames::{Frame, Frames, Layout, Next};
use open_aligner_record::read::inputs::{Input, Missed, find, reason};
use open_aligner_record::read::stream;

use super::settings_options::{ConfigFile, largest_record};
use super::temporary::name_leftovers;
use super::{CLEAN, COULD_NOT, Failure, complain};

/// Print a digest of each record that does not depend on its layout
///
/// The digest is the SHA-256 of the record's canonical bytes (RFC 8785).
#[derive(Args)]
#[allow(clippy::doc_markdown, reason = "the comments on fields are the help as it is shown")]
pub(crate) struct Digest {
    /// Files, folders, or - for standard input, as for oar check
    #[arg(required = true, value_name = "PATH")]
    paths: Vec<PathBuf>,

    /// Print the canonical bytes instead; one line for each record of JSON Lines
    #[arg(long)]
    bytes: bool,

    #[command(flatten)]
    config: ConfigFile,
}

const TOO_LARGE: &str = "the record is too large";

/// Why a file was not read to the end.
enum Stop {
    Reading(io::Error),
    Writing(io::Error),
}

impl Digest {
    /// Prints a line for each record, and gives the exit code.
    pub(crate) fn run(self) -> Result<u8, Failure> {
        let largest = largest_record(self.config.find(&self.paths)?.as_ref())?;
        let found = find(&self.paths, &[]);
        name_leftovers(&found.partial);
        let mut failed = false;
        let mut report = |name: &str, why: &str| {
            failed = true;
            let name = if name == "-" { "standard input".to_owned() } else { shown(name) };
            complain(&Failure::Message(format!("{name}: {why}")));
        };
        for Missed { path, error, .. } in &found.missed {
            report(&Input::File(path.clone()).name(), &reason(error));
        }
        let mut out = BufWriter::new(io::stdout().lock());
        for input in &found.inputs {
            match self.file(input, largest, &mut out, &mut report) {
                Ok(()) => {}
                Err(Stop::Reading(error)) => report(&input.name(), &reason(&error)),
                Err(Stop::Writing(error)) => return Err(Failure::Writing("standard output".to_owned(), error)),
            }
        }
        out.flush().map_err(Failure::writing("standard output"))?;
        Ok(if failed { COULD_NOT } else { CLEAN })
    }

    fn file(
        &self,
        input: &Input,
        largest: usize,
        out: &mut dyn Write,
        report: &mut dyn FnMut(&str, &str),
    ) -> Result<(), Stop> {
        let reader = stream::open(input).map_err(Stop::Reading)?;
        let mut frames: Frames<Box<dyn Read>> = Frames::new(reader, input.says_lines(), largest);
        let (mut frame, name, mut empty) = (Frame::default(), input.name(), true);
        loop {
            match frames.next(&mut frame).map_err(Stop::Reading)? {
                Next::End if frames.broke_off() => {
                    return Err(Stop::Reading(io::Error::other("its data is cut short")));
                }
                Next::End if empty => return Err(Stop::Reading(io::Error::other("it has no record"))),
                Next::End => return Ok(()),
                Next::TooLarge(line) => {
                    empty = false;
                    report(&format!("{name}:{line}"), TOO_LARGE);
                }
                Next::Frame if frame.layout == Layout::Document => {
                    empty = false;
                    self.record(&frame.bytes, (&name, None), out, report)?;
                }
                Next::Frame => {
                    for (line, record) in frame.records() {
                        empty = false;
                        if record.len() > largest {
                            report(&format!("{name}:{line}"), TOO_LARGE);
                        } else {
                            self.record(record, (&name, Some(line)), out, report)?;
                        }
                    }
                }
            }
        }
    }

    fn record(
        &self,
        record: &[u8],
        (file, line): (&str, Option<u64>),
        out: &mut dyn Write,
        report: &mut dyn FnMut(&str, &str),
    ) -> Result<(), Stop> {
        let name = &line.map_or(file.to_owned(), |line| format!("{file}:{line}"));
        let end = if line.is_some() { "\n" } else { "" };
        let text = if self.bytes {
            canonical(record).map(|bytes| [bytes.as_slice(), end.as_bytes()].concat())
        } else {
            digest(record).map(|digest| line_of(&digest, name).into_bytes())
        };
        match text {
            Ok(text) => out.write_all(&text).map_err(Stop::Writing),
            Err(error) => {
                match syntax(record, line.unwrap_or(1)).filter(|_| matches!(error, CanonicalError::Syntax(_))) {
                    Some((place, why)) => report(&format!("{file}:{place}"), &why),
                    None => report(name, &error.to_string()),
                }
                Ok(())
            }
        }
    }
}

/// A line as `sha256sum` of the GNU coreutils writes and checks it: a backslash, line feed or carriage return in the name is written as
/// `\\`, `\n` or `\r`, and a backslash begins the line then. Other characters that would act are written as `\u{1b}`, which
/// `sha256sum --check` refuses as no line of its own.
fn line_of(digest: &str, name: &str) -> String {
    let escaped = name.replace('\\', "\\\\").replace('\n', "\\n").replace('\r', "\\r");
    let escaped = visible(&escaped);
    let mark = if escaped == name { "" } else { "\\" };
    format!("{mark}{digest}  {escaped}\n")
}

/// Where a record that begins on that line is no JSON, as line and column, and why, in the words of `oar check`.
fn syntax(record: &[u8], line: u64) -> Option<(String, String)> {
    let findings = Checker::new().without_excerpts().check_from(record, line).into_findings();
    let found = findings.iter().find(|found| found.rule.theme == "file" && found.rule.name != "byte_order_mark")?;
    Some((format!("{}:{}", found.place.line, found.place.column), found.message()))
}
