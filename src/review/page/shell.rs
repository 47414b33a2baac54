//! The frame of every page of the review.

use crate::html::{DOCTYPE, Markup, head, html};
use crate::review::text::CAUTION;

/// A section: its name in the address, its heading and its content.
pub(super) type Section = (&'static str, &'static str, Markup);

/// A page with a part under its title. A section without content is omitted.
pub(super) fn page<const N: usize>(title: &str, lead: &Markup, sections: [Section; N]) -> String {
    let told: Vec<Section> = sections.into_iter().filter(|(.., content)| !content.0.is_empty()).collect();
    let first = told.first().map_or("main", |(id, ..)| id);
    let page = html! {
        (DOCTYPE) "\n"
        html lang="en" {
            (head(title, "width=device-width, initial-scale=1", include_str!("page.css")))
            body {
                "\n" a.skip href={ "#" (first) } { "To the content" }
                "\n" header { "\n" h1 { (title) } "\n" (lead) p.caution { (CAUTION) } "\n" } "\n"
                nav aria-label="On this page" { ul { @for (id, title, _) in &told { li { a href={ "#" (id) } { (title) } } } } }
                "\n" main #main { "\n" @for section in &told { (framed(section)) } } "\n"
            }
        }
        "\n"
    };
    page.into_string()
}

fn framed((id, title, content): &Section) -> Markup {
    html! { section aria-labelledby=(id) { "\n" h2 id=(id) { (title) } "\n" (content) } "\n" }
}
