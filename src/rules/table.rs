//! The tables in which the rules of a theme are declared.

/// The table of a theme: for each rule its level, its name, and the sections of the record that it reads. One without
/// sections looks at the records of a run together.
///
/// `needs (worn, worn.to)` names the parts of them that the rule needs in full; without it, it needs all of them. A rule
/// that finds nothing new when entries are missing from a list does not need that list. `tests/partial.rs` holds that.
///
/// Each line needs a function of that name in the file and a page `<theme>/<name>.md` beside it; both are noticed by
/// the compiler, and so is a function without a line.
macro_rules! rules {
    (@kind) => { $crate::rule::Kind::CrossRecord };
    (@kind ($($section:ident),+)) => { $crate::rule::Kind::Record };
    (@check $name:ident) => { $crate::rules::Check::CrossRecord($name) };
    (@check $name:ident ($($section:ident),+)) => { $crate::rules::Check::Record($name) };
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
                needs: $crate::rules::table::rules!(@needs ($($($section),+)?) $($(($($part $(.$field)?),*))?)?),
                kind: $crate::rules::table::rules!(@kind $(($($section),+))?),
            },)*
        ];

        /// Their checks, in the same order.
        pub(crate) const CHECKS: &[$crate::rules::Check] =
            &[$($crate::rules::table::rules!(@check $name $(($($section),+))?)),*];
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
            kind: $crate::rule::Kind::Reading,
        };)*

        /// The rules of this theme.
        pub(crate) const RULES: &[&$crate::rule::Rule] = &[$(&$name),*];
    };
}
pub(crate) use reading_rules;
