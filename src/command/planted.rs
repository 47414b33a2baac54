//! Which faults `oar generate` plants.

use clap::Args;
use oar_generators::faults::{self, Chosen, Maker, Plan, Suits};
use open_aligner_record::rules;

use super::Failure;

/// Options that say which faults are planted.
#[derive(Args)]
#[command(next_help_heading = "Faults")]
pub(crate) struct Planted {
    /// Plant a fault in that share of the records, such as 0.1; the key tells which and where
    #[arg(long, value_name = "SHARE", value_parser = share, allow_negative_numbers = true)]
    faults: Option<f64>,
    /// Plant these faults only, each named by the rule that finds it, or all of a theme; in every record that they suit,
    /// unless --faults says otherwise
    #[arg(long, value_name = "RULE", value_delimiter = ',')]
    fault: Vec<String>,
    /// Plant as many faults in a record as leave each other alone
    #[arg(long)]
    many_faults: bool,
}

impl Planted {
    /// The plan, if faults are asked for.
    pub(crate) fn plan(&self, own_files: bool) -> Result<Option<Plan>, Failure> {
        if self.faults.is_none() && self.fault.is_empty() && !self.many_faults {
            return Ok(None);
        }
        let share = self.faults.unwrap_or(1.0);
        let plan = Plan::new(self.chosen()?, share);
        let plan = if self.many_faults { plan.with_many() } else { plan };
        Ok(Some(if own_files { plan.with_own_files() } else { plan }))
    }

    /// The options that were given, to be given again.
    pub(crate) fn options(&self) -> Vec<String> {
        let mut options: Vec<String> =
            self.faults.iter().flat_map(|share| ["--faults".to_owned(), share.to_string()]).collect();
        if !self.fault.is_empty() {
            options.extend(["--fault".to_owned(), self.fault.join(",")]);
        }
        options.extend(self.many_faults.then(|| "--many-faults".to_owned()));
        options
    }

    fn chosen(&self) -> Result<Vec<Chosen>, Failure> {
        for name in &self.fault {
            known(name)?;
        }
        let by_the_way = |maker: &Maker| maker.suits != Suits::Asked;
        let named = |maker: &Maker| {
            self.fault.iter().any(|name| name == maker.rule || (name == maker.theme && by_the_way(maker)))
        };
        let wanted = |maker: &&Maker| if self.fault.is_empty() { by_the_way(maker) } else { named(maker) };
        let reads = |maker: &Maker| rules::find(maker.rule).map_or(u32::MAX, open_aligner_record::rule::Rule::reads);
        Ok(faults::all().filter(wanted).map(|maker| Chosen { maker, reads: reads(maker) }).collect())
    }
}

/// Reads a share.
fn share(text: &str) -> Result<f64, String> {
    let share = text.parse().ok().filter(|share| (0.0..=1.0).contains(share));
    share.ok_or_else(|| "give a share of the records from 0 to 1; a tenth of them is 0.1".to_owned())
}

/// Refuses a name that is neither a rule nor a theme.
fn known(name: &str) -> Result<(), Failure> {
    let names = || faults::all().flat_map(|maker| [maker.rule, maker.theme]);
    if names().any(|known| known == name) {
        return Ok(());
    }
    let meant = rules::nearest_name(name, names()).map_or(String::new(), |meant| format!("; perhaps {meant} is meant"));
    Err(Failure::Asked(format!(
        "no rule or theme is called {name}{meant}\n  help: oar explain all lists the rules and their themes"
    )))
}
