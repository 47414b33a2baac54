//! Work on one frame: the records in it and what was found in them.

use std::io::{self, Read};

use crate::check::Checker;
use crate::check::args::{Args, args};
use crate::check::cohort::{Cohort, Facts};
use crate::check::finding::{Finding, Place};
use crate::check::partial::Partial;
use crate::check::parts::Damage;
use crate::check::rule::{Level, Rule, RuleKind};
use crate::check::rules::{self, file};
use crate::check::systems::{NOT_NAMED, Systems};
use crate::read::frames::{Frame, Frames, Next};
use crate::read::layout::is_wide;

/// Marks those of a record's findings that a repair takes away.
pub(crate) type MarkFixable<'m> = dyn FnMut(&mut [Finding], &[u8]) + 'm;

/// A frame with its findings. It is filled by the reader, checked by a worker, told by the writer, and used again.
#[derive(Debug, Default)]
pub(crate) struct Work {
    frame: Frame,
    /// The line of a record that was left out, in place of a frame.
    too_large: Option<u64>,
    /// Whether the file begins with a byte order mark.
    byte_order_mark: bool,
    /// Whether this is the last piece of its file.
    last: bool,
    broke_off: bool,
    /// The place of the record in the frame, from 0, and what was found in it.
    findings: Vec<(u64, Finding)>,
    /// What the rules across records ask of the records in the frame, with their places in it, and their ids where these
    /// were asked for.
    facts: Vec<(u64, Facts, Option<Box<str>>)>,
    /// The records that could be checked in part only.
    partials: Vec<(u64, Partial)>,
    records: u64,
    /// The systems that the records come from.
    systems: Systems,
    most: usize,
    /// The levels of what can only be said at the end of a file: `cut_short` and `nothing_inside`.
    at_end: Option<(Level, Level)>,
}

impl Work {
    /// Takes the next piece of a file; false when it is the last one.
    pub(crate) fn take<R: Read>(&mut self, frames: &mut Frames<R>) -> io::Result<bool> {
        let start = frames.start();
        self.findings.clear();
        self.systems.reset();
        self.facts.clear();
        self.partials.clear();
        self.records = 0;
        self.last = false;
        self.byte_order_mark = frames.is_fresh() && start.byte_order_mark;
        self.most = frames.largest();
        self.too_large = None;
        match frames.next(&mut self.frame)? {
            Next::Frame => {}
            Next::TooLarge(line) => {
                self.frame.bytes.clear();
                self.too_large = Some(line);
            }
            Next::End => {
                self.frame.bytes.clear();
                (self.frame.line, self.last) = (frames.line(), true);
            }
        }
        self.broke_off = frames.broke_off();
        Ok(!self.last)
    }

    /// The bytes that are held.
    pub(crate) fn bytes(&self) -> usize {
        self.frame.bytes.len()
    }

    /// How many of its records come from each system.
    pub(crate) fn systems(&self) -> impl Iterator<Item = (&str, u64)> {
        self.systems.iter()
    }

    /// Whether this is the last piece of its file.
    pub(crate) fn is_last(&self) -> bool {
        self.last
    }

    /// The piece itself, to be repaired before it is checked.
    pub(crate) fn frame_mut(&mut self) -> &mut Frame {
        &mut self.frame
    }

    /// Whether a byte order mark stood before this piece; it counts as taken off from now on.
    pub(crate) fn take_byte_order_mark(&mut self) -> bool {
        std::mem::take(&mut self.byte_order_mark)
    }

    /// Why its file is not repaired, if something of it would be lost.
    pub(crate) fn repair_refusal(&self) -> Option<String> {
        if let Some(line) = self.too_large {
            return Some(format!("the record on line {line} is too large, so the file is not repaired"));
        }
        if self.broke_off {
            return Some("its compressed data is cut short, so it is not repaired".to_owned());
        }
        is_wide(self.text()).then(|| "it is not UTF-8, so it is not repaired; convert it to UTF-8 first".to_owned())
    }

    /// Leaves nothing but the buffers, for a file that failed.
    pub(crate) fn empty(&mut self) {
        let Self { mut frame, mut findings, mut facts, mut partials, .. } = std::mem::take(self);
        frame.bytes.clear();
        findings.clear();
        facts.clear();
        partials.clear();
        *self = Self { frame, findings, facts, partials, ..Self::default() };
    }

    /// The text that is held.
    pub(crate) fn text(&self) -> &[u8] {
        &self.frame.bytes
    }

    /// Checks the records in the frame; `mark`, if it is given, marks the findings that a repair takes away.
    pub(crate) fn check(&mut self, checker: &mut Checker, mut mark: Option<&mut MarkFixable<'_>>) {
        let level = |rule: &Rule| checker.level_in_files(rule);
        self.at_end = level(&file::cut_short).zip(level(&file::nothing_inside));
        if let Some(level) = level(&file::byte_order_mark).filter(|_| self.byte_order_mark) {
            let fixable = mark.is_some();
            self.add(0, Finding { fixable, ..whole_file(&file::byte_order_mark, level, 1) });
        }
        if let Some(line) = self.too_large {
            self.add(0, too_large(line, self.most, checker));
            self.partials.push((0, unread(checker)));
            self.records += 1;
            self.systems.count(NOT_NAMED);
        }
        let frame = std::mem::take(&mut self.frame);
        for (line, record) in frame.records() {
            let open = frame.ends_open && record.as_ptr_range().end == frame.bytes.as_ptr_range().end;
            self.check_record(record, line, open, checker, mark.as_deref_mut());
            self.records += 1;
        }
        self.frame = frame;
    }

    /// Checks the record that begins on a line; `open` when the file ends with it.
    fn check_record(
        &mut self,
        record: &[u8],
        line: u64,
        open: bool,
        checker: &mut Checker,
        mark: Option<&mut MarkFixable<'_>>,
    ) {
        if record.len() > self.most {
            self.systems.count(NOT_NAMED);
            self.partials.push((self.records, unread(checker)));
            return self.add(self.records, too_large(line, self.most, checker));
        }
        for finding in self.one(self.records, record, line, checker, mark) {
            self.add(self.records, if open { finding } else { closed(finding, checker) });
        }
    }

    /// The findings of the record at that place in the frame, those that a repair takes away marked. Notes what is kept of it.
    fn one(
        &mut self,
        place: u64,
        record: &[u8],
        line: u64,
        checker: &mut Checker,
        mark: Option<&mut MarkFixable<'_>>,
    ) -> Vec<Finding> {
        let result = checker.check_from(record, line);
        self.systems.count(result.system());
        self.facts.extend(result.facts().map(|facts| (place, *facts, result.record_id().map(Box::from))));
        self.partials.extend(result.partial().map(|partial| (place, partial)));
        let mut findings = result.into_findings();
        if let Some(mark) = mark.filter(|_| !findings.is_empty()) {
            mark(&mut findings, record);
        }
        findings
    }

    fn add(&mut self, record: u64, finding: Finding) {
        self.findings.push((record, finding));
    }
}

/// A record that ends early on a line that does not end the file is not the file's last record cut short.
fn closed(mut finding: Finding, checker: &Checker) -> Finding {
    if finding.rule == &file::cut_short {
        finding.rule = &file::not_json;
        finding.level = level_of(finding.rule, checker);
        finding.args = args!["problem" = "the line ends in the middle of the record"];
    }
    finding
}

/// A record of which nothing was read.
fn unread(checker: &Checker) -> Partial {
    let rules = rules::all().filter(|rule| rule.kind == RuleKind::Record);
    Partial::new(rules.filter(|rule| checker.level_in_files(rule).is_some()).collect(), &Damage::everything())
}

fn too_large(line: u64, most: usize, checker: &Checker) -> Finding {
    let rule = &file::record_too_large;
    Finding { args: args!["most" = most / 1024], ..whole_file(rule, level_of(rule, checker), line) }
}

/// The level of a rule that looks at files and cannot be off.
fn level_of(rule: &Rule, checker: &Checker) -> Level {
    checker.level_in_files(rule).unwrap_or(rule.level)
}

/// How many records were whole before the file was cut, if any.
fn whole(records: u64) -> Args {
    if records == 0 { args![] } else { args!["whole" = records as usize] }
}

/// A finding about the file itself.
fn whole_file(rule: &'static Rule, level: Level, line: u64) -> Finding {
    let place = Place { pointer: String::new(), line, column: 1, end_line: line, end_column: 1 };
    Finding::new(rule, level, place, Vec::new(), String::new())
}

/// Something that is said of a record.
#[derive(Clone, Copy, Debug)]
pub(crate) enum Remark<'a> {
    /// Something was found.
    Finding(&'a Finding),
    /// It could be checked in part only.
    Partial(&'a Partial),
}

/// What was told of a file so far.
#[derive(Clone, Copy, Debug, Default)]
pub(crate) struct FileProgress {
    pub(crate) records: u64,
    pub(crate) with_findings: u64,
    pub(crate) bytes: u64,
    cut_short: bool,
    byte_order_mark: bool,
}

impl FileProgress {
    /// Adds the facts of a piece, which is not told yet, to those of the run.
    pub(crate) fn gather(&self, file: &str, work: &Work, cohort: &mut Cohort) {
        for (record, facts, id) in &work.facts {
            cohort.add(file, self.records + record + 1, facts);
            if let Some(id) = id {
                cohort.name_last(id);
            }
        }
    }

    /// Tells the findings of a piece, with the place of each record in the file, and counts. After those of a record follows what
    /// could not be checked in it.
    pub(crate) fn tell(
        &mut self,
        work: &Work,
        tell: &mut dyn FnMut(u64, Remark<'_>) -> io::Result<()>,
    ) -> io::Result<()> {
        let mut last = None;
        let mut partials = work.partials.iter().peekable();
        for (record, finding) in &work.findings {
            while let Some((record, partial)) = partials.next_if(|(earlier, _)| earlier < record) {
                self.tell_partial(work, *record, partial, tell)?;
            }
            let about_file = finding.rule == &file::byte_order_mark;
            let number = if about_file { 0 } else { self.records + record + 1 };
            self.with_findings += u64::from(!about_file && last != Some(number));
            last = Some(number).filter(|_| !about_file);
            if finding.rule == &file::cut_short {
                self.cut_short = true;
                let args = whole(self.records + record);
                tell(number, Remark::Finding(&Finding { args, ..finding.clone() }))?;
            } else {
                tell(number, Remark::Finding(finding))?;
            }
            self.byte_order_mark |= about_file;
        }
        for (record, partial) in partials {
            self.tell_partial(work, *record, partial, tell)?;
        }
        self.records += work.records;
        self.bytes += work.bytes() as u64;
        if work.last { self.end(work, tell) } else { Ok(()) }
    }

    fn tell_partial(
        &self,
        work: &Work,
        record: u64,
        partial: &Partial,
        tell: &mut dyn FnMut(u64, Remark<'_>) -> io::Result<()>,
    ) -> io::Result<()> {
        let of_record = work.findings.iter().skip(work.findings.partition_point(|(at, _)| *at < record));
        let mut of_record = of_record.take_while(|(at, _)| *at == record);
        let reported = of_record.any(|(_, finding)| finding.rule.reports_unread());
        tell(self.records + record + 1, Remark::Partial(&Partial { reported, ..partial.clone() }))
    }

    /// What can only be said at the end of a file.
    fn end(&mut self, work: &Work, tell: &mut dyn FnMut(u64, Remark<'_>) -> io::Result<()>) -> io::Result<()> {
        let (cut_short, nothing_inside) = work.at_end.unwrap_or((Level::Error, Level::Error));
        if work.broke_off && !self.cut_short {
            let mut args = whole(self.records);
            args.push(("compressed", "compressed".into()));
            let finding = Finding { args, ..whole_file(&file::cut_short, cut_short, work.frame.line) };
            return tell(0, Remark::Finding(&finding));
        }
        if self.records == 0 {
            return tell(0, Remark::Finding(&whole_file(&file::nothing_inside, nothing_inside, 1)));
        }
        Ok(())
    }
}
