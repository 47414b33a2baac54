//! Options of `oar generate` about planted faults.

use clap::Args;
use oar_generators::faults::{self, ChosenMaker, FaultPlan, Maker, Suits};
use open_aligner_record::rules;

use super::{Failure, perhaps};

/// Options that say which faults are planted.
#[derive(Args)]
#[command(next_help_heading = "Faults")]
pub(crate) struct FaultOptions {
    /// Plant a fault in this share of the records, as in 0.1; the answer key says which and where
    #[arg(long, value_name = "SHARE", value_parser = share, allow_negative_numbers = true)]
    faults: Option<f64>,
    /// Plant only the faults that these rules or themes find; repeatable
    ///
    /// Separate several with commas. Without --faults, every record that can have the fault gets it.
    #[arg(long, value_name = "RULE", value_delimiter = ',')]
    fault: Vec<String>,
    /// Plant as many faults in a record as do not affect each other
    #[arg(long)]
    many_faults: bool,
}

impl FaultOptions {
    /// The plan, if there are to be faults.
    pub(crate) fn plan(&self, own_files: bool) -> Result<Option<FaultPlan>, Failure> {
        if self.faults.is_none() && self.fault.is_empty() && !self.many_faults {
            return Ok(None);
        }
        let share = self.faults.unwrap_or(1.0);
        let plan = FaultPlan::new(self.chosen()?, share);
        let plan = if self.many_faults { plan.with_many() } else { plan };
        Ok(Some(if own_files { plan.with_own_files() } else { plan }))
    }

    /// The options as given.
    pub(crate) fn options(&self) -> Vec<String> {
        let mut options: Vec<String> =
            self.faults.iter().flat_map(|share| ["--faults".to_owned(), share.to_string()]).collect();
        if !self.fault.is_empty() {
            options.extend(["--fault".to_owned(), self.fault.join(",")]);
        }
        options.extend(self.many_faults.then(|| "--many-faults".to_owned()));
        options
    }

    fn chosen(&self) -> Result<Vec<ChosenMaker>, Failure> {
        for name in &self.fault {
            known(name)?;
        }
        let by_the_way = |maker: &Maker| maker.suits != Suits::Asked;
        let named = |maker: &Maker| {
            self.fault.iter().any(|name| name == maker.rule || (name == maker.theme && by_the_way(maker)))
        };
        let wanted = |maker: &&Maker| if self.fault.is_empty() { by_the_way(maker) } else { named(maker) };
        let reads = |maker: &Maker| rules::find(maker.rule).map_or(u32::MAX, open_aligner_record::rule::Rule::reads);
        Ok(faults::all().filter(wanted).map(|maker| ChosenMaker { maker, reads: reads(maker) }).collect())
    }
}

/// Reads a share.
fn share(text: &str) -> Result<f64, String> {
    let share = text.parse().ok().filter(|share| (0.0..=1.0).contains(share));
    share.ok_or_else(|| "give a share of the records from 0 to 1, as in 0.1 for a tenth".to_owned())
}

/// Refuses a name that is neither a rule nor a theme.
fn known(name: &str) -> Result<(), Failure> {
    let names = || faults::all().flat_map(|maker| [maker.rule, maker.theme]);
    if names().any(|known| known == name) {
        return Ok(());
    }
    let near = perhaps(name, names());
    Err(Failure::Message(format!(
        "unknown rule or theme {name}{near}\n  help: oar explain all lists the rules and their themes"
    )))
}
