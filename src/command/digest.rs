//! `oar digest`: the digest of each record, whatever its layout.

use std::io::{self, BufWriter, Read, Write};
use std::path::PathBuf;

use clap::Args;
use oar_schema::limits::Limits;
use open_aligner_record::canonical::{canonical, digest};
use open_aligner_record::read::frames::{Frame, Frames, Layout, Next};
use open_aligner_record::read::inputs::{Input, Missed, find, reason};
use open_aligner_record::read::stream;

use super::{CLEAN, COULD_NOT, Failure, complain};

/// Print the SHA-256 of each record's canonical bytes (RFC 8785), which its layout does not change.
#[derive(Args)]
#[allow(clippy::doc_markdown, reason = "the comments on fields are the help as it is shown")]
pub(crate) struct Digest {
    /// Files, folders, or - for standard input, as oar check takes them
    #[arg(required = true, value_name = "PATH")]
    paths: Vec<PathBuf>,

    /// Print the canonical bytes themselves; records of JSON Lines one a line
    #[arg(long)]
    bytes: bool,
}

/// Why a file was not read to its end.
enum Stop {
    Reading(io::Error),
    Writing(io::Error),
}

impl Digest {
    /// Prints a line for each record, and gives the exit code.
    pub(crate) fn run(self) -> Result<u8, Failure> {
        let found = find(&self.paths, &[]);
        let mut failed = false;
        let mut tell = |name: &str, why: &str| {
            failed = true;
            let shown = if name == "-" { "standard input" } else { name };
            complain(&Failure::Asked(format!("{shown}: {why}")));
        };
        for Missed { path, error } in &found.missed {
            tell(&Input::File(path.clone()).name(), &reason(error));
        }
        let mut out = BufWriter::new(io::stdout().lock());
        for input in &found.inputs {
            match self.file(input, &mut out, &mut tell) {
                Ok(()) => {}
                Err(Stop::Reading(error)) => tell(&input.name(), &reason(&error)),
                Err(Stop::Writing(error)) => return Err(Failure::Writing("standard output".to_owned(), error)),
            }
        }
        out.flush().map_err(Failure::writing("standard output"))?;
        Ok(if failed { COULD_NOT } else { CLEAN })
    }

    fn file(&self, input: &Input, out: &mut dyn Write, tell: &mut dyn FnMut(&str, &str)) -> Result<(), Stop> {
        let largest = Limits::default().largest_record_kilobytes as usize * 1024;
        let reader = stream::open(input).map_err(Stop::Reading)?;
        let mut frames: Frames<Box<dyn Read>> = Frames::new(reader, input.says_lines(), largest);
        let (mut frame, name) = (Frame::default(), input.name());
        loop {
            match frames.next(&mut frame).map_err(Stop::Reading)? {
                Next::End if frames.broke_off() => {
                    return Err(Stop::Reading(io::Error::other("its data ends in the middle")));
                }
                Next::End => return Ok(()),
                Next::TooLarge(line) => tell(&format!("{name}:{line}"), "the record is too large to be held"),
                Next::Frame if frames.start().layout == Layout::Document => {
                    self.record(&frame.bytes, &name, "", out, tell)?;
                }
                Next::Frame => {
                    for (line, record) in (frame.line..).zip(frame.bytes.split(|byte| *byte == b'\n')) {
                        if !record.trim_ascii().is_empty() {
                            self.record(record, &format!("{name}:{line}"), "\n", out, tell)?;
                        }
                    }
                }
            }
        }
    }

    fn record(
        &self,
        record: &[u8],
        name: &str,
        end: &str,
        out: &mut dyn Write,
        tell: &mut dyn FnMut(&str, &str),
    ) -> Result<(), Stop> {
        let text = if self.bytes {
            canonical(record).map(|bytes| [bytes.as_slice(), end.as_bytes()].concat())
        } else {
            digest(record).map(|digest| format!("{digest}  {name}\n").into_bytes())
        };
        match text {
            Ok(text) => out.write_all(&text).map_err(Stop::Writing),
            Err(error) => {
                tell(name, &error.to_string());
                Ok(())
            }
        }
    }
}
