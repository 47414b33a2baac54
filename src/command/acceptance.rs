//! Accepted findings of a run: waivers and a baseline, from options and from files.

use std::fs::File;
use std::io;
use std::path::{Component, Path, PathBuf};

use clap::Args;
use open_aligner_record::acceptance::Acceptance;
use open_aligner_record::baseline::{Baseline, BaselineBuilder};
use open_aligner_record::finding::Item;
use open_aligner_record::output::shown_path;
use open_aligner_record::partial::Partial;
use open_aligner_record::read::inputs::reason;
use open_aligner_record::run::{Event, Listener};
use open_aligner_record::summary::Summary;
use open_aligner_record::time::Date;
use open_aligner_record::waivers::Waivers;

use super::Failure;
use super::atomic_file::{AtomicFile, commit_all};
use super::bounded_read::{self, SETTINGS};
use super::check_outputs::CheckOutputs;
use super::options::date;
use super::overwrite_guard::ProtectedFiles;
use super::settings_options::RunSettings;

/// The name of the waiver file.
pub(crate) const WAIVERS: &str = "oar-waivers.toml";

/// Options about accepted findings.
#[derive(Args)]
#[command(next_help_heading = "Accepted findings")]
#[allow(clippy::doc_markdown, reason = "the comments on fields are the help as it is shown")]
#[allow(clippy::struct_excessive_bools, reason = "each is an option that is given or not")]
pub(crate) struct AcceptanceOptions {
    /// Read waivers from FILE [default: oar-waivers.toml in the working folder or the nearest folder above it]
    #[arg(long, value_name = "FILE")]
    waivers: Option<PathBuf>,

    /// Use no waivers
    #[arg(long, conflicts_with = "waivers")]
    no_waivers: bool,

    /// The date on which waivers may have expired [default: today in UTC]
    #[arg(long, value_name = "DATE", value_parser = date)]
    today: Option<Date>,

    /// Accept the findings in the baseline FILE, so that only new ones count
    #[arg(long, value_name = "FILE")]
    baseline: Option<PathBuf>,

    /// Use no baseline
    #[arg(long, conflicts_with = "baseline")]
    no_baseline: bool,

    /// Accept all findings of this run and write them to the baseline FILE
    #[arg(long, value_name = "FILE")]
    write_baseline: Option<PathBuf>,

    /// Say that this run checks only some of the files, as before a commit
    ///
    /// Waivers and baseline entries that match no finding are then not reported, and excluded files are skipped even when they are
    /// given by name.
    #[arg(long, conflicts_with = "write_baseline")]
    pub(crate) partial: bool,

    /// In text and brief, show accepted findings too
    #[arg(long)]
    pub(crate) show_accepted: bool,
}

impl AcceptanceOptions {
    /// Takes the files that the configuration names, where no option overrides them. A new baseline does not read the old one.
    pub(crate) fn complete(&mut self, settings: &RunSettings) -> Result<(), Failure> {
        if self.waivers.is_none() && !self.no_waivers {
            self.waivers = settings.waivers()?;
        }
        if self.baseline.is_none() && !self.no_baseline && self.write_baseline.is_none() {
            self.baseline = settings.baseline()?;
        }
        Ok(())
    }

    /// What the run accepts, and the folder to which paths in waivers are relative. `narrowed` says that the run leaves out rules.
    pub(crate) fn acceptance(&self, narrowed: bool) -> Result<(Acceptance, Option<PathBuf>), Failure> {
        if narrowed && self.write_baseline.is_some() {
            let text = "--write-baseline: a baseline needs the findings of all rules: leave out --select and --ignore";
            return Err(Failure::Message(text.to_owned()));
        }
        let waiver_file = self.waiver_file();
        let waivers = waiver_file.as_deref().map(|path| read_waivers(path, self.today)).transpose()?;
        let folder = waiver_file.and_then(|path| path.canonicalize().ok()?.parent().map(Path::to_path_buf));
        let mut acceptance = Acceptance::default();
        acceptance.waivers = waivers;
        acceptance.baseline = self.baseline.as_deref().map(read_baseline).transpose()?;
        acceptance.gathered = self.write_baseline.is_some().then(BaselineBuilder::default);
        acceptance.partial = self.partial || narrowed;
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

    /// Refuses to write the baseline over a file that the run reads, except the old baseline. Gives all files that other outputs may
    /// not overwrite.
    pub(crate) fn refuse_clash(&self, protected: ProtectedFiles) -> Result<ProtectedFiles, Failure> {
        let protected = protected.and(self.waiver_file().as_ref(), "holds the waivers");
        protected.refuse(self.write_baseline.as_ref(), "the baseline")?;
        let protected = protected.and(self.baseline.as_ref(), "holds the baseline");
        Ok(protected.and(self.write_baseline.as_ref(), "is the new baseline"))
    }

    /// Writes the baseline, if one was asked for. A run that could not read a file writes none, because findings would be missing.
    pub(crate) fn write(&self, acceptance: &Acceptance, summary: &Summary) -> Result<(), Failure> {
        let (Some(path), Some(gathered)) = (&self.write_baseline, &acceptance.gathered) else { return Ok(()) };
        let name = shown_path(path);
        if summary.unreadable > 0 {
            let text = format!("{name} was not written: a baseline needs all files, but some could not be read");
            return Err(Failure::Message(text));
        }
        let mut file = AtomicFile::open(path, true)?;
        gathered.write(&mut file).map_err(Failure::writing(&name))?;
        commit_all(vec![file])
    }
}

/// Today in UTC. Only waivers with an end date are compared with it.
fn today() -> Date {
    #[expect(
        clippy::disallowed_methods,
        reason = "the one use of the clock: whether a waiver has expired; --today replaces it"
    )]
    let now = std::time::SystemTime::now();
    let days = now.duration_since(std::time::UNIX_EPOCH).map_or(0, |since| since.as_secs() / 86_400);
    Date(i32::try_from(days).unwrap_or(i32::MAX))
}

fn read_waivers(path: &Path, day: Option<Date>) -> Result<Waivers, Failure> {
    let name = shown_path(path);
    let text = bounded_read::read_text(path, &name, SETTINGS)?;
    let waivers = Waivers::read(&name, &text).map_err(|mistakes| Failure::mistakes(&mistakes))?;
    match day {
        Some(day) => Ok(waivers.on(day)),
        None if waivers.can_expire() => Ok(waivers.on(today())),
        None => Ok(waivers),
    }
}

fn read_baseline(path: &Path) -> Result<Baseline, Failure> {
    let asked = |why: String| Failure::Message(format!("{}: {why}", shown_path(path)));
    let file = File::open(path).map_err(|error| asked(reason(&error)))?;
    Baseline::read(bounded_read::lines(file)).map_err(|why| asked(why.to_string()))
}

/// Passes the events of a run on to the outputs, and marks accepted findings on the way.
pub(crate) struct AcceptanceFilter<'a> {
    pub(crate) outputs: &'a mut CheckOutputs,
    pub(crate) acceptance: &'a mut Acceptance,
    paths: Paths,
    /// The last record of the file for which a finding that counts reports an unreadable part.
    reported_unread: Option<u64>,
    /// Records that could be checked only in part, without a finding that reports it.
    unreported: u64,
}

impl<'a> AcceptanceFilter<'a> {
    pub(crate) fn new(outputs: &'a mut CheckOutputs, acceptance: &'a mut Acceptance, folder: Option<PathBuf>) -> Self {
        Self { outputs, acceptance, paths: Paths::from(folder), reported_unread: None, unreported: 0 }
    }

    /// Corrects the totals, and reports findings about the waivers themselves.
    pub(crate) fn settle(&mut self, summary: &mut Summary) -> io::Result<()> {
        summary.in_part_unreported = self.unreported;
        if self.acceptance.is_empty() {
            return Ok(());
        }
        let stale = self.acceptance.settle(summary);
        let Some(file) = self.acceptance.waivers.as_ref().map(|waivers| waivers.file.clone()) else { return Ok(()) };
        let item = |finding| Item { file: &file, record: 0, finding };
        stale.iter().try_for_each(|finding| self.outputs.event(&Event::Finding(item(finding))))
    }
}

impl Listener for AcceptanceFilter<'_> {
    fn event(&mut self, event: &Event<'_>) -> io::Result<()> {
        match event {
            Event::File(_) => {
                self.acceptance.begin_file();
                self.reported_unread = None;
                self.outputs.event(event)
            }
            Event::Finding(item) => self.finding(item),
            Event::Partial { file, record, partial } => self.partial(file, *record, partial),
            Event::Refused => {
                self.acceptance.refuse_file();
                Ok(())
            }
            _ => self.outputs.event(event),
        }
    }
}

impl AcceptanceFilter<'_> {
    fn finding(&mut self, item: &Item<'_>) -> io::Result<()> {
        if self.acceptance.is_empty() {
            return self.outputs.event(&Event::Finding(*item));
        }
        if let Some(why) = self.acceptance.judge(item, self.paths.of(item.file)) {
            return self.outputs.event(&Event::Accepted(*item, why));
        }
        if item.finding.rule.reports_unread() {
            self.reported_unread = Some(item.record);
        }
        self.outputs.event(&Event::Finding(*item))
    }

    fn partial(&mut self, file: &str, record: u64, partial: &Partial) -> io::Result<()> {
        let reported = partial.reported && (self.acceptance.is_empty() || self.reported_unread == Some(record));
        self.unreported += u64::from(!reported);
        let mut partial = partial.clone();
        partial.reported = reported;
        self.outputs.event(&Event::Partial { file, record, partial: &partial })
    }
}

/// Paths of files as waivers give them: relative to the folder of the waiver file.
struct Paths {
    /// That folder, and the working folder.
    folders: Option<(PathBuf, PathBuf)>,
    /// The last file, and its path there.
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
