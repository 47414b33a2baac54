//! Rules: what they are called, how much they weigh, what they read and where their page is.

use serde::Serialize;

use crate::case::Case;
use crate::cohort::{Hits, Joined};
use crate::finding::{Args, Path};
use crate::parts::{Damage, Parts};

/// How much a finding weighs.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Serialize)]
#[serde(rename_all = "lowercase")]
pub enum Level {
    /// Unusual, worth a look.
    Note,
    /// Outside what the trade does on purpose, probably a wrong number.
    Warning,
    /// The record contradicts the format, itself or the physical world.
    Error,
}

impl Level {
    /// As written: `note`, `warning` or `error`.
    pub const fn as_str(self) -> &'static str {
        match self {
            Self::Note => "note",
            Self::Warning => "warning",
            Self::Error => "error",
        }
    }
}

/// How a rule is checked.
#[derive(Clone, Copy)]
pub enum Check {
    /// While the file is read; there is no function.
    Reading,
    /// On a record that was read.
    Record(fn(&Case<'_>, &mut Found)),
    /// On the records of a run together.
    Across(fn(&Joined<'_>, &mut Hits)),
}

/// One rule. Its name states the fault.
pub struct Rule {
    /// Its name, the same everywhere.
    pub name: &'static str,
    /// How much its findings weigh.
    pub level: Level,
    /// The theme it belongs to.
    pub theme: &'static str,
    /// Its page: documentation, messages and examples.
    pub page: &'static str,
    /// The sections of the record that it reads, as bits in the order of the record's fields.
    pub sections: u32,
    /// The parts of the record that it needs in full: where something is missing in one of them, it could report what is not so.
    pub needs: Parts,
    /// How it is checked.
    pub check: Check,
}

impl Rule {
    /// Whether its findings say that something could not be read.
    pub fn reports_unread(&self) -> bool {
        matches!(self.theme, "file" | "shape")
    }

    /// Whether it cannot be applied to a record of which that could not be read.
    pub(crate) fn is_stopped_by(&self, damage: &Damage) -> bool {
        matches!(self.check, Check::Record(_))
            && (self.sections & damage.gone != 0 || !self.needs.intersection(damage.holes).is_empty())
    }

    /// What of a record decides whether it finds something, as bits in the order of the record's fields: the sections that it
    /// reads; none for a rule of shape, which looks at each value by itself; all for one that looks at whole files or at
    /// several records.
    pub fn reads(&self) -> u32 {
        match self.check {
            Check::Record(_) => self.sections,
            Check::Reading if self.theme == "shape" => 0,
            Check::Reading | Check::Across(_) => u32::MAX,
        }
    }
}

impl std::fmt::Debug for Rule {
    fn fmt(&self, f: &mut std::fmt::Formatter<'_>) -> std::fmt::Result {
        write!(f, "{} {}", self.level.as_str(), self.name)
    }
}

impl PartialEq for Rule {
    fn eq(&self, other: &Self) -> bool {
        self.name == other.name
    }
}

/// The table of a theme: for each rule its level, its name, and the sections of the record that it reads. One without
/// sections looks at the records of a run together.
///
/// `needs (worn, worn.to)` names the parts of them that the rule needs in full; without it, it needs all of them. A rule
/// that finds nothing new when entries are missing from a list does not need that list. `tests/partial.rs` holds that.
///
/// Each line needs a function of that name in the file and a page `<theme>/<name>.md` beside it; both are noticed by
/// the compiler, and so is a function without a line.
macro_rules! rules {
    (@check $name:ident) => { $crate::rule::Check::Across($name) };
    (@check $name:ident ($($section:ident),+)) => { $crate::rule::Check::Record($name) };
    (@needs ($($section:ident),*)) => {
        $crate::parts::Parts::within(0 $(| $crate::parts::section(stringify!($section)))*)
    };
    (@needs ($($section:ident),*) ($($part:ident $(.$field:ident)?),*)) => {
        $crate::parts::Parts::NONE$(.union($crate::parts::Parts::named(stringify!($part), concat!($(stringify!($field))?))))*
    };
    ($theme:literal: $($level:ident $name:ident $(($($section:ident),+) $(needs ($($part:ident $(.$field:ident)?),*))?)?;)*) => {
        /// The rules of this theme.
        pub(crate) const RULES: &[&$crate::rule::Rule] = &[
            $(&$crate::rule::Rule {
                name: stringify!($name),
                level: $crate::rule::Level::$level,
                theme: $theme,
                page: include_str!(concat!($theme, "/", stringify!($name), ".md")),
                sections: 0 $($(| $crate::parts::section(stringify!($section)))+)?,
                needs: $crate::rule::rules!(@needs ($($($section),+)?) $($(($($part $(.$field)?),*))?)?),
                check: $crate::rule::rules!(@check $name $(($($section),+))?),
            },)*
        ];
    };
}
pub(crate) use rules;

/// The table of a theme whose rules are checked while a file is read: each becomes a constant to be named by the reader.
macro_rules! reading_rules {
    ($theme:literal: $($level:ident $name:ident;)*) => {
        $(#[allow(non_upper_case_globals, reason = "a rule has one name everywhere")]
        pub(crate) static $name: $crate::rule::Rule = $crate::rule::Rule {
            name: stringify!($name),
            level: $crate::rule::Level::$level,
            theme: $theme,
            page: include_str!(concat!($theme, "/", stringify!($name), ".md")),
            sections: 0,
            needs: $crate::parts::Parts::NONE,
            check: $crate::rule::Check::Reading,
        };)*

        /// The rules of this theme.
        pub(crate) const RULES: &[&$crate::rule::Rule] = &[$(&$name),*];
    };
}
pub(crate) use reading_rules;

/// The steps from the record to an entry of a section.
const ENTRY: usize = 2;

/// A finding as a rule states it, before it is placed in the file.
#[derive(Debug)]
pub struct Stated {
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

    /// Adds another place that belongs to the finding.
    pub(crate) fn related(&mut self, path: Path) -> &mut Self {
        self.related.push(path);
        self
    }
}

/// Where rules put what they find.
#[derive(Debug, Default)]
pub struct Found {
    pub(crate) rule: Option<&'static Rule>,
    pub(crate) stated: Vec<Stated>,
}

impl Found {
    /// States that something is wrong at `path`.
    pub(crate) fn add(&mut self, path: Path, args: Args) -> &mut Stated {
        #[expect(clippy::expect_used, reason = "the runner names the rule before it calls it")]
        let rule = self.rule.expect("a rule is running");
        self.stated.push(Stated { rule, path, args, related: Vec::new(), least_level: None });
        let last = self.stated.len() - 1;
        &mut self.stated[last]
    }
}
