//! Where the records of `oar generate` go: a file, a folder of files, or standard output; with them the key and the card.

use std::io::{self, Write};
use std::path::{Path, PathBuf};

use oar_generators::cohort::SyntheticCohort;
use oar_generators::output::{Chunk, Compression, OutputOptions, each_chunk, each_chunk_with};
use open_aligner_record::card::{CardTotals, FileTold, Made, hex};
use open_aligner_record::counted;
use open_aligner_record::output::shown_path;
use open_aligner_record::read::names::is_partial;
use sha2::{Digest, Sha256};

use super::atomic_file::{AtomicFile, commit_all};
use super::cohort_card::CardFiles;
use super::cohort_paths::{begin, is_stream};
use super::overwrite_guard::resolved;
use super::progress::Progress;
use super::temporary::{is_left_behind, name_leftovers_in};
use super::{Failure, say_done};

/// Where records go.
enum To {
    Stream(Box<dyn Write>),
    File(AtomicFile),
    Folder(PathBuf),
}

/// What was written under a name.
struct WrittenFile {
    path: PathBuf,
    bytes: u64,
    hash: Sha256,
}

impl WrittenFile {
    fn of(path: &Path) -> Self {
        Self { path: path.to_path_buf(), bytes: 0, hash: Sha256::new() }
    }

    fn add(&mut self, bytes: &[u8]) {
        self.bytes += bytes.len() as u64;
        self.hash.update(bytes);
    }

    /// What messages call it.
    fn name(&self) -> String {
        shown_path(&self.path)
    }

    fn describe(&self, holds: &'static str) -> FileTold {
        let name = self.path.file_name().unwrap_or(self.path.as_os_str()).to_string_lossy().into_owned();
        let name = if name == "-" { "standard output".to_owned() } else { name };
        FileTold { name, holds, bytes: self.bytes, sha256: hex(self.hash.clone().finalize().as_slice()) }
    }
}

/// The files of a cohort.
pub(crate) struct Files {
    to: To,
    records: WrittenFile,
    /// How many records were written.
    count: usize,
    key: Option<(AtomicFile, WrittenFile)>,
    form: OutputOptions,
    card: Option<CardFiles>,
    overwrite: bool,
}

/// Where the files of a cohort are to go.
pub(crate) struct Request<'w> {
    pub(crate) to: &'w Path,
    pub(crate) key: Option<&'w Path>,
    pub(crate) card: Option<CardFiles>,
    pub(crate) overwrite: bool,
}

impl Request<'_> {
    /// Refuses a key on standard output, or in a file that holds something else.
    fn refuse_clash(&self) -> Result<(), Failure> {
        let Some(key) = self.key else { return Ok(()) };
        if key.as_os_str() == "-" {
            return Err(Failure::Message("--key -: the key cannot go to standard output: give a file".to_owned()));
        }
        let own = resolved(key);
        let taken = |path: &Path| own.is_some() && resolved(path) == own;
        let what = match &self.card {
            _ if taken(self.to) => "the records",
            Some(card) if card.paths().iter().any(|path| taken(path)) => "the dataset card",
            _ => return Ok(()),
        };
        Err(Failure::Message(format!("{} is to hold {what}: give the key another file", shown_path(key))))
    }
}

impl Files {
    /// Begins the files, unless some exist that may not be overwritten.
    pub(crate) fn begin(request: Request<'_>) -> Result<Self, Failure> {
        request.refuse_clash()?;
        let Request { to, key, card, overwrite } = request;
        let key = key.map(|path| Ok((begin(path, overwrite)?, WrittenFile::of(path)))).transpose()?;
        let packing = if is_stream(to) { Compression::of(to) } else { Compression::Plain };
        let form = OutputOptions { records: packing, key: key.as_ref().map(|(_, key)| Compression::of(&key.path)) };
        let target = if to.as_os_str() == "-" {
            To::Stream(Box::new(io::stdout()))
        } else if is_stream(to) {
            To::File(begin(to, overwrite)?)
        } else {
            To::Folder(folder(to, overwrite)?)
        };
        Ok(Self { to: target, records: WrittenFile::of(to), count: 0, key, form, card, overwrite })
    }

    /// Generates the patients and writes them, and then the card.
    pub(crate) fn fill(mut self, cohort: &SyntheticCohort, threads: usize, mut made: Made) -> Result<u8, Failure> {
        let ((from, to), form, has_card) = (made.span, self.form, self.card.is_some());
        let mut progress = Progress::new();
        let (mut patients, mut failed) = (0, None);
        let take = |piece: Chunk| {
            patients += piece.count;
            let written = self.write(&piece);
            progress.made(patients, to - from);
            written.map_err(|failure| {
                failed = Some(failure);
                io::Error::other("reported")
            })
        };
        let done = if has_card {
            each_chunk_with(cohort, (from, to), form, threads, CardTotals::add, take)
        } else {
            each_chunk(cohort, (from, to), form, threads, take).map(|()| Vec::new())
        };
        progress.clear();
        match (failed, done) {
            (Some(failure), _) => Err(failure),
            (None, Err(error)) => Err(Failure::Writing("the records".to_owned(), error)),
            (None, Ok(parts)) => {
                let mut gathered = CardTotals::default();
                for part in parts {
                    gathered.merge(part);
                }
                made.files = [(&self.records, "records")]
                    .into_iter()
                    .chain(self.key.iter().map(|(_, key)| (key, "key")))
                    .map(|(written, holds)| written.describe(holds))
                    .collect();
                self.finish(cohort, &gathered, made)
            }
        }
    }

    fn write(&mut self, piece: &Chunk) -> Result<(), Failure> {
        self.count += piece.ends.len();
        match &mut self.to {
            To::Stream(stream) => stream.write_all(&piece.records).map_err(Failure::writing("standard output"))?,
            To::File(file) => file.write_all(&piece.records).map_err(Failure::writing(&self.records.name()))?,
            To::Folder(folder) => write_each(folder, piece)?,
        }
        if self.card.is_some() {
            self.records.add(&piece.records);
        }
        if let Some((file, key)) = &mut self.key {
            file.write_all(&piece.key).map_err(Failure::writing(&key.name()))?;
            key.add(&piece.key);
        }
        Ok(())
    }

    /// Writes everything to the disk, and only then gives the files their names.
    fn finish(self, cohort: &SyntheticCohort, gathered: &CardTotals, made: Made) -> Result<u8, Failure> {
        let report = self.report(made.span);
        let mut files = Vec::new();
        match self.to {
            To::Stream(mut stream) => stream.flush().map_err(Failure::writing("standard output"))?,
            To::File(file) => files.push(file),
            To::Folder(_) => {}
        }
        files.extend(self.key.map(|(file, _)| file));
        if let Some(card) = self.card {
            files.extend(card.write(cohort, gathered, made, self.overwrite)?);
        }
        commit_all(files)?;
        say_done(&report)
    }

    /// What was written; nothing when the records go to standard output.
    fn report(&self, (from, to): (u64, u64)) -> String {
        if matches!(self.to, To::Stream(_)) {
            return String::new();
        }
        let mut report = format!(
            "{} of {}: {}\n",
            counted(self.count, "record"),
            counted(to - from, "patient"),
            self.records.name()
        );
        if let Some((_, key)) = &self.key {
            report.extend(["answer key: ", &key.name(), "\n"]);
        }
        if let Some(card) = &self.card {
            let [json, markdown] = card.paths().map(|path| shown_path(&path));
            report.extend(["dataset card: ", &json, ", ", &markdown, "\n"]);
        }
        report
    }
}

/// One file for each record of a piece, named by the number of the patient in the run; further records of a patient, which
/// planted faults add, are numbered on from 2.
fn write_each(folder: &Path, piece: &Chunk) -> Result<(), Failure> {
    let (mut from, mut files) = (0, Vec::new());
    for end in &piece.ends {
        let which = if end.record == 0 { String::new() } else { format!("-{}", end.record + 1) };
        let path = folder.join(format!("QM-{:07}{which}.oar.json", end.patient));
        let mut file = AtomicFile::open(&path, true)?;
        file.write_all(&piece.records[from..end.at]).map_err(Failure::writing(&file.name()))?;
        files.push(file);
        from = end.at;
    }
    commit_all(files)
}

/// The folder for the records, which is created if needed. A folder that is not empty is used only when that is asked for.
fn folder(to: &Path, overwrite: bool) -> Result<PathBuf, Failure> {
    let name = shown_path(to);
    if !to.is_dir() && !name.ends_with('/') {
        return Err(Failure::Message(format!(
            "{name} is neither a folder nor a file that ends in .oar.jsonl, .oar.jsonl.gz or .oar.jsonl.zst\n  help: end the name of a new folder with /"
        )));
    }
    std::fs::create_dir_all(to).map_err(Failure::writing(&name))?;
    let entries: Vec<PathBuf> =
        std::fs::read_dir(to).map_err(Failure::writing(&name))?.flatten().map(|entry| entry.path()).collect();
    if !entries.is_empty() && !overwrite {
        let partial = |path: &&PathBuf| is_partial(&path.file_name().unwrap_or_default().to_string_lossy());
        let interrupted = entries.iter().filter(partial).any(|path| is_left_behind(path));
        name_leftovers_in(to);
        let left = if interrupted { ": an interrupted run left files in it" } else { "" };
        return Err(Failure::Message(format!("{name} is not empty{left}\n  help: give a new folder, or --overwrite")));
    }
    Ok(to.to_owned())
}
