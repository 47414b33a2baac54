//! `oar check`: checks files and reports findings.

use std::io::{self, IsTerminal};
use std::path::PathBuf;

use clap::{Args, ValueEnum};
use open_aligner_record::output::{OutputFormat, Style};
use open_aligner_record::read::inputs::{FoundInputs, Input, Missed};
use open_aligner_record::run::{Event, Listener, Options, run};
use open_aligner_record::summary::Summary;
use open_aligner_record::waivers::Waivers;

use super::acceptance::{AcceptanceFilter, AcceptanceOptions};
use super::check_outputs::CheckOutputs;
use super::options::{ExitOptions, ThreadOptions, number_or_all};
use super::outputs::{Target, formats_help};
use super::settings_options::SettingsOptions;
use super::temporary::name_leftovers;
use super::{COULD_NOT, Failure, is_quiet, width};

/// How many findings are shown on standard output by default.
const MAX_FINDINGS: u64 = 100;

/// Check records and report what is wrong and where
#[derive(Args)]
#[command(after_help = EXIT_CODES, after_long_help = LONG_HELP)]
#[allow(clippy::doc_markdown, reason = "the comments on fields are the help as it is shown")]
pub(crate) struct Check {
    /// Files, folders, or - for standard input
    ///
    /// In folders, files that end in .oar.json or .oar.jsonl are checked, also with .gz or .zst after it.
    #[arg(required = true, value_name = "PATH")]
    paths: Vec<PathBuf>,

    /// Write findings as FORMAT, to FILE or standard output; repeatable [default: text]
    #[arg(short, long, value_name = "FORMAT[=FILE]", long_help = output_help())]
    output: Vec<String>,

    /// Show at most N findings in text and brief; 0 shows only the totals, all every finding [default: 100 on standard output, all
    /// in a FILE]
    #[arg(long, value_name = "N", value_parser = number_or_all, allow_negative_numbers = true)]
    max_findings: Option<u64>,

    /// Show every finding in text and brief
    ///
    /// By default, only the first three findings of a rule at similar places in a file are shown, and the others are counted.
    #[arg(long)]
    no_fold: bool,

    /// Skip the rules that compare records with each other
    #[arg(long)]
    no_cross_record: bool,

    #[command(flatten)]
    threads: ThreadOptions,

    /// Use colours in text; auto uses them on a terminal, unless NO_COLOR is set
    #[arg(long, value_name = "WHEN", default_value = "auto", alias = "color")]
    colour: When,

    #[command(flatten)]
    exit: ExitOptions,

    #[command(flatten)]
    acceptance: AcceptanceOptions,

    #[command(flatten)]
    settings: SettingsOptions,
}

const EXIT_CODES: &str =
    "Exit code: 0 no findings at the fail level, 1 findings, 2 some input could not be read or the command failed";

const LONG_HELP: &str = "\
Exit code:
  0  no findings at the fail level or above
  1  findings at the fail level or above
  2  some input could not be read, or the command failed; all other input was checked

Examples:
  oar check exports                          check a folder and the folders below
  oar check --select wear_log exports        run the rules of one theme
  oar check --max-findings 0 exports         print only the totals
  oar check -o sarif=findings.sarif exports  write a file for a code scanner, and nothing to the screen
  oar check -o text -o junit=report.xml .    write to the screen and to a file
  oar check -o overview exports              count findings by rule, file and system
  oar check --write-baseline known.jsonl .   accept all current findings
  oar check --baseline known.jsonl .         report only new findings
  zcat export.gz | oar check -               check standard input";

#[derive(Clone, Copy, ValueEnum)]
enum When {
    Auto,
    Always,
    Never,
}

fn output_help() -> String {
    formats_help::<OutputFormat>(
        "Write findings as FORMAT, to FILE or standard output; repeatable.",
        "[default: the outputs of oar.toml, or else text]",
    )
}

impl Check {
    /// Checks, and gives the exit code.
    pub(crate) fn run(mut self) -> Result<u8, Failure> {
        let settings = self.settings.resolve(&self.paths)?;
        let threads = self.threads.count()?;
        self.acceptance.complete(&settings)?;
        let rule_pages = settings.rule_pages();
        let selection = settings.selection().named_too(self.acceptance.partial);
        let (targets, found) = (settings.targets(&self.output)?, selection.find(&self.paths));
        name_leftovers(&found.partial);
        let fixable = targets.iter().any(|target| target.format.has_totals());
        let excerpts = self.max_findings != Some(0) && targets.iter().any(|target| target.format.has_excerpts());
        let protected = settings.protected(&found.inputs, "is to be checked");
        Target::refuse_clashes(&targets, &self.acceptance.refuse_clash(protected)?)?;
        let (mut acceptance, folder) = self.acceptance.acceptance(self.settings.narrow_rules())?;
        let record_ids = acceptance.waivers.as_ref().is_some_and(Waivers::ask_for_ids);
        let across = !self.no_cross_record;
        let fail_level = settings.fail_level.0;
        let options = Options::default()
            .settings(settings.settings)
            .threads(threads)
            .excerpts(excerpts)
            .across(across)
            .record_ids(record_ids)
            .fixable(fixable);
        let styles = [self.style(), self.style_in_file()].map(|style| style.rule_pages(rule_pages));
        let mut outputs = CheckOutputs::open(&targets, styles[0], styles[1])?;
        let mut filter = AcceptanceFilter::new(&mut outputs, &mut acceptance, folder);
        let summary = match check(&found, &options, &mut filter) {
            Ok(summary) => summary,
            Err(error) => return Err(outputs.failure(error)),
        };
        let whole = outputs.end(&summary)?;
        self.acceptance.write(&acceptance, &summary)?;
        if summary.unreadable > 0 || !whole {
            return Ok(COULD_NOT);
        }
        Ok(self.exit.code(summary.fails(fail_level)))
    }

    fn style(&self) -> Style {
        let set = |name: &str| std::env::var_os(name).filter(|value| !value.is_empty());
        let plain = set("NO_COLOR").is_some() || set("TERM").is_some_and(|term| term == "dumb");
        let colour = match self.colour {
            When::Auto => io::stdout().is_terminal() && !plain,
            When::Always => true,
            When::Never => false,
        };
        let most = self.max_findings.unwrap_or(if self.no_fold { u64::MAX } else { MAX_FINDINGS });
        let accepted = self.acceptance.show_accepted;
        Style::default()
            .colour(colour)
            .most(most)
            .folds(!self.no_fold)
            .accepted(accepted)
            .totals(!is_quiet())
            .width(width())
    }

    /// In a file there is room for every finding.
    fn style_in_file(&self) -> Style {
        let most = self.max_findings.unwrap_or(u64::MAX);
        let folds = most < u64::MAX && !self.no_fold;
        let accepted = self.acceptance.show_accepted;
        Style::default().most(most).folds(folds).accepted(accepted)
    }
}

/// Reports missing input, then checks the rest.
fn check(found: &FoundInputs, options: &Options, filter: &mut AcceptanceFilter<'_>) -> io::Result<Summary> {
    for Missed { path, error, .. } in &found.missed {
        let name = Input::File(path.clone()).name();
        filter.event(&Event::File(&name))?;
        filter.event(&Event::Unreadable { file: &name, error })?;
        filter.event(&Event::FileEnd { file: &name, records: 0 })?;
    }
    let mut summary = run(&found.inputs, options, filter)?;
    summary.passed_over = found.passed_over;
    summary.unreadable += found.missed.len() as u64;
    filter.settle(&mut summary)?;
    Ok(summary)
}
