//! Pages of HTML for a reader of XML.

/// What follows the document type, with the elements closed that HTML leaves open.
pub fn as_xml(page: &str) -> String {
    let tags = page.strip_prefix("<!DOCTYPE html>").unwrap().split_inclusive('>');
    let closed = |part: &str| match part.rfind('<').map(|start| &part[start..]) {
        Some(tag) if tag.starts_with("<meta ") || tag == "<br>" => part.replace('>', "/>"),
        _ => part.to_owned(),
    };
    tags.map(closed).collect()
}
