//! `oar man`: manual pages, from the same texts as `--help`.

use std::io;

use clap::{Args, Command, CommandFactory};
use clap_mangen::Man as Page;

use super::{Arguments, Failure, perhaps, say};

/// Print the manual page of oar or of one of its commands
#[derive(Args)]
#[command(after_long_help = LONG_HELP)]
pub(crate) struct Man {
    /// The command; without it, the page of oar and those of all commands
    #[arg(value_name = "COMMAND")]
    command: Option<String>,
}

const LONG_HELP: &str = "\
Examples:
  oar man check | man -l -
  oar man > oar.1";

impl Man {
    /// Prints the page.
    pub(crate) fn run(self) -> Result<u8, Failure> {
        let mut oar = Arguments::command();
        oar.build();
        let pages = match &self.command {
            Some(name) => page(find(&oar, name)?),
            None => all(&oar),
        };
        let text = pages.map_err(Failure::writing("the manual"))?;
        say(&String::from_utf8_lossy(&text))
    }
}

fn find<'o>(oar: &'o Command, name: &str) -> Result<&'o Command, Failure> {
    let known = oar.get_subcommands().find(|command| command.get_name() == name);
    known.ok_or_else(|| {
        let near = perhaps(name, oar.get_subcommands().map(Command::get_name));
        Failure::Message(format!("unknown command {name}{near}\n  help: oar --help lists the commands"))
    })
}

fn page(command: &Command) -> io::Result<Vec<u8>> {
    let name = command.get_bin_name().unwrap_or(command.get_name()).replace(' ', "-");
    let mut text = Vec::new();
    let source = format!("oar {}", env!("CARGO_PKG_VERSION"));
    Page::new(command.clone().display_name(name)).date("").source(source).render(&mut text)?;
    let text = String::from_utf8_lossy(&text).replace(".SH EXTRA\n", ".SH NOTES\n");
    Ok(text.into_bytes())
}

/// The page of oar, then those of its commands.
fn all(oar: &Command) -> io::Result<Vec<u8>> {
    let commands = oar.get_subcommands().filter(|command| command.get_name() != "help");
    let pages: io::Result<Vec<Vec<u8>>> = std::iter::once(oar).chain(commands).map(page).collect();
    Ok(pages?.concat())
}
