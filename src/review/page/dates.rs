//! The next dates, and what is due.

use crate::html::{Markup, Table};
use crate::review::text::what_is_due;
use crate::review::{Review, arches};

/// A row for each due item, in the words of the text, and the end of the series at its pace.
pub(super) fn html(review: &Review) -> Markup {
    let mut table = Table::new("What is due according to the record", &["what", "when"]);
    for (what, when) in what_is_due(review) {
        table.row([what.to_owned(), when]);
    }
    // An interval is more informative than a day.
    if let Some(end) = arches::later_end(review) {
        table.row(["end of the series".to_owned(), end]);
    } else if let Some(end) = review.values.projected_end.filter(|_| review.finish.is_none()) {
        let pace = "trays left at the pace of the series";
        table.row(["end of the series".to_owned(), format!("{end}: {pace}")]);
    }
    for line in review.finish.iter().flat_map(crate::review::finish::Finish::words) {
        table.row(["likely".to_owned(), line]);
    }
    table.html("dates")
}
