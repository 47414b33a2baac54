//! Rules: what they are called, how much they weigh, what they read and where their page is.

use oar_schema::describe::Described;
use oar_schema::record::Record;
use serde::Serialize;

use crate::case::Case;
use crate::cohort::{Hits, Joined};
use crate::finding::{Args, Path};

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
    /// How it is checked.
    pub check: Check,
}

impl Rule {
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

/// The bit of a section of the record; a wrong name does not compile.
pub(crate) const fn section(name: &str) -> u32 {
    let fields = Record::OBJECT.fields;
    let mut at = 0;
    while at < fields.len() {
        if same(fields[at].name, name) {
            return 1 << at;
        }
        at += 1;
    }
    panic!("the record has no section of that name")
}

const fn same(left: &str, right: &str) -> bool {
    let (left, right) = (left.as_bytes(), right.as_bytes());
    if left.len() != right.len() {
        return false;
    }
    let mut at = 0;
    while at < left.len() {
        if left[at] != right[at] {
            return false;
        }
        at += 1;
    }
    true
}

/// The table of a theme: for each rule its level, its name, and the sections of the record that it reads. One without
/// sections looks at the records of a run together.
///
/// Each line needs a function of that name in the file and a page `<theme>/<name>.md` beside it; both are noticed by
/// the compiler, and so is a function without a line.
macro_rules! rules {
    (@check $name:ident) => { $crate::rule::Check::Across($name) };
    (@check $name:ident ($($section:ident),+)) => { $crate::rule::Check::Record($name) };
    ($theme:literal: $($level:ident $name:ident $(($($section:ident),+))?;)*) => {
        /// The rules of this theme.
        pub(crate) const RULES: &[&$crate::rule::Rule] = &[
            $(&$crate::rule::Rule {
                name: stringify!($name),
                level: $crate::rule::Level::$level,
                theme: $theme,
                page: include_str!(concat!($theme, "/", stringify!($name), ".md")),
                sections: 0 $($(| $crate::rule::section(stringify!($section)))+)?,
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
            check: $crate::rule::Check::Reading,
        };)*

        /// The rules of this theme.
        pub(crate) const RULES: &[&$crate::rule::Rule] = &[$(&$name),*];
    };
}
pub(crate) use reading_rules;

/// A finding as a rule states it, before it is placed in the file.
#[derive(Debug)]
pub struct Stated {
    pub(crate) rule: &'static Rule,
    pub(crate) path: Path,
    pub(crate) args: Args,
    pub(crate) related: Vec<Path>,
}

impl Stated {
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
        self.stated.push(Stated { rule, path, args, related: Vec::new() });
        let last = self.stated.len() - 1;
        &mut self.stated[last]
    }
}
