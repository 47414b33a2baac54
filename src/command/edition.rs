//! `oar edition`: the editions of the rules, and what a newer one would change in files.

use std::fmt::Write;
use std::path::PathBuf;

use clap::Args;
use open_aligner_record::edition_changes::compare;
use open_aligner_record::output::shown;
use open_aligner_record::read::inputs::{Input, reason};
use open_aligner_record::run::Options;
use open_aligner_record::settings::editions::Editions;

use super::check::threads;
use super::chosen::{Chosen, edition, refused};
use super::temporary::name_leftovers;
use super::{CLEAN, COULD_NOT, Failure, complain, say};

/// Say what a newer edition of the rules would change in files: new, gone and changed findings. Without a path, list the
/// editions.
#[derive(Args)]
pub(crate) struct Edition {
    /// Files and folders that are checked with the edition that is set for them and with a newer one
    #[arg(value_name = "PATH")]
    paths: Vec<PathBuf>,

    /// The edition to compare with; without it, the newest one
    #[arg(long, value_name = "NUMBER")]
    to: Option<String>,

    /// How many threads check, from 1 to 1024; without it, one for each core
    #[arg(long, value_name = "NUMBER")]
    threads: Option<usize>,

    /// Check each record by itself, and do not compare the records of the run with each other
    #[arg(long)]
    each_alone: bool,

    #[command(flatten)]
    chosen: Chosen,
}

impl Edition {
    /// Prints the editions, or what differs between two.
    pub(crate) fn run(self) -> Result<u8, Failure> {
        if self.paths.is_empty() {
            return say(&list(Editions::OURS));
        }
        if self.paths.iter().any(|path| path == std::path::Path::new("-")) {
            let text = "standard input cannot be read twice: write it to a file and name that";
            return Err(Failure::Asked(text.to_owned()));
        }
        let chosen = self.chosen.settle(&self.paths)?;
        let editions = chosen.settings.editions;
        let to = self.to.as_ref().map(|given| edition(given, editions).map_err(refused("--to", given)));
        let (from, to) = (chosen.edition.0, to.transpose()?.unwrap_or(editions.newest));
        let found = chosen.selection().find(&self.paths);
        let threads = threads(self.threads)?;
        let (settings, across) = (chosen.settings, !self.each_alone);
        let before = Options { settings, threads, excerpts: false, across, ..Options::default() };
        let mut after = before.clone();
        after.settings.edition = Some(to);
        let differences = compare(&found.inputs, &before, &after).map_err(Failure::writing("the comparison"))?;
        name_leftovers(&found.partial);
        let missed = found.missed.iter().map(|missed| (Input::File(missed.path.clone()).name(), reason(&missed.error)));
        let unread: Vec<(String, String)> = missed.chain(differences.unreadable.clone()).collect();
        for (file, why) in &unread {
            complain(&Failure::Asked(format!("{}: {why}", shown(file))));
        }
        if found.inputs.is_empty() {
            return Ok(COULD_NOT);
        }
        let head = if to == from {
            format!("edition {to} compared with itself")
        } else {
            format!("edition {to} instead of {from}")
        };
        say(&format!("{head}\n{differences}\n"))?;
        Ok(if unread.is_empty() { CLEAN } else { COULD_NOT })
    }
}

/// Each edition and what it changed.
fn list(editions: Editions) -> String {
    let mut text = String::new();
    for edition in 1..=editions.newest {
        let newest = if edition == editions.newest { ", the newest" } else { "" };
        let _ = writeln!(text, "edition {edition}{newest}");
        if edition == 1 {
            let _ = writeln!(text, "  the first one; oar explain all lists the rules and limits of the newest");
        }
        for change in editions.changes_of(edition) {
            let _ = writeln!(text, "  {change}");
        }
    }
    text
}
