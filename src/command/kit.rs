//! `oar kit`: writes a conformance kit, and scores the answers of a reader.

use std::fs;
use std::io::{self, Write};
use std::path::{Path, PathBuf};

use clap::{Args, ValueEnum};
use open_aligner_record::kit::score::{Score, asks_for_nothing};
use open_aligner_record::kit::{self, Manifest, answers};
use open_aligner_record::output::shown_path;
use open_aligner_record::read::inputs::reason;

use super::atomic_file::AtomicFile;
use super::side_file::{self, KIT, read, read_from};
use super::{CLEAN, FOUND, Failure, say};

/// Write a folder by which other software is tested, or score what that software answered.
#[derive(Args)]
#[command(
    after_help = "Exit code: 0 the kit was written, or all answers are right; 1 some are wrong, missing, doubled or unknown; 2 it could not be done"
)]
#[allow(clippy::doc_markdown, reason = "the comments on fields are the help as it is shown")]
pub(crate) struct Kit {
    /// The folder of the kit
    folder: PathBuf,

    /// Score the answers in this file, or of standard input with -, instead of writing a kit
    #[arg(long, value_name = "ANSWERS")]
    score: Option<PathBuf>,

    /// Score only cases whose names begin so, such as accept,refuse/not_a_tooth
    #[arg(long, value_name = "NAME", value_delimiter = ',', requires = "score")]
    only: Vec<String>,

    /// Write the score as text or json
    #[arg(short, long, value_name = "FORMAT", default_value = "text", requires = "score")]
    output: Form,

    /// The seed of the kit
    #[arg(long, default_value_t = 1, conflicts_with = "score", value_parser = clap::value_parser!(u64).range(0..1 << 53))]
    seed: u64,

    /// How many cases of each fault, from 1 to 100, and of the other kinds accordingly more
    #[arg(long, value_name = "NUMBER", default_value_t = 1, conflicts_with = "score", value_parser = clap::value_parser!(u64).range(1..=100))]
    each: u64,
}

#[derive(Clone, Copy, PartialEq, Eq, ValueEnum)]
enum Form {
    Text,
    Json,
}

impl Kit {
    /// Writes or scores, and gives the exit code.
    pub(crate) fn run(self) -> Result<u8, Failure> {
        match &self.score {
            Some(file) => self.score(file),
            None => self.write(),
        }
    }

    fn write(&self) -> Result<u8, Failure> {
        let name = shown_path(&self.folder);
        fs::create_dir_all(&self.folder).map_err(Failure::writing(&name))?;
        if fs::read_dir(&self.folder).is_ok_and(|mut entries| entries.next().is_some()) {
            return Err(Failure::Asked(format!("{name} is not empty\n  help: give a new folder")));
        }
        let mut put = |file: &str, bytes: &[u8]| {
            let path = self.folder.join(file);
            path.parent().map_or(Ok(()), fs::create_dir_all)?;
            let mut file = AtomicFile::create(&path, false)?;
            file.write_all(bytes)?;
            file.commit()
        };
        let manifest = kit::make(self.seed, self.each, &mut put).map_err(Failure::writing(&name))?;
        let mut said = format!("{name}: {} cases; begin with README.md in it\n", manifest.cases.len());
        for without in &manifest.without {
            said.extend(["no case of ", &without.rule, ": ", &without.why, "\n"]);
        }
        say(&said)
    }

    fn score(&self, file: &Path) -> Result<u8, Failure> {
        let manifest = manifest(&self.folder)?;
        if let Some(name) = asks_for_nothing(&manifest, &self.only) {
            return Err(Failure::Asked(format!(
                "--only {name}: no case begins so\n  help: the names are in manifest.json, under case"
            )));
        }
        let name = if file == Path::new("-") { "standard input".to_owned() } else { shown_path(file) };
        let text = text(file).map_err(|error| Failure::Asked(format!("{name} cannot be read: {}", reason(&error))))?;
        let answers = answers::read(&text).map_err(|error| {
            Failure::Asked(format!(
                "{name}: {error}\n  help: write one JSON object a line, as schema/kit_answer.schema.json in the kit has it"
            ))
        })?;
        let score = Score::new(&manifest, &answers, &self.only);
        match self.output {
            Form::Text => say(&kit::text(&score))?,
            Form::Json => say(&format!("{:#}\n", serde_json::json!(score)))?,
        };
        Ok(if score.all_right { CLEAN } else { FOUND })
    }
}

fn text(file: &Path) -> io::Result<String> {
    let bytes = if file == Path::new("-") { read_from(io::stdin().lock(), KIT)? } else { read(file, KIT)? };
    side_file::text(bytes)
}

fn manifest(folder: &Path) -> Result<Manifest, Failure> {
    let path = folder.join("manifest.json");
    let name = shown_path(&path);
    let text = text(&path).map_err(|error| {
        Failure::Asked(format!("{name} cannot be read: {}\n  help: name the folder that oar kit wrote", reason(&error)))
    })?;
    let manifest: Manifest = serde_json::from_str(&text)
        .map_err(|error| Failure::Asked(format!("{name} is no manifest of a kit: {error}")))?;
    manifest.of_this_version().map_err(|version| {
        Failure::Asked(format!(
            "{name} is of version {version}\n  help: score it with the oar that wrote it, {}",
            manifest.made_by
        ))
    })?;
    Ok(manifest)
}
