//! `oar check`: checks files and reports what is wrong.

use std::io::{self, IsTerminal};
use std::path::PathBuf;

use clap::{Args, ValueEnum};
use oar_schema::limits::{LIMITS, Limits};
use open_aligner_record::output::{Format, Style};
use open_aligner_record::read::inputs::{Input, inputs};
use open_aligner_record::rule::Level;
use open_aligner_record::run::{Options, run};

use super::listen::{Outputs, Target};
use super::{CLEAN, COULD_NOT, FOUND, Failure, complain};

/// Check record files and say what is wrong and where.
///
/// Exit codes: 0 nothing at or over the fail level, 1 something was found, 2 could not run or could not read everything.
#[derive(Args)]
pub(crate) struct Check {
    /// Files, folders (searched for *.oar.json and *.oar.jsonl, also .gz and .zst), or - for standard input
    #[arg(required = true)]
    paths: Vec<PathBuf>,

    /// Write findings as FORMAT, to standard output or to FILE; may be given several times
    #[arg(short, long, value_name = "FORMAT[=FILE]", default_value = "text", long_help = formats_help())]
    output: Vec<String>,

    /// The least level of a finding that makes the exit code 1
    #[arg(long, value_name = "LEVEL", default_value = "error")]
    fail_level: FailLevel,

    /// How many findings to show at most (totals and exit code always count all; 0 shows all)
    #[arg(long, value_name = "NUMBER", default_value_t = 100)]
    most: u64,

    /// Set a limit of a rule, for instance tray_linear_mm=0.3; may be given several times
    #[arg(long, value_name = "NAME=VALUE")]
    limit: Vec<String>,

    /// Threads that check [default: one for each core]
    #[arg(long, value_name = "NUMBER")]
    threads: Option<usize>,

    /// When to use colours
    #[arg(long, value_name = "WHEN", default_value = "auto")]
    colour: When,
}

#[derive(Clone, Copy, ValueEnum)]
enum FailLevel {
    Error,
    Warning,
    Note,
}

#[derive(Clone, Copy, ValueEnum)]
enum When {
    Auto,
    Always,
    Never,
}

fn formats_help() -> String {
    let formats: Vec<String> = Format::ALL.iter().map(|(_, name, what)| format!("  {name:<8} {what}")).collect();
    format!(
        "Write findings as FORMAT, to standard output or to FILE; may be given several times. FORMAT is one of\n{}",
        formats.join("\n")
    )
}

impl Check {
    /// Checks, and gives the exit code.
    pub(crate) fn run(self) -> Result<u8, Failure> {
        let options = self.options()?;
        let targets: Result<Vec<Target>, Failure> = self.output.iter().map(|text| Target::parse(text)).collect();
        let (inputs, missing) = self.inputs();
        if inputs.is_empty() {
            return Ok(COULD_NOT);
        }
        let mut outputs = Outputs::open(&targets?, self.style())?;
        let summary = match run(&inputs, &options, &mut outputs) {
            Ok(summary) => summary,
            Err(error) => return Err(outputs.failure(error)),
        };
        outputs.end(&summary)?;
        Ok(match summary.at_least(self.fail_level.level()) {
            _ if missing || outputs.unreadable() > 0 => COULD_NOT,
            0 => CLEAN,
            _ => FOUND,
        })
    }

    /// All inputs that are there; whether some were not.
    fn inputs(&self) -> (Vec<Input>, bool) {
        let mut found = Vec::new();
        let mut missing = false;
        for path in &self.paths {
            match inputs(path) {
                Ok(more) => found.extend(more),
                Err(error) => {
                    missing = true;
                    complain(&Failure::Asked(error.to_string()));
                }
            }
        }
        (found, missing)
    }

    fn options(&self) -> Result<Options, Failure> {
        let mut limits = Limits::default();
        for setting in &self.limit {
            set(&mut limits, setting)?;
        }
        let cores = std::thread::available_parallelism().map_or(1, std::num::NonZero::get);
        let threads = self.threads.unwrap_or(cores);
        if threads == 0 || threads > 1024 {
            return Err(Failure::Asked(format!("--threads {threads}: give a number from 1 to 1024")));
        }
        Ok(Options { limits, threads, excerpts: true })
    }

    fn style(&self) -> Style {
        let plain = std::env::var_os("NO_COLOR").is_some_and(|value| !value.is_empty());
        let colour = match self.colour {
            When::Auto => io::stdout().is_terminal() && !plain,
            When::Always => true,
            When::Never => false,
        };
        Style { colour, most: if self.most == 0 { u64::MAX } else { self.most } }
    }
}

/// Sets a limit from `name=value`.
fn set(limits: &mut Limits, setting: &str) -> Result<(), Failure> {
    let asked = |text: String| Failure::Asked(format!("--limit {setting}: {text}"));
    let (name, value) = setting.split_once('=').ok_or_else(|| asked("write it as NAME=VALUE".to_owned()))?;
    limits.set(name, value).map_err(|error| {
        let names = LIMITS.iter().map(|limit| limit.name);
        match open_aligner_record::rules::nearest_name(name, names) {
            Some(near) if limits.get(name).is_none() => asked(format!("{error}; perhaps {near} is meant")),
            _ => asked(error.to_string()),
        }
    })
}

impl FailLevel {
    const fn level(self) -> Level {
        match self {
            Self::Error => Level::Error,
            Self::Warning => Level::Warning,
            Self::Note => Level::Note,
        }
    }
}
