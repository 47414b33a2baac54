//! `oar edition`: the editions of the rules, and what a newer one would change.

use std::fmt::Write;
use std::path::PathBuf;

use clap::Args;
use open_aligner_record::edition_changes::compare;
use open_aligner_record::output::shown;
use open_aligner_record::read::inputs::{Input, reason};
use open_aligner_record::run::Options;
use open_aligner_record::settings::editions::Editions;

use super::options::ThreadOptions;
use super::settings_options::{SettingsOptions, edition, refused};
use super::temporary::name_leftovers;
use super::{CLEAN, COULD_NOT, Failure, complain, say};

/// List the editions of the rules, or show what a newer one would change
///
/// With PATH, list the findings that are new, gone or changed in a newer edition. Without PATH, list the editions.
#[derive(Args)]
pub(crate) struct Edition {
    /// Files and folders to check with the current edition and with a newer one
    #[arg(value_name = "PATH")]
    paths: Vec<PathBuf>,

    /// Compare with edition N [default: the newest]
    #[arg(long, value_name = "N")]
    compare_with: Option<String>,

    /// Skip the rules that compare records with each other
    #[arg(long)]
    no_cross_record: bool,

    #[command(flatten)]
    threads: ThreadOptions,

    #[command(flatten)]
    settings: SettingsOptions,
}

impl Edition {
    /// Prints the editions, or what differs between two.
    pub(crate) fn run(self) -> Result<u8, Failure> {
        if self.paths.is_empty() {
            return say(&list(Editions::OURS));
        }
        if self.paths.iter().any(|path| path == std::path::Path::new("-")) {
            let text = "standard input cannot be read twice: write it to a file and give its name";
            return Err(Failure::Message(text.to_owned()));
        }
        let resolved = self.settings.resolve(&self.paths)?;
        let editions = resolved.settings.editions;
        let edition = |given: &String| edition(given, editions).map_err(refused("--compare-with", given));
        let to = self.compare_with.as_ref().map(edition);
        let (from, to) = (resolved.edition.0, to.transpose()?.unwrap_or(editions.newest));
        let found = resolved.selection().find(&self.paths);
        let threads = self.threads.count()?;
        let (settings, across) = (resolved.settings, !self.no_cross_record);
        let before = Options::default().settings(settings).threads(threads).excerpts(false).across(across);
        let mut after = before.clone();
        after.settings.edition = Some(to);
        let differences = compare(&found.inputs, &before, &after).map_err(Failure::writing("the comparison"))?;
        name_leftovers(&found.partial);
        let missed = found.missed.iter().map(|missed| (Input::File(missed.path.clone()).name(), reason(&missed.error)));
        let unread: Vec<(String, String)> = missed.chain(differences.unreadable.clone()).collect();
        for (file, why) in &unread {
            complain(&Failure::Message(format!("{}: {why}", shown(file))));
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
            let _ = writeln!(text, "  the first edition; oar explain all lists the rules and limits of the newest");
        }
        for change in editions.changes_of(edition) {
            let _ = writeln!(text, "  {change}");
        }
    }
    text
}
