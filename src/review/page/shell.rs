//! The frame of every page of the review.

use crate::html::{STYLE as BASE, escaped};
use crate::review::text::CAUTION;

const STYLE: &str = include_str!("page.css");

/// A section with a heading; `html` is its content.
pub(super) struct Section {
    id: &'static str,
    title: &'static str,
    html: String,
}

impl Section {
    pub(super) fn new(id: &'static str, title: &'static str, html: String) -> Self {
        Self { id, title, html }
    }

    fn html(&self) -> String {
        let Self { id, title, html } = self;
        format!("<section aria-labelledby=\"{id}\">\n<h2 id=\"{id}\">{title}</h2>\n{html}</section>\n")
    }
}

/// A page: its title as text, the part under the title as HTML, and its sections. A section without content is omitted.
pub(super) struct Page {
    pub(super) title: String,
    pub(super) lead: String,
    pub(super) sections: Vec<Section>,
}

impl Page {
    pub(super) fn html(&self) -> String {
        let told: Vec<&Section> = self.sections.iter().filter(|section| !section.html.is_empty()).collect();
        let links = told.iter().map(|section| format!("<li><a href=\"#{}\">{}</a></li>", section.id, section.title));
        let first = told.first().map_or("main", |section| section.id);
        let (title, links) = (escaped(&self.title), links.collect::<String>());
        let sections: String = told.iter().map(|section| section.html()).collect();
        format!(
            "<!doctype html>\n<html lang=\"en\"><head><meta charset=\"utf-8\"/><meta name=\"viewport\" content=\"width=device-width, initial-scale=1\"/><title>{title}</title><style>{BASE}{STYLE}</style></head><body>\n<a class=\"skip\" href=\"#{first}\">To the content</a>\n<header>\n<h1>{title}</h1>\n{lead}<p class=\"caution\">{CAUTION}</p>\n</header>\n<nav aria-label=\"On this page\"><ul>{links}</ul></nav>\n<main id=\"main\">\n{sections}</main>\n</body></html>\n",
            lead = self.lead,
        )
    }
}
