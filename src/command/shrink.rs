//! `oar shrink`: the smallest record with a finding, without identifying data.

use std::io::{self, Write};
use std::path::PathBuf;

use clap::Args;
use open_aligner_record::output::visible;
use open_aligner_record::read::frames::{Frame, Frames, Layout, Next};
use open_aligner_record::read::inputs::{Input, reason};
use open_aligner_record::read::stream;
use open_aligner_record::rule::Rule;
use open_aligner_record::settings::{Profile, Switch};
use open_aligner_record::shrink::{ShrinkError, Shrunk, is_about_size, shrink};
use open_aligner_record::{Checker, counted, rules};

use super::atomic_file::write_file;
use super::options::from_one;
use super::outputs::input_name;
use super::overwrite_guard::refuse_existing;
use super::settings_options::{RuleOptions, RunSettings};
use super::{CLEAN, Failure, is_quiet, perhaps};

/// The byte order mark of UTF-8.
const MARK: &[u8] = &[0xef, 0xbb, 0xbf];

/// Make the smallest record that still has a finding, with identifying data replaced
#[derive(Args)]
#[command(after_help = EXIT_CODES, after_long_help = LONG_HELP)]
#[allow(clippy::doc_markdown, reason = "the comments on fields are the help as it is shown")]
pub(crate) struct Shrink {
    /// A file, or - for standard input
    #[arg(value_name = "FILE")]
    file: PathBuf,

    /// The rule of the finding
    #[arg(long, value_name = "RULE")]
    rule: String,

    /// The location of the finding, as oar check shows it [default: the first finding of the rule]
    #[arg(long, value_name = "POINTER", value_parser = pointer)]
    pointer: Option<String>,

    /// The number of the record in the file, from 1 [default: the first with the finding]
    #[arg(long, value_name = "N", value_parser = from_one, allow_negative_numbers = true)]
    record: Option<u64>,

    /// Write the record to PATH [default: standard output]
    #[arg(short, long, value_name = "PATH")]
    output: Option<PathBuf>,

    /// With --output, overwrite an existing file
    #[arg(long, requires = "output")]
    overwrite: bool,

    #[command(flatten)]
    settings: RuleOptions,
}

/// What is said of a line that ends in the middle of its record.
const CUT: &str =
    "ends in the middle of its line; in a file of its own, it breaks the rule cut_short: give --rule cut_short";

const REPLACED: &str =
    "identifiers, texts, dates and times were replaced; a person has to read the record before it leaves the house";

const LONG_HELP: &str = "\
Identifiers, texts, dates and times are replaced, and values that had to be kept are reported. A person has to
read the result before it leaves the house.

Exit code:
  0  the record was written
  2  there is no such finding, or the command failed

Example:
  oar shrink export.oar.jsonl --rule trays_overlap -o example.oar.json";

const EXIT_CODES: &str = "Exit code: 0 the record was written, 2 there is no such finding or the command failed";

impl Shrink {
    /// Shrinks, and gives the exit code.
    pub(crate) fn run(self) -> Result<u8, Failure> {
        let rule = self.rule.trim().to_lowercase().replace([' ', '-'], "_");
        let asked = |why: String| Failure::Message(format!("--rule {}: {why}", visible(&self.rule)));
        let Some(known) = rules::find(&rule) else {
            if rules::all().any(|known| known.theme == rule) {
                return Err(asked(format!("this is a theme: oar explain {rule} lists its rules")));
            }
            let near = perhaps(&rule, rules::all().map(|rule| rule.name));
            return Err(asked(format!("unknown rule{near}")));
        };
        if known.theme == "cohort" {
            return Err(asked("this rule compares records, but only a single record can be shrunk".to_owned()));
        }
        let settings = self.settings.resolve(std::slice::from_ref(&self.file))?;
        let to = self.output.as_ref().filter(|to| to.as_os_str() != "-");
        settings.protected(&[self.input()], "is to be shrunk").refuse(to, "records")?;
        refuse_existing(to, self.overwrite)?;
        let shrunk = self.shrunk(known, &settings)?;
        self.write(&shrunk.text)?;
        let with = settings.file.as_deref().unwrap_or("these options");
        let with = Some(with).filter(|_| !is_found_as_published(&rule, &shrunk));
        let report = report(&rule, &shrunk, with);
        super::report(report.trim_end());
        Ok(CLEAN)
    }

    fn input(&self) -> Input {
        if self.file.as_os_str() == "-" { Input::Standard } else { Input::File(self.file.clone()) }
    }

    fn write(&self, text: &[u8]) -> Result<(), Failure> {
        let Some(to) = self.output.as_ref().filter(|to| to.as_os_str() != "-") else {
            let mut out = io::stdout().lock();
            return out.write_all(text).and_then(|()| out.flush()).map_err(Failure::writing("standard output"));
        };
        write_file(to, text, self.overwrite)
    }

    /// Finds the record and shrinks it.
    fn shrunk(&self, rule: &'static Rule, settings: &RunSettings) -> Result<Shrunk, Failure> {
        let input = self.input();
        let name = input_name(&input);
        let failed = |error: &io::Error| Failure::Message(format!("{name}: {}", reason(error)));
        if is_about_size(rule.name) {
            return Err(Failure::Message(format!("{name}: {}", ShrinkError::NothingToShrink)));
        }
        let reader = stream::open(&input).map_err(|error| failed(&error))?;
        let mut checker = Checker::with_settings(&settings.settings).without_excerpts();
        let mut frames = Frames::new(reader, input.says_lines(), checker.largest_record());
        let (mut frame, mut count) = (Frame::default(), 0);
        let off = settings.settings.level(&[], rule).0 == Switch::Off;
        loop {
            match frames.next(&mut frame).map_err(|error| failed(&error))? {
                Next::End => break,
                Next::TooLarge(_) => count += 1,
                Next::Frame => {
                    let mark = frames.start().byte_order_mark && count == 0 && !off;
                    if let Some(shrunk) = self.in_frame(&frame, mark, rule.name, &mut count, &mut checker) {
                        return shrunk.map_err(|why| Failure::Message(format!("{name}: {why}")));
                    }
                }
            }
        }
        let off = off_where(rule, settings);
        Err(Failure::Message(format!("{name}: {}{off}", self.nothing(rule.name, count))))
    }

    /// The result for the record, if it is in this piece of the file.
    fn in_frame(
        &self,
        frame: &Frame,
        mark: bool,
        rule: &str,
        count: &mut u64,
        checker: &mut Checker,
    ) -> Option<Result<Shrunk, String>> {
        for (_, record) in frame.records() {
            *count += 1;
            if self.record.is_some_and(|number| number != *count) {
                continue;
            }
            let with_mark = if mark && *count == 1 && rule == "byte_order_mark" {
                [MARK, record].concat()
            } else {
                record.to_vec()
            };
            match shrink(&with_mark, rule, self.pointer.as_deref(), checker) {
                Err(ShrinkError::NotFound) if frame.layout == Layout::Lines && is_cut(record, rule, checker) => {
                    return Some(Err(format!("record {count} {CUT}")));
                }
                Err(ShrinkError::NotFound) => {}
                done => return Some(done.map_err(|error| error.to_string())),
            }
        }
        None
    }

    /// What is said when no record has the finding.
    fn nothing(&self, rule: &str, count: u64) -> String {
        let at = self.pointer.as_ref().map_or(String::new(), |pointer| format!(" at {pointer}"));
        match self.record {
            Some(number) if number > count => format!("the file has no record {number}, only {count}"),
            Some(number) => format!("record {number} has no finding of {rule}{at}"),
            None => format!("no record has a finding of {rule}{at}; oar check lists the findings"),
        }
    }
}

/// Reads a JSON Pointer.
fn pointer(text: &str) -> Result<String, String> {
    if text.is_empty() || text.starts_with('/') {
        return Ok(text.to_owned());
    }
    Err("a JSON Pointer begins with /, as in /wear_periods/3".to_owned())
}

/// Whether a line is invalid JSON only because it is cut short. In a file of its own, the record breaks another rule.
fn is_cut(record: &[u8], rule: &str, checker: &mut Checker) -> bool {
    rule == "not_json" && checker.check(record).iter().any(|found| found.rule.name == "cut_short")
}

/// Where a rule is off, if it is.
fn off_where(rule: &Rule, settings: &RunSettings) -> String {
    let settings = &settings.settings;
    let of = |profile: &Profile| settings.level(&settings.profiles_for(profile.pattern()), rule);
    let profiles = settings.profiles.iter().map(|profile| (Some(profile), of(profile)));
    let all = std::iter::once((None, settings.level(&[], rule))).chain(profiles);
    let off = all.filter(|(_, (switch, _))| *switch == Switch::Off);
    let mut described = off.map(|(profile, (_, origin))| {
        let of = profile.map_or(String::new(), |profile| format!(" for records of {}", profile.pattern()));
        format!("; the rule is off{of} ({origin})")
    });
    described.next().unwrap_or_default()
}

/// Whether the finding does not depend on settings.
fn is_found_as_published(rule: &str, shrunk: &Shrunk) -> bool {
    let text = shrunk.text.as_slice();
    let found = Checker::new().without_excerpts().check(text.strip_prefix(MARK).unwrap_or(text)).into_findings();
    rule == "byte_order_mark" || found.iter().any(|one| one.rule.name == rule && one.place.pointer == shrunk.pointer)
}

/// The report on the result: what was removed, then what the record still holds and needs, and last what a person has to do. `with` names
/// the settings that the finding needs.
fn report(rule: &str, shrunk: &Shrunk, with: Option<&str>) -> String {
    let Shrunk { before, after, others, kept, pointer, .. } = shrunk;
    let what = if shrunk.counts_values { "values" } else { "bytes" };
    let left_out = before.saturating_sub(*after);
    let place = if pointer.is_empty() { "is still reported".to_owned() } else { format!("is now at {pointer}") };
    let removed = (!is_quiet()).then(|| format!("{left_out} of {before} {what} removed; {rule} {place}"));
    let mut lines: Vec<String> = removed.into_iter().collect();
    match others {
        0 => {}
        _ if is_quiet() => {}
        _ => lines.push(format!("{} could not be avoided", counted(others, "other finding"))),
    }
    lines.extend(kept.iter().map(|kept| format!("kept: {kept}")));
    lines.extend(with.map(|with| format!("it is reported only with the settings of {with}: send them along")));
    lines.push(REPLACED.to_owned());
    lines.join("\n") + "\n"
}
