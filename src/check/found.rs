//! The findings of rules in a record, before they get a location in the file.

use crate::check::args::Args;
use crate::check::path::Path;
use crate::check::rule::{Level, Rule};

/// The steps from the record to an entry of a section.
const ENTRY: usize = 2;

/// A finding as a rule reports it, before it gets a location in the file.
#[derive(Debug)]
pub(crate) struct Stated {
    pub(crate) rule: &'static Rule,
    pub(crate) path: Path,
    pub(crate) args: Args,
    pub(crate) related: Vec<Path>,
    /// The level of findings that this one replaces, when it is above its own.
    pub(crate) least_level: Option<Level>,
}

impl Stated {
    /// Whether it is about the same entry as another, or about one that belongs to it.
    pub(crate) fn shares_entry(&self, other: &Self) -> bool {
        let places = |stated: &Self| -> Vec<Path> {
            std::iter::once(&stated.path)
                .chain(&stated.related)
                .map(|path| path.iter().copied().take(ENTRY).collect())
                .collect()
        };
        let others = places(other);
        places(self).iter().any(|place| others.contains(place))
    }

    /// Adds a related location.
    pub(crate) fn related(&mut self, path: Path) -> &mut Self {
        self.related.push(path);
        self
    }
}

/// Collects the findings of rules.
#[derive(Debug, Default)]
pub(crate) struct Found {
    pub(crate) rule: Option<&'static Rule>,
    pub(crate) stated: Vec<Stated>,
}

impl Found {
    /// Reports a finding at `path`.
    pub(crate) fn add(&mut self, path: Path, args: Args) -> &mut Stated {
        #[expect(clippy::expect_used, reason = "the runner names the rule before it calls it")]
        let rule = self.rule.expect("a rule is running");
        self.stated.push(Stated { rule, path, args, related: Vec::new(), least_level: None });
        let last = self.stated.len() - 1;
        &mut self.stated[last]
    }
}
