//! `oar generate`: synthetic cohorts.

use std::path::{Path, PathBuf};

use clap::Args;
use oar_generators::cohort::Cohort;
use oar_generators::recipe::{BUILT_IN, DESCRIBED, Recipe, RecipeError};
use open_aligner_record::card::Made;
use open_aligner_record::counted;
use open_aligner_record::output::shown;
use open_aligner_record::time::{Date, YEARS};

use super::check::{from_one, threads};
use super::cohort_card::CardFiles;
use super::cohort_files::{Files, Wanted, is_stream};
use super::planted::Planted;
use super::{Failure, say};

/// The largest seed: what every reader of JSON can hold.
const SEEDS: u64 = 1 << 53;

/// Make a cohort of synthetic records: a clinic and its patients, day by day.
///
/// The same recipe, version and seed give the same records, on every machine and for any number of threads.
#[derive(Args)]
#[expect(clippy::struct_excessive_bools, reason = "each is an option of the command")]
pub(crate) struct Generate {
    /// The recipe: a name from --list, or the path of an own one
    #[arg(long, default_value = "general")]
    recipe: String,
    /// List the recipes and what each is
    #[arg(long, conflicts_with_all = ["values", "to"])]
    list: bool,
    /// List the values of the recipe, with their sources
    #[arg(long, conflicts_with = "to")]
    values: bool,
    /// How many patients [default: 100]
    #[arg(long, value_name = "NUMBER", value_parser = from_one, allow_negative_numbers = true)]
    patients: Option<u64>,
    /// The seed
    #[arg(long, default_value_t = 1, value_parser = clap::value_parser!(u64).range(0..SEEDS))]
    seed: u64,
    /// Where to: a file that ends in .oar.jsonl, .oar.jsonl.gz or .oar.jsonl.zst, a folder for one file each, or -
    #[arg(long, value_name = "PATH")]
    to: Option<PathBuf>,
    /// Write the answer key, one line for each patient, to this file
    #[arg(long, value_name = "FILE")]
    key: Option<PathBuf>,
    /// Write the dataset card as FILE.card.json and FILE.card.md; without it they are beside the file or in the folder, and
    /// there is none with standard output
    #[arg(long, value_name = "FILE", conflicts_with = "no_card")]
    card: Option<PathBuf>,
    /// Write no dataset card
    #[arg(long)]
    no_card: bool,
    /// The day that the card tells as the one on which the cohort was made; none when it is not said
    #[arg(long, value_name = "DAY", conflicts_with = "no_card")]
    made_on: Option<String>,
    /// Set a value of the recipe for this run
    #[arg(long = "set", value_name = "GROUP.NAME=VALUE")]
    sets: Vec<String>,
    /// The day of the export, instead of the recipe's
    #[arg(long, value_name = "DAY")]
    as_of: Option<String>,
    /// Only the patient of this number, counted from 0
    #[arg(long, value_name = "NUMBER", conflicts_with_all = ["range", "shard"])]
    only: Option<u64>,
    /// Only the patients from the first number to before the second
    #[arg(long, value_name = "FROM..TO", conflicts_with = "shard")]
    range: Option<String>,
    /// Only one part of several, such as 2/4
    #[arg(long, value_name = "PART/PARTS")]
    shard: Option<String>,
    /// How many threads make records, from 1 to 1024; without it, one for each core
    #[arg(long, value_name = "NUMBER")]
    threads: Option<usize>,
    /// Write over files that are there
    #[arg(long)]
    overwrite: bool,
    #[command(flatten)]
    faults: Planted,
}

/// How many patients there are when it is not said.
const PATIENTS: u64 = 100;

impl Generate {
    /// Makes the cohort, or lists what it could be made of.
    pub(crate) fn run(self) -> Result<u8, Failure> {
        if self.list {
            return say(&recipes());
        }
        let recipe = Recipe::load(&self.recipe, &self.all_sets()?).map_err(|error| self.not_loaded(&error))?;
        if self.values {
            return say(&values(&recipe));
        }
        let Some(to) = &self.to else {
            return Err(Failure::Asked(
                "nothing says where the records go: give --to FILE.oar.jsonl, --to FOLDER/ or --to -".to_owned(),
            ));
        };
        let span = self.span()?;
        let cohort = Cohort::new(recipe, self.seed);
        let cohort = match self.faults.plan(!is_stream(to))? {
            Some(plan) => cohort.with_faults(plan),
            None => cohort,
        };
        let made = Made {
            set: self.all_sets()?,
            span,
            options: self.options(span),
            made_on: self.made_on.as_deref().map(day).transpose()?,
            ..Made::default()
        };
        let card = if self.no_card { None } else { CardFiles::choose(to, self.card.as_deref(), self.overwrite)? };
        let wanted = Wanted { to, key: self.key.as_deref(), card, overwrite: self.overwrite };
        Files::begin(wanted)?.fill(&cohort, threads(self.threads)?, made)
    }

    /// Why the recipe cannot be used, with its name as it can be shown.
    fn not_loaded(&self, error: &RecipeError) -> Failure {
        Failure::Asked(error.to_string().replace(&self.recipe, &shown(&self.recipe)))
    }

    /// The options that make the same records again. Of an own recipe the file's name is enough.
    fn options(&self, (from, to): (u64, u64)) -> Vec<String> {
        let recipe = Path::new(&self.recipe).file_name().map_or_else(String::new, |name| name.to_string_lossy().into());
        let mut options = vec!["--recipe".to_owned(), quoted(&recipe), "--seed".to_owned(), self.seed.to_string()];
        options.extend(if from == 0 {
            ["--patients".to_owned(), to.to_string()]
        } else {
            ["--range".to_owned(), format!("{from}..{to}")]
        });
        options.extend(self.as_of.iter().flat_map(|day| ["--as-of".to_owned(), quoted(day)]));
        options.extend(self.sets.iter().flat_map(|set| ["--set".to_owned(), quoted(set)]));
        options.extend(self.faults.options());
        options
    }

    /// What is set, the day of the export among it.
    fn all_sets(&self) -> Result<Vec<String>, Failure> {
        let mut sets = self.sets.clone();
        if let Some(day) = &self.as_of {
            let cut = self::day(day)?;
            let recipe = Recipe::load(&self.recipe, &sets).map_err(|error| self.not_loaded(&error))?;
            let days = cut.days_since(recipe.values.clinic.anchor);
            if days < 1 {
                let anchor = recipe.values.clinic.anchor;
                return Err(Failure::Asked(format!("{day} is not after {anchor}, the recipe's first day")));
            }
            sets.push(format!("clinic.cut_days={days}"));
        }
        Ok(sets)
    }

    /// The patients that are asked for, from the first to before the last.
    fn span(&self) -> Result<(u64, u64), Failure> {
        if let Some(only) = self.only {
            return self.in_cohort(&format!("--only {only}"), (only, only.saturating_add(1)));
        }
        if let Some(range) = &self.range {
            let ends = range.split_once("..").and_then(|(from, to)| Some((from.parse().ok()?, to.parse().ok()?)));
            let ends = ends.filter(|(from, to): &(u64, u64)| from < to);
            let no_range = || Failure::Asked(format!("{range} is no range\n  help: write it as 100..200"));
            return self.in_cohort(&format!("--range {range}"), ends.ok_or_else(no_range)?);
        }
        let patients = self.patients.unwrap_or(PATIENTS);
        let Some(shard) = &self.shard else { return Ok((0, patients)) };
        let parts = shard.split_once('/').and_then(|(part, parts)| Some((part.parse().ok()?, parts.parse().ok()?)));
        let parts = parts.filter(|(part, parts): &(u64, u64)| (1..=*parts).contains(part));
        let (part, parts) = parts
            .ok_or_else(|| Failure::Asked(format!("{shard} is no part\n  help: write the second of four as 2/4")))?;
        let at = |part: u64| (u128::from(patients) * u128::from(part) / u128::from(parts)) as u64;
        Ok((at(part - 1), at(part)))
    }

    /// Refuses numbers of patients beyond the number of patients, where that is given.
    fn in_cohort(&self, option: &str, (from, to): (u64, u64)) -> Result<(u64, u64), Failure> {
        let Some(patients) = self.patients.filter(|patients| to > *patients) else { return Ok((from, to)) };
        let numbers = if patients == 1 { "0".to_owned() } else { format!("0 to {}", patients - 1) };
        let are = if patients == 1 { "is" } else { "are" };
        let patients = counted(patients, "patient");
        let text = format!(
            "{option}: there {are} {patients}, numbered {numbers}\n  help: give a larger --patients, or leave it out"
        );
        Err(Failure::Asked(text))
    }
}

/// Reads a day.
fn day(text: &str) -> Result<Date, Failure> {
    Date::parse(text.as_bytes()).ok_or_else(|| {
        let (from, to) = YEARS.into_inner();
        Failure::Asked(format!("{text} is no day of the years {from} to {to}\n  help: write it as 2034-06-30"))
    })
}

/// A word as a shell takes it.
fn quoted(word: &str) -> String {
    let plain = |letter: char| letter.is_ascii_alphanumeric() || "-_./=,:".contains(letter);
    if word.chars().all(plain) { word.to_owned() } else { format!("'{}'", word.replace('\'', "'\\''")) }
}

fn recipes() -> String {
    let line = |(name, _): &(&str, &str)| {
        let summary = Recipe::load(name, &[]).map_or_else(|error| error.to_string(), |recipe| recipe.summary);
        format!("{name:<14}  {summary}\n")
    };
    let list: String = BUILT_IN.iter().map(line).collect();
    format!("{list}\noar generate --recipe NAME --values  lists the values of a recipe, with their sources\n")
}

fn values(recipe: &Recipe) -> String {
    let mut text = format!("{} {}: {}\n", recipe.name.0, recipe.version.0, recipe.summary);
    for described in DESCRIBED {
        let Some(entry) = recipe.entries.get(described.key) else { continue };
        let (value, source) = (entry.shown(), &entry.source);
        let note = entry.note.as_deref().map_or(String::new(), |note| format!(" — {note}"));
        let (key, unit, doc) = (described.key, described.unit, described.doc.trim());
        text.extend([format!("\n{key} = {value} {unit}\n  {doc}  {source}{note}\n")]);
    }
    text.push_str("\nreferences\n");
    for (key, cite) in &recipe.references {
        text.extend(["  ", key, ": ", cite, "\n"]);
    }
    text
}
