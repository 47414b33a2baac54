//! The tables in which the rules of a theme are declared.

/// The table of a theme: for each rule its level, its name, and the sections of the record that it reads. One without
/// sections looks at the records of a run together.
///
/// `needs (worn, worn.to)` names the parts of them that the rule needs in full; without it, it needs all of them. A rule
/// that finds nothing new when entries are missing from a list does not need that list. `tests/partial` holds that.
///
/// `unless (dates, movements)` names the [marks](crate::check::marks) that the rule asks for: where one is set, another rule
/// reports the mistake. `tests/library/marks.rs` holds that the list is what the rule asks for.
///
/// Each line needs a function of that name in the file and a page `<theme>/<name>.md` beside it; both are noticed by
/// the compiler, and so is a function without a line.
macro_rules! rules {
    (@kind) => { $crate::check::rule::RuleKind::CrossRecord };
    (@kind ($($section:ident),+)) => { $crate::check::rule::RuleKind::Record };
    (@check $name:ident) => { $crate::check::rules::RuleCheck::CrossRecord($name) };
    (@check $name:ident ($($section:ident),+)) => { $crate::check::rules::RuleCheck::Record($name) };
    (@needs ($($section:ident),*)) => {
        $crate::check::parts::Parts::within(0 $(| $crate::check::parts::section(stringify!($section)))*)
    };
    (@needs ($($section:ident),*) ($($part:ident $(.$field:ident)?),*)) => {
        $crate::check::parts::Parts::NONE$(.union($crate::check::parts::Parts::named(stringify!($part), concat!($(stringify!($field))?))))*
    };
    ($theme:literal: $($level:ident $name:ident $(($($section:ident),+) $(needs ($($part:ident $(.$field:ident)?),*))?)? $(unless ($($mark:ident),+))?;)*) => {
        /// The rules of this theme.
        pub(crate) const RULES: &[&$crate::check::rule::Rule] = &[
            $(&$crate::check::rule::Rule {
                name: stringify!($name),
                level: $crate::check::rule::Level::$level,
                theme: $theme,
                page: include_str!(concat!($theme, "/", stringify!($name), ".md")),
                sections: 0 $($(| $crate::check::parts::section(stringify!($section)))+)?,
                needs: $crate::check::rules::table::rules!(@needs ($($($section),+)?) $($(($($part $(.$field)?),*))?)?),
                unless: $crate::check::marks::Marks::NONE$($(.union($crate::check::marks::named::$mark))+)?,
                kind: $crate::check::rules::table::rules!(@kind $(($($section),+))?),
            },)*
        ];

        /// Their checks, in the same order.
        pub(crate) const CHECKS: &[$crate::check::rules::RuleCheck] =
            &[$($crate::check::rules::table::rules!(@check $name $(($($section),+))?)),*];
    };
}
pub(crate) use rules;

/// The table of a theme whose rules are checked while a file is read: each becomes a constant to be named by the reader.
macro_rules! reading_rules {
    ($theme:literal: $($level:ident $name:ident;)*) => {
        $(#[allow(non_upper_case_globals, reason = "a rule has one name everywhere")]
        pub(crate) static $name: $crate::check::rule::Rule = $crate::check::rule::Rule {
            name: stringify!($name),
            level: $crate::check::rule::Level::$level,
            theme: $theme,
            page: include_str!(concat!($theme, "/", stringify!($name), ".md")),
            sections: 0,
            needs: $crate::check::parts::Parts::NONE,
            unless: $crate::check::marks::Marks::NONE,
            kind: $crate::check::rule::RuleKind::Reading,
        };)*

        /// The rules of this theme.
        pub(crate) const RULES: &[&$crate::check::rule::Rule] = &[$(&$name),*];
    };
}
pub(crate) use reading_rules;
