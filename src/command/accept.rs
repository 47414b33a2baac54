//! What a run accepts, as the command line and the files beside the records say: waivers and a baseline.

use std::fs::File;
use std::io;
use std::path::{Component, Path, PathBuf};

use clap::Args;
use open_aligner_record::acceptance::Acceptance;
use open_aligner_record::baseline::{Baseline, Gathered};
use open_aligner_record::finding::Finding;
use open_aligner_record::finding::Item;
use open_aligner_record::output::shown_path;
use open_aligner_record::partial::Partial;
use open_aligner_record::read::inputs::reason;
use open_aligner_record::run::Listener;
use open_aligner_record::summary::Summary;
use open_aligner_record::time::Date;
use open_aligner_record::waivers::Waivers;

use super::Failure;
use super::atomic_file::{AtomicFile, commit_all};
use super::chosen::Settled;
use super::listen::Outputs;
use super::reads::Reads;
use super::side_file::{self, SETTINGS};

/// The waiver file that is looked for.
pub(crate) const WAIVERS: &str = "oar-waivers.toml";

/// Options about what is accepted.
#[derive(Args)]
#[allow(clippy::doc_markdown, reason = "the comments on fields are the help as it is shown")]
#[allow(clippy::struct_excessive_bools, reason = "each is an option that is given or not")]
pub(crate) struct Accept {
    /// Take the waivers in FILE [default: oar-waivers.toml in the working folder or the nearest folder above it]
    #[arg(long, value_name = "FILE")]
    waivers: Option<PathBuf>,

    /// Look for no waivers
    #[arg(long, conflicts_with = "waivers")]
    no_waivers: bool,

    /// The day on which waivers are looked at, as in 2031-05-31 [default: today in UTC]
    #[arg(long, value_name = "DATE")]
    today: Option<String>,

    /// Accept the findings that are in the baseline FILE, so that only new ones count
    #[arg(long, value_name = "FILE")]
    baseline: Option<PathBuf>,

    /// Take no baseline, whatever oar.toml says
    #[arg(long, conflicts_with = "baseline")]
    no_baseline: bool,

    /// Accept all findings of this run and write them to the baseline FILE
    #[arg(long, value_name = "FILE")]
    write_baseline: Option<PathBuf>,

    /// This run sees a part of the files only: do not tell waivers and findings of the baseline that nothing is found for,
    /// and leave out what is excluded also where it is named itself
    #[arg(long, conflicts_with = "write_baseline")]
    pub(crate) partial: bool,

    /// Show findings that are waived or in the baseline too, in text and brief
    #[arg(long)]
    pub(crate) show_accepted: bool,
}

impl Accept {
    /// Takes the files that the configuration names where no option says otherwise. A baseline that is written begins anew.
    pub(crate) fn or_as_in(&mut self, settled: &Settled) -> Result<(), Failure> {
        if self.waivers.is_none() && !self.no_waivers {
            self.waivers = settled.waivers()?;
        }
        if self.baseline.is_none() && !self.no_baseline && self.write_baseline.is_none() {
            self.baseline = settled.baseline()?;
        }
        Ok(())
    }

    /// What the run accepts, and the folder from which waivers name files.
    pub(crate) fn acceptance(&self) -> Result<(Acceptance, Option<PathBuf>), Failure> {
        let today = self.today.as_deref().map(day).transpose()?;
        let waiver_file = self.waiver_file();
        let waivers = waiver_file.as_deref().map(|path| read_waivers(path, today)).transpose()?;
        let folder = waiver_file.and_then(|path| path.canonicalize().ok()?.parent().map(Path::to_path_buf));
        let mut acceptance = Acceptance::default();
        acceptance.waivers = waivers;
        acceptance.baseline = self.baseline.as_deref().map(read_baseline).transpose()?;
        acceptance.gathered = self.write_baseline.is_some().then(Gathered::default);
        acceptance.partial = self.partial;
        Ok((acceptance, folder))
    }

    fn waiver_file(&self) -> Option<PathBuf> {
        if self.no_waivers || self.waivers.is_some() {
            return self.waivers.clone();
        }
        let here = std::env::current_dir().ok()?;
        let (depth, _) = here.ancestors().enumerate().find(|(_, folder)| folder.join(WAIVERS).is_file())?;
        Some((0..depth).map(|_| "..").collect::<PathBuf>().join(WAIVERS))
    }

    /// Refuses to write the baseline over what the run reads, but for the baseline before it, and gives everything that other
    /// outputs may not be written over.
    pub(crate) fn refuse_clash(&self, reads: Reads) -> Result<Reads, Failure> {
        let reads = reads.and(self.waiver_file().as_ref(), "holds the waivers");
        reads.refuse(self.write_baseline.as_ref(), "the baseline")?;
        let reads = reads.and(self.baseline.as_ref(), "holds the baseline");
        Ok(reads.and(self.write_baseline.as_ref(), "takes the baseline"))
    }

    /// Writes the baseline, if one was asked for. A run that missed a file writes none, since its findings would be missing.
    pub(crate) fn write(&self, acceptance: &Acceptance, summary: &Summary) -> Result<(), Failure> {
        let (Some(path), Some(gathered)) = (&self.write_baseline, &acceptance.gathered) else { return Ok(()) };
        let name = shown_path(path);
        if summary.unreadable > 0 {
            let text = format!("{name} is not written: a baseline needs all files, and not all could be read");
            return Err(Failure::Asked(text));
        }
        let mut file = AtomicFile::open(path, true)?;
        gathered.write(&mut file).map_err(Failure::writing(&name))?;
        commit_all(vec![file])
    }
}

fn day(text: &str) -> Result<Date, Failure> {
    Date::parse(text.as_bytes()).ok_or_else(|| Failure::Asked(format!("--today {text}: write a day as in 2031-05-31")))
}

/// Today in UTC. Only waivers that end some day are held against it.
fn today() -> Date {
    #[expect(clippy::disallowed_methods, reason = "the one clock: whether a waiver has ended; --today stands for it")]
    let now = std::time::SystemTime::now();
    let days = now.duration_since(std::time::UNIX_EPOCH).map_or(0, |since| since.as_secs() / 86_400);
    Date(i32::try_from(days).unwrap_or(i32::MAX))
}

fn read_waivers(path: &Path, day: Option<Date>) -> Result<Waivers, Failure> {
    let name = shown_path(path);
    let text = side_file::read_text(path, &name, SETTINGS)?;
    let waivers = Waivers::read(&name, &text).map_err(|mistakes| {
        let lines: Vec<String> = mistakes.iter().map(|mistake| format!("{name}:{mistake}")).collect();
        Failure::Asked(lines.join("\nerror: "))
    })?;
    match day {
        Some(day) => Ok(waivers.on(day)),
        None if waivers.can_expire() => Ok(waivers.on(today())),
        None => Ok(waivers),
    }
}

fn read_baseline(path: &Path) -> Result<Baseline, Failure> {
    let asked = |why: String| Failure::Asked(format!("{}: {why}", shown_path(path)));
    let file = File::open(path).map_err(|error| asked(reason(&error)))?;
    Baseline::read(side_file::lines(file)).map_err(|why| asked(why.to_string()))
}

/// Hands on what a run tells, and judges each finding on the way.
pub(crate) struct Sieve<'a> {
    pub(crate) outputs: &'a mut Outputs,
    pub(crate) acceptance: &'a mut Acceptance,
    paths: Paths,
    /// The record of the file of which a finding that counts said last that something could not be read.
    said_unread: Option<u64>,
    /// Records that could be checked in part only, without a finding that says so.
    unreported: u64,
}

impl<'a> Sieve<'a> {
    pub(crate) fn new(outputs: &'a mut Outputs, acceptance: &'a mut Acceptance, folder: Option<PathBuf>) -> Self {
        Self { outputs, acceptance, paths: Paths::from(folder), said_unread: None, unreported: 0 }
    }

    /// Corrects the totals, and tells what is wrong with the waivers themselves.
    pub(crate) fn settle(&mut self, summary: &mut Summary) -> io::Result<()> {
        summary.in_part_unreported = self.unreported;
        if self.acceptance.is_empty() {
            return Ok(());
        }
        let stale = self.acceptance.settle(summary);
        let Some(file) = self.acceptance.waivers.as_ref().map(|waivers| waivers.file.clone()) else { return Ok(()) };
        stale.iter().try_for_each(|finding| self.outputs.finding(&file, 0, finding))
    }
}

impl Listener for Sieve<'_> {
    fn file(&mut self, file: &str) -> io::Result<()> {
        self.acceptance.begin_file();
        self.said_unread = None;
        self.outputs.file(file)
    }

    fn finding(&mut self, file: &str, record: u64, finding: &Finding) -> io::Result<()> {
        if self.acceptance.is_empty() {
            return self.outputs.finding(file, record, finding);
        }
        let item = Item { file, record, finding };
        match self.acceptance.judge(&item, self.paths.of(file)) {
            None => {
                if finding.rule.reports_unread() {
                    self.said_unread = Some(record);
                }
                self.outputs.finding(file, record, finding)
            }
            Some(why) => self.outputs.accepted(&item, &why),
        }
    }

    fn partial(&mut self, file: &str, record: u64, partial: &Partial) -> io::Result<()> {
        let reported = partial.reported && (self.acceptance.is_empty() || self.said_unread == Some(record));
        self.unreported += u64::from(!reported);
        self.outputs.partial(file, record, &Partial { reported, ..partial.clone() })
    }

    fn across(&mut self) -> io::Result<()> {
        self.outputs.across()
    }

    fn records(&mut self, system: &str, records: u64) -> io::Result<()> {
        self.outputs.records(system, records)
    }

    fn file_end(&mut self, file: &str, records: u64) -> io::Result<()> {
        self.outputs.file_end(file, records)
    }

    fn unreadable(&mut self, file: &str, error: &io::Error) -> io::Result<()> {
        self.outputs.unreadable(file, error)
    }

    fn refused(&mut self) -> io::Result<()> {
        self.acceptance.refuse_file();
        Ok(())
    }

    fn progress(&mut self, bytes: u64, records: u64) {
        self.outputs.progress(bytes, records);
    }
}

/// Names of files as waivers give them: from the folder of the waiver file on.
struct Paths {
    /// That folder, and the working folder.
    folders: Option<(PathBuf, PathBuf)>,
    /// The file that was asked for last, and its name.
    last: (String, String),
}

impl Paths {
    fn from(folder: Option<PathBuf>) -> Self {
        let here = std::env::current_dir().and_then(|here| here.canonicalize()).ok();
        Self { folders: folder.zip(here), last: (String::new(), String::new()) }
    }

    fn of(&mut self, file: &str) -> &str {
        if self.last.0 != file {
            self.last = (file.to_owned(), self.name(file));
        }
        &self.last.1
    }

    fn name(&self, file: &str) -> String {
        let Some((folder, here)) = self.folders.as_ref().filter(|_| file != "-") else { return file.to_owned() };
        let full = plain(&here.join(file));
        let path = full.strip_prefix(folder).unwrap_or(&full);
        path.to_string_lossy().replace('\\', "/")
    }
}

/// The path without `.` and `..`.
fn plain(path: &Path) -> PathBuf {
    path.components().fold(PathBuf::new(), |mut plain, part| {
        match part {
            Component::CurDir => {}
            Component::ParentDir => drop(plain.pop()),
            other => plain.push(other),
        }
        plain
    })
}
