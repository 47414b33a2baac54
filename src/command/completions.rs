//! `oar completions`: a script that completes commands and options in a shell.

use clap::{Args, CommandFactory};
use clap_complete::Shell;

use super::{Arguments, Failure, say};

/// Print the completion script of a shell
#[derive(Args)]
#[command(after_long_help = LONG_HELP)]
pub(crate) struct Completions {
    /// The shell
    #[arg(value_name = "SHELL")]
    shell: Shell,
}

const LONG_HELP: &str = "\
Examples:
  oar completions bash > ~/.local/share/bash-completion/completions/oar
  oar completions fish > ~/.config/fish/completions/oar.fish
  oar completions zsh > ~/.zfunc/_oar          with ~/.zfunc in fpath";

impl Completions {
    /// Prints the script.
    pub(crate) fn run(self) -> Result<u8, Failure> {
        let mut script = Vec::new();
        clap_complete::generate(self.shell, &mut Arguments::command(), "oar", &mut script);
        say(&String::from_utf8_lossy(&script))
    }
}
