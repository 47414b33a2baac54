//! A signal with its reason; when opened, it shows what would usually be considered and the fields behind it.

use crate::html::escaped;
use crate::review::{Priority, Raised};

/// The name of a signal in words.
pub(super) fn words(name: &str) -> String {
    name.replace('_', " ")
}

/// The signals of one record as a list. Those less urgent than `priority` show their priority.
pub(super) fn list(raised: &[Raised], priority: Option<Priority>) -> String {
    let items: Vec<String> = raised.iter().map(|raised| one(raised, priority)).collect();
    format!("<ul class=\"signals\"><li>{}</li></ul>", items.join("</li><li>"))
}

fn one(raised: &Raised, priority: Option<Priority>) -> String {
    let priority = if Some(raised.priority) == priority {
        String::new()
    } else {
        format!(" <span class=\"later\">({})</span>", raised.priority.words())
    };
    let consider = raised
        .consider()
        .map_or(String::new(), |text| format!("<p>Usually considered: {}.</p>", escaped(text.trim_end_matches('.'))));
    let fields: Vec<String> =
        raised.pointers().iter().map(|pointer| format!("<code>{}</code>", escaped(pointer))).collect();
    format!(
        "<details class=\"signal\"><summary><b>{}</b>{priority}: {}</summary>{consider}<p class=\"fields\">Rests on: {}</p></details>",
        escaped(&words(raised.signal.name)),
        escaped(&raised.message()),
        fields.join(", "),
    )
}
