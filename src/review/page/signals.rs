//! A signal with its reason; opened, it tells what would usually be considered and what it rests on.

use crate::html::escaped;
use crate::review::{Raised, Rank};

/// The name of a signal in words.
pub(super) fn words(name: &str) -> String {
    name.replace('_', " ")
}

/// The signals of one record as a list. The rank is told of those that are less urgent than `rank`.
pub(super) fn list(raised: &[Raised], rank: Option<Rank>) -> String {
    let items: Vec<String> = raised.iter().map(|raised| one(raised, rank)).collect();
    format!("<ul class=\"signals\"><li>{}</li></ul>", items.join("</li><li>"))
}

fn one(raised: &Raised, rank: Option<Rank>) -> String {
    let rank = if Some(raised.rank) == rank {
        String::new()
    } else {
        format!(" <span class=\"later\">({})</span>", raised.rank.words())
    };
    let consider = raised
        .consider()
        .map_or(String::new(), |text| format!("<p>Usually considered: {}.</p>", escaped(text.trim_end_matches('.'))));
    let fields: Vec<String> =
        raised.pointers().iter().map(|pointer| format!("<code>{}</code>", escaped(pointer))).collect();
    format!(
        "<details class=\"signal\"><summary><b>{}</b>{rank}: {}</summary>{consider}<p class=\"fields\">Rests on: {}</p></details>",
        escaped(&words(raised.signal.name)),
        escaped(&raised.message()),
        fields.join(", "),
    )
}
