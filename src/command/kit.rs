//! `oar kit`: writes a conformance kit, and scores the answers of a reader.

use std::fs;
use std::io::{self, Write};
use std::path::{Path, PathBuf};

use clap::Args;
use open_aligner_record::kit::score::{Score, asks_for_nothing};
use open_aligner_record::kit::{self, Manifest, answers};
use open_aligner_record::output::shown_path;
use open_aligner_record::read::inputs::reason;

use super::atomic_file::AtomicFile;
use super::bounded_read::{self, KIT, read, read_from};
use super::options::ExitOptions;
use super::outputs::{ReportFormat, Target, report_help, write_texts};
use super::overwrite_guard::ProtectedFiles;
use super::{Failure, say_done};

/// The file that lists the cases of a kit.
const MANIFEST: &str = "manifest.json";

/// Write a conformance kit for other software, or score its answers
#[derive(Args)]
#[command(after_help = EXIT_CODES, after_long_help = LONG_HELP)]
#[allow(clippy::doc_markdown, reason = "the comments on fields are the help as it is shown")]
pub(crate) struct Kit {
    /// The folder of the kit
    #[arg(value_name = "FOLDER")]
    folder: PathBuf,

    /// Score the answers in FILE, or - for standard input, instead of writing a kit
    #[arg(long, value_name = "FILE")]
    score: Option<PathBuf>,

    /// Score only cases whose names begin with NAME, as in accept,refuse/not_a_tooth; repeatable
    #[arg(long, value_name = "NAME", value_delimiter = ',', requires = "score")]
    case: Vec<String>,

    /// Write the score as FORMAT, to FILE or standard output; repeatable
    #[arg(short, long, value_name = "FORMAT[=FILE]", default_value = "text", requires = "score", long_help = report_help::<ScoreFormat>())]
    output: Vec<String>,

    #[command(flatten)]
    exit: ExitOptions,

    /// The seed of the kit
    #[arg(long, value_name = "N", default_value_t = 1, conflicts_with = "score", value_parser = clap::value_parser!(u64).range(0..1 << 53))]
    seed: u64,

    /// Write N cases of each fault, from 1 to 100, and more of the other kinds in proportion
    #[arg(long, value_name = "N", default_value_t = 1, conflicts_with = "score", value_parser = clap::value_parser!(u64).range(1..=100))]
    each: u64,
}

const EXIT_CODES: &str = "Exit code: 0 the kit was written, or all answers are right, 1 some answers are wrong or missing, 2 the command failed";

const LONG_HELP: &str = "\
Exit code:
  0  the kit was written, or all answers are right
  1  some answers are wrong, missing, duplicate or unknown
  2  the command failed

Examples:
  oar kit kit                         write a kit; its README.md says how to answer it
  oar kit --score answers.jsonl kit   score the answers";

/// The formats of a score.
#[derive(Clone, Copy, PartialEq, Eq)]
enum ScoreFormat {
    Text,
    Json,
}

impl ReportFormat for ScoreFormat {
    const ALL: &'static [(Self, &'static str, &'static str)] =
        &[(Self::Text, "text", "a table, for people"), (Self::Json, "json", "one JSON object, for programs")];
    const REPORT: &'static str = "the score";
    const EXAMPLE: &'static str = "json=score.json";
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
            return Err(Failure::Message(format!("{name} is not empty\n  help: give a new folder")));
        }
        let mut put = |file: &str, bytes: &[u8]| {
            let path = self.folder.join(file);
            path.parent().map_or(Ok(()), fs::create_dir_all)?;
            let mut file = AtomicFile::create(&path, false)?;
            file.write_all(bytes)?;
            file.commit()
        };
        let manifest = kit::make(self.seed, self.each, &mut put).map_err(Failure::writing(&name))?;
        let mut said = format!("{name}: {} cases; start with its README.md\n", manifest.cases.len());
        for without in &manifest.without {
            said.extend(["no case of ", &without.rule, ": ", &without.why, "\n"]);
        }
        say_done(&said)
    }

    fn score(&self, file: &Path) -> Result<u8, Failure> {
        let targets = Target::parse_all(&self.output)?;
        let protected = ProtectedFiles::default().and(Some(&file.to_path_buf()), "holds the answers");
        Target::refuse_clashes(&targets, &protected.and(Some(&self.folder.join(MANIFEST)), "is part of the kit"))?;
        let manifest = manifest(&self.folder)?;
        if let Some(name) = asks_for_nothing(&manifest, &self.case) {
            return Err(Failure::Message(format!(
                "--case {name}: no case has a name that begins so\n  help: manifest.json lists the names, under case"
            )));
        }
        let name = if file == Path::new("-") { "standard input".to_owned() } else { shown_path(file) };
        let text =
            text(file).map_err(|error| Failure::Message(format!("{name} cannot be read: {}", reason(&error))))?;
        let answers = answers::read(&text).map_err(|error| {
            Failure::Message(format!(
                "{name}: {error}\n  help: write one JSON object a line, as schema/kit_answer.schema.json in the kit describes"
            ))
        })?;
        let score = Score::new(&manifest, &answers, &self.case);
        write_texts(&targets, |target| match target.format {
            ScoreFormat::Text => kit::text(&score),
            ScoreFormat::Json => format!("{:#}\n", serde_json::json!(score)),
        })?;
        Ok(self.exit.code(!score.all_right))
    }
}

fn text(file: &Path) -> io::Result<String> {
    let bytes = if file == Path::new("-") { read_from(io::stdin().lock(), KIT)? } else { read(file, KIT)? };
    bounded_read::text(bytes)
}

fn manifest(folder: &Path) -> Result<Manifest, Failure> {
    let path = folder.join(MANIFEST);
    let name = shown_path(&path);
    let text = text(&path).map_err(|error| {
        Failure::Message(format!(
            "{name} cannot be read: {}\n  help: give the folder that oar kit wrote",
            reason(&error)
        ))
    })?;
    let manifest: Manifest = serde_json::from_str(&text)
        .map_err(|error| Failure::Message(format!("{name} is not the manifest of a kit: {error}")))?;
    manifest.of_this_version().map_err(|version| {
        Failure::Message(format!(
            "{name} has version {version}\n  help: score it with the oar that wrote it, {}",
            manifest.made_by
        ))
    })?;
    Ok(manifest)
}
