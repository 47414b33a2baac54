//! Which tray was in the mouth: days, order, and whether there is such a tray.

use crate::case::Case;
use crate::finding::{args, at};
use crate::rule::{Found, rules};

rules! { "worn_trays":
    Error worn_backwards (worn);
}

fn worn_backwards(case: &Case<'_>, found: &mut Found) {
    for (i, worn) in case[case.worn].iter().enumerate() {
        if let Some(to) = worn.to
            && to < worn.from
        {
            found.add(at!["worn", i, "to"], args!["to" = to, "from" = worn.from]);
        }
    }
}
