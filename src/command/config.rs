//! `oar config`: what is set for a check, and where.

use std::fmt::Write;
use std::path::{Path, PathBuf};

use clap::Args;
use oar_schema::limits::LIMITS;
use open_aligner_record::config::{STARTER, Said, schema};
use open_aligner_record::output::RULE_PAGES;
use open_aligner_record::read::inputs::{Input, reason};
use open_aligner_record::review::{Rank, Ranks, Signal, signals};
use open_aligner_record::rules;
use open_aligner_record::settings::{Origin, Profile, Settings, Switch};
use open_aligner_record::summary::FailOn;

use super::accept::WAIVERS;
use super::chosen::{Chosen, Named, Settled};
use super::named_files::OUTPUT;
use super::targets::input_name;
use super::{Failure, say};

/// Say what is set for a check and where: every setting that is not as it comes.
#[derive(Args)]
pub(crate) struct Config {
    /// What would be checked: files, folders, or - for standard input; without one, the working folder
    #[arg(value_name = "PATH")]
    paths: Vec<PathBuf>,

    /// Show every setting, those that are as they come too
    #[arg(long)]
    all: bool,

    /// Print a file to begin with, in which every setting is explained; write it to oar.toml
    #[arg(long, conflicts_with = "all")]
    starter: bool,

    /// Print the JSON Schema of oar.toml, for editors
    #[arg(long, conflicts_with_all = ["all", "starter"])]
    schema: bool,

    #[command(flatten)]
    chosen: Chosen,
}

impl Config {
    /// Prints the settings, the file to begin with, or the schema.
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
        say(&listed(&self.chosen.settle(&self.paths)?, self.all))
    }
}

/// Refuses a path that leads to nothing: the settings of the folder above it are not what was asked for.
fn is_there(path: &Path) -> Result<(), Failure> {
    if path.as_os_str() == "-" {
        return Ok(());
    }
    let missing =
        |error| Failure::Asked(format!("{}: {}", input_name(&Input::File(path.to_path_buf())), reason(&error)));
    std::fs::metadata(path).map(drop).map_err(missing)
}

/// One setting: its name, its value, and where it was set.
type Row = (String, String, Origin);

/// The settings, as a heading with rows below it for all records and for each profile.
fn listed(settled: &Settled, all: bool) -> String {
    let head = settled.file.as_ref().map_or("settings from no file".to_owned(), |file| format!("settings from {file}"));
    let settings = &settled.settings;
    let general = [of_run(settled), of_records(settings, &[]), of_signals(&settled.ranks)].concat();
    let general: Vec<Row> = general.into_iter().filter(|(.., origin)| all || *origin != Origin::Default).collect();
    let profiles = settings.profiles.iter().map(|profile| (format!("records of {}", profile.pattern()), profile));
    let profiles = profiles.map(|(head, profile)| (head, of_profile(settings, profile)));
    let parts: Vec<(String, Vec<Row>)> = std::iter::once((head, general)).chain(profiles).collect();
    let rows = || parts.iter().flat_map(|(_, rows)| rows);
    let widest = |part: fn(&Row) -> &str| rows().map(|row| part(row).chars().count()).max().unwrap_or_default();
    let (names, values) = (widest(|row| &row.0), widest(|row| &row.1));
    let mut text = String::new();
    for (head, rows) in &parts {
        let first = text.is_empty();
        let _ = writeln!(text, "{}{head}", if first { "" } else { "\n" });
        if rows.is_empty() {
            text.push_str(if first {
                "  everything is as it comes\n"
            } else {
                "  nothing else than for other records\n"
            });
        }
        for (name, value, origin) in rows {
            let _ = writeln!(text, "  {name:<names$}  {value:<values$}  {origin}");
        }
    }
    text
}

/// What is set for the run as a whole.
fn of_run(settled: &Settled) -> Vec<Row> {
    let (edition, of_edition) = &settled.edition;
    let newest = settled.settings.editions.newest;
    let (level, of_level) = &settled.fail_level;
    let mut rows = vec![
        ("edition".to_owned(), instead(&edition.to_string(), &newest.to_string()), of_edition.clone()),
        ("fail_level".to_owned(), instead(level.as_str(), FailOn::default().as_str()), of_level.clone()),
    ];
    rows.extend(of_files(&settled.named));
    for (name, list) in [("include", &settled.include), ("exclude", &settled.exclude)] {
        rows.extend(list.iter().map(|(pattern, origin)| (name.to_owned(), pattern.clone(), origin.clone())));
        if list.is_empty() {
            rows.push((name.to_owned(), "nothing".to_owned(), Origin::Default));
        }
    }
    rows
}

/// The files that are named for a check.
fn of_files(named: &Named) -> Vec<Row> {
    let one = |name: &str, said: &Option<Said<String>>, usual: &str| {
        let (value, origin) = said.clone().unwrap_or((usual.to_owned(), Origin::Default));
        (name.to_owned(), value, origin)
    };
    let mut rows = vec![one("baseline", &named.baseline, "none"), one("waivers", &named.waivers, WAIVERS)];
    rows.extend(named.output.iter().map(|(form, origin)| ("output".to_owned(), form.clone(), origin.clone())));
    if named.output.is_empty() {
        rows.push(one("output", &None, OUTPUT));
    }
    rows.push(one("rule_pages", &named.rule_pages, RULE_PAGES));
    rows
}

/// The levels and limits for records.
fn of_records(settings: &Settings, profiles: &[&Profile]) -> Vec<Row> {
    let levels = rules::all().map(|rule| {
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

/// The ranks of signals in a review.
fn of_signals(ranks: &Ranks) -> Vec<Row> {
    let word = |rank: Option<Rank>| rank.map_or("off", Rank::as_str);
    let row = |signal: &'static Signal| {
        let value = instead(word(ranks.of(signal)), word(Some(signal.rank)));
        (signal.name.to_owned(), value, ranks.origin(signal))
    };
    signals::all().map(row).collect()
}

/// What counts otherwise for the records of a profile, by it and by those that fit all its systems too.
fn of_profile(settings: &Settings, profile: &Profile) -> Vec<Row> {
    let general = of_records(settings, &[]);
    of_records(settings, &settings.profiles_for(profile.pattern()))
        .into_iter()
        .filter(|row| !general.contains(row))
        .collect()
}

/// A value, and the one that it would have.
fn instead(value: &str, usual: &str) -> String {
    if value == usual { value.to_owned() } else { format!("{value} instead of {usual}") }
}
