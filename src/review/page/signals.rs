//! A signal with its reason; when opened, it shows what would usually be considered and the fields behind it.

use crate::html::{Markup, html};
use crate::review::{Priority, Raised};

/// The name of a signal in words.
pub(super) fn words(name: &str) -> String {
    name.replace('_', " ")
}

/// The signals of one record as a list. Those less urgent than `priority` show their priority.
pub(super) fn list(raised: &[Raised], priority: Option<Priority>) -> Markup {
    html! { ul.signals { @for raised in raised { li { (one(raised, priority)) } } } }
}

fn one(raised: &Raised, priority: Option<Priority>) -> Markup {
    html! {
        details.signal {
            summary {
                b { (words(raised.signal.name)) }
                @if Some(raised.priority) != priority { " " span.later { "(" (raised.priority.words()) ")" } }
                ": " (raised.message())
            }
            @if let Some(text) = raised.consider() { p { "Usually considered: " (text.trim_end_matches('.')) "." } }
            p.fields {
                "Rests on: "
                @for (place, pointer) in raised.pointers().iter().enumerate() {
                    @if place > 0 { ", " }
                    code { (pointer) }
                }
            }
        }
    }
}
