//! What is set for a run: by the configuration file, and by options, which go before it.

use std::io;
use std::path::{Path, PathBuf};

use clap::{Args, ValueEnum};
use open_aligner_record::config::{self, Config, Said};
use open_aligner_record::output::{shown_path, visible};
use open_aligner_record::read::inputs::{Input, Selection};
use open_aligner_record::review::Ranks;
use open_aligner_record::rule::Level;
use open_aligner_record::settings::editions::Editions;
use open_aligner_record::settings::{Origin, SettingError, Settings, Switch};
use open_aligner_record::summary::{FAIL_LEVELS, FailOn};

use super::Failure;
use super::reads::Reads;
use super::side_file::{self, SETTINGS};

/// Options that say how a record is checked.
#[derive(Args)]
#[command(next_help_heading = "Settings (they go before those of oar.toml)")]
#[allow(clippy::doc_markdown, reason = "the comments on fields are the help as it is shown")]
pub(crate) struct Rules {
    /// Take settings from FILE; without it, from the oar.toml that is found upward from what is checked
    #[arg(long, value_name = "FILE", conflicts_with = "no_config")]
    config: Option<PathBuf>,

    /// Take settings from no file
    #[arg(long)]
    no_config: bool,

    /// Set the level of a rule or theme to error, warning, note or off, as in wear_log=note; may be given several times
    #[arg(long, value_name = "NAME=LEVEL")]
    level: Vec<String>,

    /// Set a limit, as in tray_linear_mm=0.3; may be given several times; oar explain limits lists all
    #[arg(long, value_name = "NAME=VALUE")]
    limit: Vec<String>,

    /// Check with the rules of an edition; without it, of the newest one
    #[arg(long, value_name = "NUMBER")]
    edition: Option<String>,
}

/// Options that say which records are checked, and how.
#[derive(Args)]
#[command(next_help_heading = "Settings (they go before those of oar.toml)")]
#[allow(clippy::doc_markdown, reason = "the comments on fields are the help as it is shown")]
pub(crate) struct Chosen {
    #[command(flatten)]
    rules: Rules,

    /// From which level on a finding makes the exit code 1: error, warning or note; with ",partial" after it, a record that
    /// could be checked in part only does so too [default: error]
    #[arg(long, value_name = "LEVEL[,partial]", value_parser = fail_on)]
    fail_level: Option<FailOn>,

    /// Leave out files and folders of that name in folders; * stands for any text; may be given several times
    #[arg(long, value_name = "NAME")]
    exclude: Vec<String>,

    /// Check files of that name in folders too, though it does not end in .oar.json or .oar.jsonl; * stands for any text;
    /// may be given several times
    #[arg(long, value_name = "NAME")]
    include: Vec<String>,
}

#[derive(Clone, Copy, ValueEnum)]
pub(crate) enum FailLevel {
    Error,
    Warning,
    Note,
}

impl FailLevel {
    pub(crate) const fn level(self) -> Level {
        match self {
            Self::Error => Level::Error,
            Self::Warning => Level::Warning,
            Self::Note => Level::Note,
        }
    }

    /// Whether a level, as a report has it, is this one or above; one that is not known is.
    pub(crate) fn is_reached(self, level: &str) -> bool {
        let known = [Level::Note, Level::Warning, Level::Error].into_iter().find(|known| known.as_str() == level);
        known.is_none_or(|level| level >= self.level())
    }
}

/// Everything that is set for a run, and where.
pub(crate) struct Settled {
    /// The file with settings, as it can be opened.
    pub(crate) path: Option<PathBuf>,
    /// What that file is called in messages.
    pub(crate) file: Option<String>,
    pub(crate) settings: Settings,
    pub(crate) edition: Said<u32>,
    pub(crate) fail_level: Said<FailOn>,
    pub(crate) include: Vec<Said<String>>,
    pub(crate) exclude: Vec<Said<String>>,
    /// The ranks of signals.
    pub(crate) ranks: Ranks,
    /// What the file says of a check and its outputs, as it says it.
    pub(crate) named: Named,
}

/// Files that the configuration names, from its folder on, and the address of the pages of rules.
#[derive(Default)]
pub(crate) struct Named {
    pub(crate) baseline: Option<Said<String>>,
    pub(crate) waivers: Option<Said<String>>,
    pub(crate) output: Vec<Said<String>>,
    pub(crate) rule_pages: Option<Said<String>>,
}

impl Settled {
    /// What is looked for in folders.
    pub(crate) fn selection(&self) -> Selection {
        let names = |said: &[Said<String>]| said.iter().map(|(name, _)| name.clone()).collect();
        Selection { include: names(&self.include), exclude: names(&self.exclude), named_too: false }
    }

    /// What a run over these inputs reads.
    pub(crate) fn reads(&self, inputs: &[Input], what: &'static str) -> Reads {
        Reads::of(inputs, what).and(self.path.as_ref(), "holds the settings")
    }
}

impl Rules {
    /// What is set for records at these paths, by the file and by these options.
    pub(crate) fn settle(&self, paths: &[PathBuf]) -> Result<Settled, Failure> {
        let path = match &self.config {
            _ if self.no_config => None,
            Some(path) => Some(path.clone()),
            None => found_upward(paths),
        };
        if path.as_ref().is_some_and(|path| path.as_os_str() == "-") {
            let text = "--config -: settings are not read from standard input: write them to a file and name that";
            return Err(Failure::Asked(text.to_owned()));
        }
        let file = path.as_ref().map(|path| shown(path));
        let read = path.as_ref().zip(file.as_ref()).map(|(path, file)| read(path, file)).transpose()?;
        let Config {
            mut settings,
            edition,
            fail_level,
            baseline,
            waivers,
            output,
            rule_pages,
            include,
            exclude,
            ranks,
        } = read.unwrap_or_default();
        let named = Named { baseline, waivers, output, rule_pages };
        let edition = self.edition(&mut settings, edition)?;
        for given in &self.level {
            let (name, word, origin) = parted("--level", "NAME=LEVEL", given)?;
            let set = Switch::named(word).and_then(|switch| settings.last.set_level_from(name, switch, origin));
            set.map_err(refused("--level", given))?;
        }
        for given in &self.limit {
            let (name, value, origin) = parted("--limit", "NAME=VALUE", given)?;
            settings.last.set_limit_from(name, value, origin).map_err(refused("--limit", given))?;
        }
        let fail_level = fail_level.unwrap_or((FailOn::default(), Origin::Default));
        Ok(Settled { path, file, settings, edition, fail_level, include, exclude, ranks, named })
    }

    fn edition(&self, settings: &mut Settings, of_file: Option<Said<u32>>) -> Result<Said<u32>, Failure> {
        let Some(given) = &self.edition else {
            return Ok(of_file.unwrap_or((settings.editions.newest, Origin::Default)));
        };
        let edition = edition(given, settings.editions).map_err(refused("--edition", given))?;
        settings.edition = Some(edition);
        Ok((edition, Origin::Option(format!("--edition {given}").into())))
    }
}

impl Chosen {
    /// What is set for the check of these paths.
    pub(crate) fn settle(&self, paths: &[PathBuf]) -> Result<Settled, Failure> {
        let mut settled = self.rules.settle(paths)?;
        let said = |option: &str, name: &String| (name.clone(), Origin::Option(format!("{option} {name}").into()));
        settled.include.extend(self.include.iter().map(|name| said("--include", name)));
        settled.exclude.extend(self.exclude.iter().map(|name| said("--exclude", name)));
        if let Some(on) = self.fail_level {
            settled.fail_level = (on, Origin::Option(format!("--fail-level {}", on.as_str()).into()));
        }
        Ok(settled)
    }
}

/// Reads the value of `--fail-level`.
fn fail_on(text: &str) -> Result<FailOn, String> {
    FailOn::named(text).ok_or_else(|| format!("give {FAIL_LEVELS}"))
}

/// Reads the number of an edition.
pub(crate) fn edition(given: &str, editions: Editions) -> Result<u32, SettingError> {
    let known = given.parse().ok().filter(|edition| (1..=editions.newest).contains(edition));
    known.ok_or_else(|| SettingError::NoEdition(given.to_owned(), editions.newest))
}

/// The two sides of `name=value`, and where that was said.
fn parted<'g>(option: &str, form: &str, given: &'g str) -> Result<(&'g str, &'g str, Origin), Failure> {
    let origin = Origin::Option(format!("{option} {given}").into());
    let parted = given.split_once('=').map(|(name, value)| (name, value, origin));
    parted.ok_or_else(|| Failure::Asked(format!("{option} {}: write it as {form}", visible(given))))
}

/// Says which option could not be followed.
pub(crate) fn refused(option: &str, given: &str) -> impl Fn(SettingError) -> Failure {
    move |error| Failure::Asked(format!("{option} {}: {error}", visible(given)))
}

fn read(path: &Path, file: &str) -> Result<Config, Failure> {
    let text = side_file::read_text(path, file, SETTINGS)?;
    config::read(&text, file).map_err(|mistakes| {
        let lines: Vec<String> = mistakes.iter().map(ToString::to_string).collect();
        Failure::Asked(lines.join("\nerror: "))
    })
}

/// The configuration file in the folder that all paths lie in, or in the nearest one above it. Standard input lies in the
/// working folder.
fn found_upward(paths: &[PathBuf]) -> Option<PathBuf> {
    let folder = paths.iter().map(|path| folder_of(path)).reduce(|one, other| shared(&one?, &other?)).flatten()?;
    folder.ancestors().map(|folder| folder.join(config::NAME)).find(|file| file.is_file())
}

/// The folder that a path is or lies in, with no links and no `..` on the way where it can be.
fn folder_of(path: &Path) -> Option<PathBuf> {
    let path = if path == Path::new("-") { Path::new(".") } else { path };
    let full: io::Result<PathBuf> = path.canonicalize().or_else(|_| std::path::absolute(path));
    let full = full.ok()?;
    if full.is_dir() { Some(full) } else { full.parent().map(Path::to_path_buf) }
}

fn shared(one: &Path, other: &Path) -> Option<PathBuf> {
    one.ancestors().find(|folder| other.starts_with(folder)).map(Path::to_path_buf)
}

/// What a file is called in messages: as it was given, or the way to it from the working folder where it lies below or above.
pub(crate) fn shown(path: &Path) -> String {
    let here = std::env::current_dir().and_then(|here| here.canonicalize()).ok().filter(|_| path.is_absolute());
    let way = here.and_then(|here| {
        let folder = shared(&here, path).filter(|folder| Some(folder.as_path()) == path.parent() || *folder == here)?;
        let up = here.strip_prefix(&folder).ok()?.components().count();
        Some(format!("{}{}", "../".repeat(up), shown_path(path.strip_prefix(&folder).ok()?)))
    });
    way.unwrap_or_else(|| shown_path(path))
}
