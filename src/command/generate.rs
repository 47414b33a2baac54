//! `oar generate`: synthetic cohorts.

use std::io::{self, Write};
use std::path::{Path, PathBuf};

use clap::Args;
use oar_generators::cohort::Cohort;
use oar_generators::output::{Form, Packing, Piece, WholeFile, each_piece};
use oar_generators::recipe::{BUILT_IN, DESCRIBED, Recipe};
use open_aligner_record::time::Date;

use super::planted::Planted;
use super::progress::Progress;
use super::{Failure, say};

/// The largest seed: what every reader of JSON can hold.
const SEEDS: u64 = 1 << 53;

/// Make a cohort of synthetic records: a clinic and its patients, day by day.
///
/// The same recipe, version and seed give the same records, on every machine and for any number of threads.
#[derive(Args)]
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
    /// How many patients
    #[arg(long, default_value_t = 100)]
    patients: u64,
    /// The seed
    #[arg(long, default_value_t = 1, value_parser = clap::value_parser!(u64).range(0..SEEDS))]
    seed: u64,
    /// Where to: a file that ends in .oar.jsonl, .oar.jsonl.gz or .oar.jsonl.zst, a folder for one file each, or -
    #[arg(long, value_name = "PATH")]
    to: Option<PathBuf>,
    /// Write the answer key, one line for each patient, to this file
    #[arg(long, value_name = "FILE")]
    key: Option<PathBuf>,
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
    /// Threads; as many as the machine has when it is not said
    #[arg(long, value_parser = clap::value_parser!(u16).range(1..=256))]
    threads: Option<u16>,
    /// Write over files that are there
    #[arg(long)]
    overwrite: bool,
    #[command(flatten)]
    faults: Planted,
}

impl Generate {
    /// Makes the cohort, or lists what it could be made of.
    pub(crate) fn run(self) -> Result<u8, Failure> {
        if self.list {
            return say(&recipes());
        }
        let recipe =
            Recipe::load(&self.recipe, &self.all_sets()?).map_err(|error| Failure::Asked(error.to_string()))?;
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
        let files = Files::begin(to, self.key.as_deref(), self.overwrite)?;
        files.fill(&cohort, span, self.threads())
    }

    fn threads(&self) -> usize {
        self.threads.map_or_else(|| std::thread::available_parallelism().map_or(1, usize::from), usize::from)
    }

    /// What is set, the day of the export among it.
    fn all_sets(&self) -> Result<Vec<String>, Failure> {
        let mut sets = self.sets.clone();
        if let Some(day) = &self.as_of {
            let cut = Date::parse(day.as_bytes())
                .ok_or_else(|| Failure::Asked(format!("{day} is no day\n  help: write it as 2034-06-30")))?;
            let recipe = Recipe::load(&self.recipe, &sets).map_err(|error| Failure::Asked(error.to_string()))?;
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
            return Ok((only, only + 1));
        }
        if let Some(range) = &self.range {
            let ends = range.split_once("..").and_then(|(from, to)| Some((from.parse().ok()?, to.parse().ok()?)));
            let ends = ends.filter(|(from, to): &(u64, u64)| from < to);
            return ends.ok_or_else(|| Failure::Asked(format!("{range} is no range\n  help: write it as 100..200")));
        }
        let Some(shard) = &self.shard else { return Ok((0, self.patients)) };
        let parts = shard.split_once('/').and_then(|(part, parts)| Some((part.parse().ok()?, parts.parse().ok()?)));
        let parts = parts.filter(|(part, parts): &(u64, u64)| (1..=*parts).contains(part));
        let (part, parts) = parts
            .ok_or_else(|| Failure::Asked(format!("{shard} is no part\n  help: write the second of four as 2/4")))?;
        let at = |part: u64| (u128::from(self.patients) * u128::from(part) / u128::from(parts)) as u64;
        Ok((at(part - 1), at(part)))
    }
}

fn recipes() -> String {
    let line = |(name, _): &(&str, &str)| {
        let summary = Recipe::load(name, &[]).map_or_else(|error| error.to_string(), |recipe| recipe.summary);
        format!("{name:<12}  {summary}\n")
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

/// Whether records go one a line into one file, or to standard output, rather than into a folder.
fn is_stream(to: &Path) -> bool {
    let name = to.display().to_string();
    name == "-" || [".jsonl", ".jsonl.gz", ".jsonl.zst"].iter().any(|ending| name.ends_with(ending))
}

/// Where records go.
enum To {
    Stream(Box<dyn Write>),
    File(WholeFile, String),
    Folder(PathBuf),
}

struct Files {
    to: To,
    key: Option<(WholeFile, String, Packing)>,
    packing: Packing,
}

impl Files {
    fn begin(to: &Path, key: Option<&Path>, overwrite: bool) -> Result<Self, Failure> {
        let key = match key {
            Some(path) => Some((begin(path, overwrite)?, path.display().to_string(), Packing::of(path))),
            None => None,
        };
        let name = to.display().to_string();
        if name == "-" {
            return Ok(Self { to: To::Stream(Box::new(io::stdout())), key, packing: Packing::Plain });
        }
        if is_stream(to) {
            return Ok(Self { to: To::File(begin(to, overwrite)?, name), key, packing: Packing::of(to) });
        }
        if !to.is_dir() && !name.ends_with('/') {
            return Err(Failure::Asked(format!(
                "{name} is neither a folder nor ends in .oar.jsonl, .oar.jsonl.gz or .oar.jsonl.zst\n  help: write a new folder with / at its end"
            )));
        }
        std::fs::create_dir_all(to).map_err(Failure::writing(&name))?;
        let taken = std::fs::read_dir(to).is_ok_and(|mut entries| entries.next().is_some());
        if taken && !overwrite {
            return Err(Failure::Asked(format!("{name} is not empty\n  help: give a new folder, or --overwrite")));
        }
        Ok(Self { to: To::Folder(to.to_owned()), key, packing: Packing::Plain })
    }

    fn fill(mut self, cohort: &Cohort, (from, to): (u64, u64), threads: usize) -> Result<u8, Failure> {
        let form = Form { records: self.packing, key: self.key.as_ref().map(|(_, _, packing)| *packing) };
        let mut progress = Progress::new();
        let (mut patients, mut failed) = (0, None);
        let done = each_piece(cohort, (from, to), form, threads, |piece| {
            patients += piece.count;
            let written = self.write(&piece);
            progress.made(patients, to - from);
            written.map_err(|failure| {
                failed = Some(failure);
                io::Error::other("told")
            })
        });
        progress.clear();
        match (failed, done) {
            (Some(failure), _) => Err(failure),
            (None, Err(error)) => Err(Failure::Writing("the records".to_owned(), error)),
            (None, Ok(())) => self.finish(),
        }
    }

    fn write(&mut self, piece: &Piece) -> Result<(), Failure> {
        match &mut self.to {
            To::Stream(stream) => stream.write_all(&piece.records).map_err(Failure::writing("standard output"))?,
            To::File(file, name) => file.write_all(&piece.records).map_err(Failure::writing(name))?,
            To::Folder(folder) => write_each(folder, piece)?,
        }
        if let Some((file, name, _)) = &mut self.key {
            file.write_all(&piece.key).map_err(Failure::writing(name))?;
        }
        Ok(())
    }

    fn finish(self) -> Result<u8, Failure> {
        match self.to {
            To::Stream(mut stream) => stream.flush().map_err(Failure::writing("standard output"))?,
            To::File(file, name) => file.finish().map_err(Failure::writing(&name))?,
            To::Folder(_) => {}
        }
        if let Some((file, name, _)) = self.key {
            file.finish().map_err(Failure::writing(&name))?;
        }
        Ok(super::CLEAN)
    }
}

/// One file for each record of a piece, named by the number of the patient in the run; further records of a patient, which
/// planted faults add, are numbered on from 2.
fn write_each(folder: &Path, piece: &Piece) -> Result<(), Failure> {
    let mut from = 0;
    for end in &piece.ends {
        let which = if end.record == 0 { String::new() } else { format!("-{}", end.record + 1) };
        let path = folder.join(format!("LH-{:07}{which}.oar.json", end.patient));
        let written = WholeFile::begin(&path).and_then(|mut file| {
            file.write_all(&piece.records[from..end.at])?;
            file.finish()
        });
        written.map_err(Failure::writing(&path.display().to_string()))?;
        from = end.at;
    }
    Ok(())
}

/// Begins a file, unless one is there that is not to be written over.
fn begin(path: &Path, overwrite: bool) -> Result<WholeFile, Failure> {
    let name = path.display().to_string();
    if path.exists() && !overwrite {
        return Err(Failure::Asked(format!("{name} is already there\n  help: give another name, or --overwrite")));
    }
    let left = WholeFile::partial(path);
    if left.exists() {
        drop(writeln!(io::stderr(), "{} is left of a run that was interrupted; it is begun anew", left.display()));
    }
    WholeFile::begin(path).map_err(Failure::writing(&name))
}
