//! `oar config`: the settings of a check, and where each was set.

use std::fmt::Write;
use std::path::{Path, PathBuf};

use clap::Args;
use oar_schema::limits::LIMITS;
use open_aligner_record::config::{Given, STARTER, schema};
use open_aligner_record::output::RULE_PAGES;
use open_aligner_record::read::inputs::{Input, reason};
use open_aligner_record::review::{Priorities, Priority, Signal, signals};
use open_aligner_record::rule::Rule;
use open_aligner_record::rules;
use open_aligner_record::settings::{ALL, Origin, Profile, RuleSelection, Settings, Switch};
use open_aligner_record::summary::FailOn;

use super::acceptance::WAIVERS;
use super::configured_files::OUTPUT;
use super::outputs::input_name;
use super::settings_options::{ConfiguredFiles, RunSettings, SettingsOptions};
use super::{Failure, say};

/// Show the settings of a check, and where each was set
#[derive(Args)]
pub(crate) struct Config {
    /// The input of the check: files, folders, or - for standard input [default: the working folder]
    #[arg(value_name = "PATH")]
    paths: Vec<PathBuf>,

    /// Show default settings too
    #[arg(long)]
    all: bool,

    /// Print a starter file for oar.toml, which explains every setting
    #[arg(long, conflicts_with = "all")]
    starter: bool,

    /// Print the JSON Schema of oar.toml, for editors
    #[arg(long, conflicts_with_all = ["all", "starter"])]
    schema: bool,

    #[command(flatten)]
    settings: SettingsOptions,
}

impl Config {
    /// Prints the settings, the starter file, or the schema.
    pub(crate) fn run(mut self) -> Result<u8, Failure> {
        if self.starter {
            return say(STARTER);
        }
        if self.schema {
            return say(&format!("{:#}\n", schema()));
        }
        if self.paths.is_empty() {
            self.paths.push(".".into());
        }
        self.paths.iter().try_for_each(|path| is_there(path))?;
        say(&listed(&self.settings.resolve(&self.paths)?, self.all))
    }
}

/// Refuses a path that does not exist: the settings of the folder above it would mislead.
fn is_there(path: &Path) -> Result<(), Failure> {
    if path.as_os_str() == "-" {
        return Ok(());
    }
    let missing =
        |error| Failure::Message(format!("{}: {}", input_name(&Input::File(path.to_path_buf())), reason(&error)));
    std::fs::metadata(path).map(drop).map_err(missing)
}

/// One setting: its name, its value, and where it was set.
type SettingRow = (String, String, Origin);

/// The settings, as a heading with rows below it for all records and for each profile.
fn listed(resolved: &RunSettings, all: bool) -> String {
    let head = resolved.file.as_ref().map_or("no settings file".to_owned(), |file| format!("settings from {file}"));
    let settings = &resolved.settings;
    let general = [of_run(resolved), of_records(settings, &[]), of_signals(&resolved.priorities)].concat();
    let general: Vec<SettingRow> =
        general.into_iter().filter(|(.., origin)| all || *origin != Origin::Default).collect();
    let profiles = settings.profiles.iter().map(|profile| (format!("records of {}", profile.pattern()), profile));
    let profiles = profiles.map(|(head, profile)| (head, of_profile(settings, profile)));
    let parts: Vec<(String, Vec<SettingRow>)> = std::iter::once((head, general)).chain(profiles).collect();
    let rows = || parts.iter().flat_map(|(_, rows)| rows);
    let widest = |part: fn(&SettingRow) -> &str| rows().map(|row| part(row).chars().count()).max().unwrap_or_default();
    let (names, values) = (widest(|row| &row.0), widest(|row| &row.1));
    let mut text = String::new();
    for (head, rows) in &parts {
        let first = text.is_empty();
        let _ = writeln!(text, "{}{head}", if first { "" } else { "\n" });
        if rows.is_empty() {
            text.push_str(if first {
                "  all settings have their defaults\n"
            } else {
                "  the same as for other records\n"
            });
        }
        for (name, value, origin) in rows {
            let _ = writeln!(text, "  {name:<names$}  {value:<values$}  {origin}");
        }
    }
    text
}

/// The settings of the run as a whole.
fn of_run(resolved: &RunSettings) -> Vec<SettingRow> {
    let (edition, of_edition) = &resolved.edition;
    let newest = resolved.settings.editions.newest;
    let (level, of_level) = &resolved.fail_level;
    let mut rows = vec![
        ("edition".to_owned(), instead(&edition.to_string(), &newest.to_string()), of_edition.clone()),
        ("fail_level".to_owned(), instead(level.as_str(), FailOn::default().as_str()), of_level.clone()),
    ];
    rows.extend(of_files(&resolved.files));
    for (name, list) in [("include", &resolved.include), ("exclude", &resolved.exclude)] {
        rows.extend(list.iter().map(|(pattern, origin)| (name.to_owned(), pattern.clone(), origin.clone())));
        if list.is_empty() {
            rows.push((name.to_owned(), "nothing".to_owned(), Origin::Default));
        }
    }
    rows.extend(of_selection(&resolved.settings.selection));
    rows
}

/// The rules that are selected, and those that are ignored.
fn of_selection(selection: &RuleSelection) -> Vec<SettingRow> {
    let rows = |name: &str, entries: &[(&str, Origin)], default: &str| -> Vec<SettingRow> {
        let row = |value: &str, origin: &Origin| (name.to_owned(), value.to_owned(), origin.clone());
        let set: Vec<SettingRow> = entries.iter().map(|(rule, origin)| row(rule, origin)).collect();
        if set.is_empty() { vec![row(default, &Origin::Default)] } else { set }
    };
    [rows("select", selection.selected(), ALL), rows("ignore", selection.ignored(), "nothing")].concat()
}

/// The files of a check.
fn of_files(files: &ConfiguredFiles) -> Vec<SettingRow> {
    let one = |name: &str, said: &Option<Given<String>>, usual: &str| {
        let (value, origin) = said.clone().unwrap_or((usual.to_owned(), Origin::Default));
        (name.to_owned(), value, origin)
    };
    let mut rows = vec![one("baseline", &files.baseline, "none"), one("waivers", &files.waivers, WAIVERS)];
    rows.extend(files.output.iter().map(|(format, origin)| ("output".to_owned(), format.clone(), origin.clone())));
    if files.output.is_empty() {
        rows.push(one("output", &None, OUTPUT));
    }
    rows.push(one("rule_pages", &files.rule_pages, RULE_PAGES));
    rows
}

/// The levels and limits for records.
fn of_records(settings: &Settings, profiles: &[&Profile]) -> Vec<SettingRow> {
    // A rule that is not selected has no level of its own to show.
    let runs = |rule: &&Rule| settings.selection.leaves_out(rule).is_none();
    let levels = rules::all().filter(runs).map(|rule| {
        let (switch, origin) = settings.level(profiles, rule);
        (rule.name.to_owned(), instead(switch.as_str(), Switch::At(rule.level).as_str()), origin)
    });
    let limits = LIMITS.iter().map(|limit| {
        let (value, origin) = settings.limit(profiles, limit);
        let (value, usual) = (limit.written(value), limit.written(limit.value));
        let value = if value == usual { value } else { format!("{value} instead of {usual}") };
        (limit.name.to_owned(), format!("{value} {}", limit.unit), origin)
    });
    levels.chain(limits).collect()
}

/// The priorities of signals in a review.
fn of_signals(priorities: &Priorities) -> Vec<SettingRow> {
    let word = |priority: Option<Priority>| priority.map_or("off", Priority::as_str);
    let row = |signal: &'static Signal| {
        let value = instead(word(priorities.of(signal)), word(Some(signal.priority)));
        (signal.name.to_owned(), value, priorities.origin(signal))
    };
    signals::all().map(row).collect()
}

/// What differs for the records of a profile, by that profile and by others for all its systems.
fn of_profile(settings: &Settings, profile: &Profile) -> Vec<SettingRow> {
    let general = of_records(settings, &[]);
    of_records(settings, &settings.profiles_for(profile.pattern()))
        .into_iter()
        .filter(|row| !general.contains(row))
        .collect()
}

/// A value, and its default when that differs.
fn instead(value: &str, usual: &str) -> String {
    if value == usual { value.to_owned() } else { format!("{value} instead of {usual}") }
}
