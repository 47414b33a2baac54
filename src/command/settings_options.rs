//! Settings of a run: those of the configuration file, and options, which override them.

use std::io;
use std::path::{Path, PathBuf};

use clap::{Args, ValueEnum};
use open_aligner_record::config::{self, Config, Given};
use open_aligner_record::output::{shown_path, visible};
use open_aligner_record::read::inputs::{Input, Selection};
use open_aligner_record::review::Priorities;
use open_aligner_record::rule::Level;
use open_aligner_record::rules;
use open_aligner_record::settings::editions::Editions;
use open_aligner_record::settings::{Origin, SettingError, Settings, Switch};
use open_aligner_record::summary::{FAIL_LEVELS, FailOn};

use super::Failure;
use super::bounded_read::{self, SETTINGS};
use super::overwrite_guard::ProtectedFiles;

/// Options that say which file holds the settings.
#[derive(Args)]
#[allow(clippy::doc_markdown, reason = "the comments on fields are the help as it is shown")]
pub(crate) struct ConfigFile {
    /// Read settings from FILE [default: the nearest oar.toml in the folder of the input or above it]
    #[arg(long, value_name = "FILE", conflicts_with = "no_config")]
    config: Option<PathBuf>,

    /// Read settings from no file
    #[arg(long)]
    no_config: bool,
}

/// Options that say how a record is checked.
#[derive(Args)]
#[command(next_help_heading = "Settings (they override those of oar.toml)")]
#[allow(clippy::doc_markdown, reason = "the comments on fields are the help as it is shown")]
pub(crate) struct RuleOptions {
    #[command(flatten)]
    config: ConfigFile,

    /// Run only these rules or themes; all is every rule; repeatable
    ///
    /// Separate several with commas. The option replaces select of oar.toml. Rules that report an unreadable record always run, and
    /// a rule that is off stays off.
    #[arg(long, value_name = "RULE", value_delimiter = ',')]
    select: Vec<String>,

    /// Leave out these rules or themes, also when they are selected; repeatable
    #[arg(long, value_name = "RULE", value_delimiter = ',')]
    ignore: Vec<String>,

    /// Set the level of a rule or theme to error, warning, note or off, as in wear_log=note; repeatable
    #[arg(long, value_name = "RULE=LEVEL")]
    level: Vec<String>,

    /// Set a limit, as in tray_linear_mm=0.3; oar explain limits lists them; repeatable
    #[arg(long, value_name = "LIMIT=VALUE")]
    limit: Vec<String>,

    /// Use the rules of edition N [default: the newest]
    #[arg(long, value_name = "N")]
    edition: Option<String>,
}

/// Options that say which records are checked, and how.
#[derive(Args)]
#[command(next_help_heading = "Settings (they override those of oar.toml)")]
#[allow(clippy::doc_markdown, reason = "the comments on fields are the help as it is shown")]
pub(crate) struct SettingsOptions {
    #[command(flatten)]
    rules: RuleOptions,

    /// Exit with code 1 for findings of LEVEL or above: error, warning or note [default: error]
    ///
    /// With ",partial" after the level, also for a record that could be checked only in part.
    #[arg(long, value_name = "LEVEL[,partial]", value_parser = fail_on)]
    fail_level: Option<FailOn>,

    /// In folders, skip files and folders with this name; * matches any text; repeatable
    #[arg(long, value_name = "NAME")]
    exclude: Vec<String>,

    /// In folders, check files with this name too, whatever their ending; * matches any text; repeatable
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

    /// Whether a level, as a report has it, is this one or above. An unknown level is.
    pub(crate) fn is_reached(self, level: &str) -> bool {
        let known = [Level::Note, Level::Warning, Level::Error].into_iter().find(|known| known.as_str() == level);
        known.is_none_or(|level| level >= self.level())
    }
}

/// Everything that is set for a run, and where it was set.
pub(crate) struct RunSettings {
    /// The file with settings, as it can be opened.
    pub(crate) path: Option<PathBuf>,
    /// What that file is called in messages.
    pub(crate) file: Option<String>,
    pub(crate) settings: Settings,
    pub(crate) edition: Given<u32>,
    pub(crate) fail_level: Given<FailOn>,
    pub(crate) include: Vec<Given<String>>,
    pub(crate) exclude: Vec<Given<String>>,
    /// The priorities of signals.
    pub(crate) priorities: Priorities,
    /// Files and addresses that the configuration file gives, as they are written there.
    pub(crate) files: ConfiguredFiles,
}

/// Files that the configuration names, relative to its folder, and the address of rule pages.
#[derive(Default)]
pub(crate) struct ConfiguredFiles {
    pub(crate) baseline: Option<Given<String>>,
    pub(crate) waivers: Option<Given<String>>,
    pub(crate) output: Vec<Given<String>>,
    pub(crate) rule_pages: Option<Given<String>>,
}

impl RunSettings {
    /// Which files in folders are read.
    pub(crate) fn selection(&self) -> Selection {
        let names = |said: &[Given<String>]| said.iter().map(|(name, _)| name.clone()).collect();
        Selection::default().include(names(&self.include)).exclude(names(&self.exclude))
    }

    /// The files that a run over these inputs reads.
    pub(crate) fn protected(&self, inputs: &[Input], what: &'static str) -> ProtectedFiles {
        ProtectedFiles::of(inputs, what).and(self.path.as_ref(), "holds the settings")
    }
}

impl ConfigFile {
    /// The file for records at these paths; none when settings are read from no file.
    pub(crate) fn find(&self, paths: &[PathBuf]) -> Result<Option<PathBuf>, Failure> {
        let path = match &self.config {
            _ if self.no_config => None,
            Some(path) => Some(path.clone()),
            None => find_upward(paths),
        };
        if path.as_ref().is_some_and(|path| path.as_os_str() == "-") {
            let text =
                "--config -: settings cannot be read from standard input: write them to a file and give its name";
            return Err(Failure::Message(text.to_owned()));
        }
        Ok(path)
    }
}

/// The most bytes that a record may have, by the file with settings if there is one.
pub(crate) fn largest_record(file: Option<&PathBuf>) -> Result<usize, Failure> {
    let config = file.map(|path| read(path, &shown(path))).transpose()?;
    Ok(config.unwrap_or_default().settings.largest_record())
}

impl RuleOptions {
    /// The settings for the records at these paths, from the file and from these options.
    pub(crate) fn resolve(&self, paths: &[PathBuf]) -> Result<RunSettings, Failure> {
        let path = self.config.find(paths)?;
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
            priorities,
        } = read.unwrap_or_default();
        let files = ConfiguredFiles { baseline, waivers, output, rule_pages };
        let edition = self.edition(&mut settings, edition)?;
        self.select_rules(&mut settings)?;
        for given in &self.level {
            let (name, word, origin) = name_and_value("--level", "RULE=LEVEL", given)?;
            let set = Switch::named(word).and_then(|switch| settings.last.set_level_from(name, switch, origin));
            set.map_err(refused("--level", given))?;
        }
        for given in &self.limit {
            let (name, value, origin) = name_and_value("--limit", "LIMIT=VALUE", given)?;
            settings.last.set_limit_from(name, value, origin).map_err(refused("--limit", given))?;
        }
        refuse_selected_off(&settings)?;
        let fail_level = fail_level.unwrap_or((FailOn::default(), Origin::Default));
        Ok(RunSettings { path, file, settings, edition, fail_level, include, exclude, priorities, files })
    }

    /// Selects and ignores rules.
    fn select_rules(&self, settings: &mut Settings) -> Result<(), Failure> {
        let origin = |option: &str, name: &str| Origin::Option(format!("{option} {name}").into());
        if !self.select.is_empty() {
            settings.selection.forget_selected();
        }
        for name in &self.select {
            let selected = settings.selection.select(name, origin("--select", name));
            selected.map_err(refused("--select", name))?;
        }
        for name in &self.ignore {
            let ignored = settings.selection.ignore(name, origin("--ignore", name));
            ignored.map_err(refused("--ignore", name))?;
        }
        Ok(())
    }

    /// Whether these options leave out rules that other runs over the same files apply.
    fn narrow_rules(&self) -> bool {
        !self.select.is_empty() || !self.ignore.is_empty()
    }

    fn edition(&self, settings: &mut Settings, of_file: Option<Given<u32>>) -> Result<Given<u32>, Failure> {
        let Some(given) = &self.edition else {
            return Ok(of_file.unwrap_or((settings.editions.newest, Origin::Default)));
        };
        let edition = edition(given, settings.editions).map_err(refused("--edition", given))?;
        settings.edition = Some(edition);
        Ok((edition, Origin::Option(format!("--edition {given}").into())))
    }
}

/// Refuses a rule that is selected by its name and does not run all the same: a run without findings would say nothing.
fn refuse_selected_off(settings: &Settings) -> Result<(), Failure> {
    for (name, selected) in settings.selection.selected() {
        let Some(rule) = rules::find(name) else { continue };
        let runs = |switch: Switch| switch != Switch::Off;
        let for_some = |system: &str| runs(settings.level(&settings.profiles_for(system), rule).0);
        let (switch, off) = settings.level(&[], rule);
        if !runs(switch) && !settings.profiles.iter().any(|profile| for_some(profile.pattern())) {
            let text = format!("{selected}: {name} is selected, but it is off ({off})");
            return Err(Failure::Message(text));
        }
    }
    Ok(())
}

impl SettingsOptions {
    /// Whether these options leave out rules that other runs over the same files apply.
    pub(crate) fn narrow_rules(&self) -> bool {
        self.rules.narrow_rules()
    }

    /// The settings for the records at these paths, from the file and from these options.
    pub(crate) fn resolve(&self, paths: &[PathBuf]) -> Result<RunSettings, Failure> {
        let mut resolved = self.rules.resolve(paths)?;
        let said = |option: &str, name: &String| (name.clone(), Origin::Option(format!("{option} {name}").into()));
        resolved.include.extend(self.include.iter().map(|name| said("--include", name)));
        resolved.exclude.extend(self.exclude.iter().map(|name| said("--exclude", name)));
        if let Some(on) = self.fail_level {
            resolved.fail_level = (on, Origin::Option(format!("--fail-level {}", on.as_str()).into()));
        }
        Ok(resolved)
    }
}

/// Reads the value of `--fail-level`.
fn fail_on(text: &str) -> Result<FailOn, String> {
    text.parse().map_err(|_| format!("give {FAIL_LEVELS}"))
}

/// Reads the number of an edition.
pub(crate) fn edition(given: &str, editions: Editions) -> Result<u32, SettingError> {
    let known = given.parse().ok().filter(|edition| (1..=editions.newest).contains(edition));
    known.ok_or_else(|| SettingError::NoEdition(given.to_owned(), editions.newest))
}

/// The two sides of `name=value`, and where they were given.
fn name_and_value<'g>(option: &str, syntax: &str, given: &'g str) -> Result<(&'g str, &'g str, Origin), Failure> {
    let origin = Origin::Option(format!("{option} {given}").into());
    let parted = given.split_once('=').map(|(name, value)| (name, value, origin));
    parted.ok_or_else(|| Failure::Message(format!("{option} {}: write it as {syntax}", visible(given))))
}

/// An error about the value of an option.
pub(crate) fn refused(option: &str, given: &str) -> impl Fn(SettingError) -> Failure {
    move |error| Failure::Message(format!("{option} {}: {error}", visible(given)))
}

fn read(path: &Path, file: &str) -> Result<Config, Failure> {
    let text = bounded_read::read_text(path, file, SETTINGS)?;
    config::read(&text, file).map_err(|mistakes| Failure::mistakes(&mistakes))
}

/// The configuration file in the folder that all paths lie in, or in the nearest one above it. Standard input lies in the
/// working folder.
fn find_upward(paths: &[PathBuf]) -> Option<PathBuf> {
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

/// What messages call a file: its path as given, or relative to the working folder where it lies below or above that.
pub(crate) fn shown(path: &Path) -> String {
    let here = std::env::current_dir().and_then(|here| here.canonicalize()).ok().filter(|_| path.is_absolute());
    let way = here.and_then(|here| {
        let folder = shared(&here, path).filter(|folder| Some(folder.as_path()) == path.parent() || *folder == here)?;
        let up = here.strip_prefix(&folder).ok()?.components().count();
        Some(format!("{}{}", "../".repeat(up), shown_path(path.strip_prefix(&folder).ok()?)))
    });
    way.unwrap_or_else(|| shown_path(path))
}
