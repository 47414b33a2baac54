//! `oar generate`: synthetic cohorts.

use std::path::{Path, PathBuf};

use clap::Args;
use oar_generators::cohort::SyntheticCohort;
use oar_generators::recipe::{BUILT_IN, DESCRIBED, Recipe, RecipeError};
use open_aligner_record::card::Made;
use open_aligner_record::counted;
use open_aligner_record::output::shown;
use open_aligner_record::time::Date;

use super::cohort_card::CardFiles;
use super::cohort_files::{Files, Request};
use super::cohort_paths::is_stream;
use super::fault_options::FaultOptions;
use super::options::{ThreadOptions, date, from_one};
use super::{Failure, say};

/// Seeds are below this, so that every reader of JSON can hold them.
const SEEDS: u64 = 1 << 53;

/// Generate a cohort of synthetic records
///
/// It simulates a clinic and its patients one day at a time. The same recipe, version and seed give the same records, on every
/// machine and for any number of threads.
#[derive(Args)]
#[command(after_long_help = LONG_HELP)]
#[allow(clippy::doc_markdown, reason = "the comments on fields are the help as it is shown")]
#[expect(clippy::struct_excessive_bools, reason = "each is an option of the command")]
pub(crate) struct Generate {
    /// The recipe: a name from --list, or the path of your own recipe
    #[arg(long, value_name = "RECIPE", default_value = "general")]
    recipe: String,
    /// List the recipes
    #[arg(long, conflicts_with_all = ["values", "output"])]
    list: bool,
    /// List the values of the recipe, with their sources
    #[arg(long, conflicts_with = "output")]
    values: bool,
    /// The number of patients [default: 100]
    #[arg(long, value_name = "N", value_parser = from_one, allow_negative_numbers = true)]
    patients: Option<u64>,
    /// The seed
    #[arg(long, value_name = "N", default_value_t = 1, value_parser = clap::value_parser!(u64).range(0..SEEDS))]
    seed: u64,
    /// Write the records to PATH: a file that ends in .oar.jsonl, .oar.jsonl.gz or .oar.jsonl.zst, a folder for one file a record,
    /// or - for standard output
    #[arg(short, long, value_name = "PATH")]
    output: Option<PathBuf>,
    /// Write the answer key, one line for each patient, to FILE
    #[arg(long, value_name = "FILE")]
    key: Option<PathBuf>,
    /// Write the dataset card to FILE.card.json and FILE.card.md
    ///
    /// By default, the card is beside the file or in the folder, and there is none with standard output.
    #[arg(long, value_name = "FILE", conflicts_with = "no_card")]
    card: Option<PathBuf>,
    /// Write no dataset card
    #[arg(long)]
    no_card: bool,
    /// The date of creation in the card [default: none]
    #[arg(long, value_name = "DATE", conflicts_with = "no_card", value_parser = date)]
    created_on: Option<Date>,
    /// Set a value of the recipe; repeatable
    #[arg(long = "set", value_name = "GROUP.NAME=VALUE")]
    sets: Vec<String>,
    /// The date of the export [default: that of the recipe]
    #[arg(long, value_name = "DATE", value_parser = date)]
    as_of: Option<Date>,
    /// Generate only the patient with this number, counted from 0
    #[arg(long, value_name = "N", conflicts_with_all = ["range", "shard"])]
    number: Option<u64>,
    /// Generate only the patients from number FROM up to, but not including, TO
    #[arg(long, value_name = "FROM..TO", conflicts_with = "shard")]
    range: Option<String>,
    /// Generate only one part of the cohort, as in 2/4
    #[arg(long, value_name = "PART/PARTS")]
    shard: Option<String>,
    #[command(flatten)]
    threads: ThreadOptions,
    /// Overwrite existing files
    #[arg(long)]
    overwrite: bool,
    #[command(flatten)]
    faults: FaultOptions,
}

const LONG_HELP: &str = "\
Examples:
  oar generate --list
  oar generate --patients 200 --seed 7 -o cohort.oar.jsonl.zst
  oar generate --faults 0.1 --key key.jsonl -o cohort.oar.jsonl
  oar generate --fault wear_log,worn_backwards -o broken/
  oar generate --number 11 -o -";

/// The default number of patients.
const PATIENTS: u64 = 100;

impl Generate {
    /// Generates the cohort, or lists recipes or values.
    pub(crate) fn run(self) -> Result<u8, Failure> {
        if self.list {
            return say(&recipes());
        }
        let recipe = Recipe::load(&self.recipe, &self.all_sets()?).map_err(|error| self.not_loaded(&error))?;
        if self.values {
            return say(&values(&recipe));
        }
        let Some(to) = &self.output else {
            let text = "no output given: give -o FILE.oar.jsonl, -o FOLDER/ or -o -";
            return Err(Failure::Message(text.to_owned()));
        };
        let span = self.span()?;
        let cohort = SyntheticCohort::new(recipe, self.seed);
        let cohort = match self.faults.plan(!is_stream(to))? {
            Some(plan) => cohort.with_faults(plan),
            None => cohort,
        };
        let made = Made {
            set: self.all_sets()?,
            span,
            options: self.options(span),
            made_on: self.created_on,
            ..Made::default()
        };
        let card = if self.no_card { None } else { CardFiles::choose(to, self.card.as_deref(), self.overwrite)? };
        let request = Request { to, key: self.key.as_deref(), card, overwrite: self.overwrite };
        Files::begin(request)?.fill(&cohort, self.threads.count()?, made)
    }

    /// Why the recipe cannot be used, with control characters in its name escaped.
    fn not_loaded(&self, error: &RecipeError) -> Failure {
        Failure::Message(error.to_string().replace(&self.recipe, &shown(&self.recipe)))
    }

    /// The options that generate the same records again. For a recipe from a file, they have the name of the file.
    fn options(&self, (from, to): (u64, u64)) -> Vec<String> {
        let recipe = Path::new(&self.recipe).file_name().map_or_else(String::new, |name| name.to_string_lossy().into());
        let mut options = vec!["--recipe".to_owned(), quoted(&recipe), "--seed".to_owned(), self.seed.to_string()];
        options.extend(if from == 0 {
            ["--patients".to_owned(), to.to_string()]
        } else {
            ["--range".to_owned(), format!("{from}..{to}")]
        });
        options.extend(self.as_of.iter().flat_map(|day| ["--as-of".to_owned(), day.to_string()]));
        options.extend(self.sets.iter().flat_map(|set| ["--set".to_owned(), quoted(set)]));
        options.extend(self.faults.options());
        options
    }

    /// All values that are set, the date of the export included.
    fn all_sets(&self) -> Result<Vec<String>, Failure> {
        let mut sets = self.sets.clone();
        if let Some(day) = self.as_of {
            let recipe = Recipe::load(&self.recipe, &sets).map_err(|error| self.not_loaded(&error))?;
            let days = day.days_since(recipe.values.clinic.anchor);
            if days < 1 {
                let anchor = recipe.values.clinic.anchor;
                return Err(Failure::Message(format!(
                    "--as-of {day}: the first day of the recipe, {anchor}, is not before it"
                )));
            }
            sets.push(format!("clinic.cut_days={days}"));
        }
        Ok(sets)
    }

    /// The numbers of the patients to generate.
    fn span(&self) -> Result<(u64, u64), Failure> {
        if let Some(number) = self.number {
            return self.in_cohort(&format!("--number {number}"), (number, number.saturating_add(1)));
        }
        if let Some(range) = &self.range {
            let ends = range.split_once("..").and_then(|(from, to)| Some((from.parse().ok()?, to.parse().ok()?)));
            let ends = ends.filter(|(from, to): &(u64, u64)| from < to);
            let no_range = || Failure::Message(format!("--range {range}: write it as 100..200"));
            return self.in_cohort(&format!("--range {range}"), ends.ok_or_else(no_range)?);
        }
        let patients = self.patients.unwrap_or(PATIENTS);
        let Some(shard) = &self.shard else { return Ok((0, patients)) };
        let parts = shard.split_once('/').and_then(|(part, parts)| Some((part.parse().ok()?, parts.parse().ok()?)));
        let parts = parts.filter(|(part, parts): &(u64, u64)| (1..=*parts).contains(part));
        let (part, parts) = parts.ok_or_else(|| {
            Failure::Message(format!("--shard {shard}: write it as 2/4 for the second of four parts"))
        })?;
        let at = |part: u64| (u128::from(patients) * u128::from(part) / u128::from(parts)) as u64;
        Ok((at(part - 1), at(part)))
    }

    /// Refuses numbers beyond --patients, if that is given.
    fn in_cohort(&self, option: &str, (from, to): (u64, u64)) -> Result<(u64, u64), Failure> {
        let Some(patients) = self.patients.filter(|patients| to > *patients) else { return Ok((from, to)) };
        let numbers = if patients == 1 { "0".to_owned() } else { format!("0 to {}", patients - 1) };
        let are = if patients == 1 { "is" } else { "are" };
        let patients = counted(patients, "patient");
        let text = format!(
            "{option}: there {are} {patients}, numbered {numbers}\n  help: give a larger --patients, or leave it out"
        );
        Err(Failure::Message(text))
    }
}

/// A word, quoted for a shell.
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
