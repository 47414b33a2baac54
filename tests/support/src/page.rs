//! Reads rule pages and applies their edits to the base record.

pub mod tables;

use open_aligner_record::json::Tree;

/// One example of a page: an edit of the base record and the findings that it gives.
pub struct Example {
    /// The lines of the edit.
    pub edit: Vec<String>,
    /// The findings that the page shows.
    pub findings: Vec<String>,
}

/// The examples under a heading of a page.
pub fn examples(page: &str, heading: &str) -> Vec<Example> {
    let section = open_aligner_record::page::section(page, heading).unwrap_or_default();
    let mut found: Vec<Example> = Vec::new();
    let mut block: Option<&str> = None;
    for line in section.lines() {
        match (line, block) {
            ("```edit", None) => {
                block = Some("edit");
                found.push(Example { edit: Vec::new(), findings: Vec::new() });
            }
            ("```findings", None) => block = Some("findings"),
            ("```", Some(_)) => block = None,
            (line, Some("edit")) => found.last_mut().unwrap().edit.push(line.to_owned()),
            (line, Some(_)) => found.last_mut().expect("an edit before its findings").findings.push(line.to_owned()),
            _ => {}
        }
    }
    found
}

/// The page with the findings of each example, in order, put in.
pub fn with_findings(page: &str, findings: &[Vec<String>]) -> String {
    let mut next = findings.iter();
    let mut out = String::new();
    let mut skipping = false;
    for line in page.lines() {
        if skipping && line != "```" {
            continue;
        }
        skipping = false;
        out.push_str(line);
        out.push('\n');
        if line == "```findings" {
            for finding in next.next().expect("findings for every block") {
                out.push_str(finding);
                out.push('\n');
            }
            skipping = true;
        }
    }
    out
}

/// Limits that the edit sets: lines such as `limit tray_linear_mm = 0.3`.
pub fn limits(edit: &[String]) -> Vec<(String, String)> {
    let lines = edit.iter().filter_map(|line| line.strip_prefix("limit "));
    lines.map(|line| line.split_once(" = ").map(|(name, value)| (name.to_owned(), value.to_owned())).unwrap()).collect()
}

/// The base record with an edit made, or several records, one a line: each line `record` begins another base record, and
/// the lines after it edit that one. The lines of an edit:
///
/// - `/pointer = json` sets a value, or adds the member; `/pointer = /other` copies one;
/// - `/pointer += json` adds an entry to a list;
/// - `remove /pointer` takes a member or entry out;
/// - `name /pointer = "name"` renames a member;
/// - `text "before" -> "after"` replaces the first place where that text stands (`\xNN` is a byte);
/// - `cut after "text"` ends the file there; `begin "text"` puts text before it.
pub fn edited(base: &str, edit: &[String]) -> Vec<u8> {
    if !is_several(edit) {
        return edited_record(base, edit);
    }
    let lines = edit.split(|line| line == "record").map(|edit| {
        // No text of the base record holds a line end or an indent.
        let text = String::from_utf8(edited_record(base, edit)).expect("an edit of several records leaves UTF-8");
        text.lines().map(str::trim_start).collect::<String>() + "\n"
    });
    lines.collect::<String>().into_bytes()
}

/// Whether the edit makes several records.
pub fn is_several(edit: &[String]) -> bool {
    edit.iter().any(|line| line == "record")
}

fn edited_record(base: &str, edit: &[String]) -> Vec<u8> {
    let mut text = base.as_bytes().to_vec();
    for line in edit.iter().filter(|line| !line.starts_with("limit ") && !line.trim().is_empty()) {
        text = edit_line(&text, line).unwrap_or_else(|| panic!("the edit does not fit the record: {line}"));
    }
    text
}

fn edit_line(text: &[u8], line: &str) -> Option<Vec<u8>> {
    if let Some(rest) = line.strip_prefix("text ") {
        let (before, after) = rest.split_once(" -> ")?;
        return replace_text(text, &quoted(before)?, &quoted(after)?);
    }
    if let Some(rest) = line.strip_prefix("cut after ") {
        let mark = quoted(rest)?;
        let at = find(text, &mark)?;
        return Some(text[..at + mark.len()].to_vec());
    }
    if let Some(rest) = line.strip_prefix("begin ") {
        return Some([quoted(rest)?, text.to_vec()].concat());
    }
    edit_tree(text, line)
}

fn edit_tree(text: &[u8], line: &str) -> Option<Vec<u8>> {
    let mut tree = Tree::default();
    tree.parse(text).ok()?;
    if let Some(pointer) = line.strip_prefix("remove ") {
        return Some(remove(text, &tree, pointer));
    }
    if let Some(rest) = line.strip_prefix("name ") {
        let (pointer, name) = rest.split_once(" = ")?;
        let (start, end) = tree.node(tree.find(text, pointer)?).key?;
        return Some(splice(text, start as usize, end as usize, name.as_bytes()));
    }
    if let Some((pointer, entry)) = line.split_once(" += ") {
        return add_entry(text, &tree, pointer, entry);
    }
    let (pointer, value) = line.split_once(" = ")?;
    let value = match value.strip_prefix('/') {
        Some(_) => tree.node(tree.find(text, value)?).token(text).to_vec(),
        None => value.as_bytes().to_vec(),
    };
    set(text, &tree, pointer, &value)
}

fn set(text: &[u8], tree: &Tree, pointer: &str, value: &[u8]) -> Option<Vec<u8>> {
    if let Some(node) = tree.find(text, pointer) {
        let node = tree.node(node);
        return Some(splice(text, node.start as usize, node.end as usize, value));
    }
    let (parent, name) = pointer.rsplit_once('/')?;
    let parent = tree.node(tree.find(text, parent)?);
    let member = [format!("\"{name}\": ").as_bytes(), value].concat();
    Some(add_last(text, tree, parent, &member))
}

fn add_entry(text: &[u8], tree: &Tree, pointer: &str, entry: &str) -> Option<Vec<u8>> {
    Some(add_last(text, tree, tree.node(tree.find(text, pointer)?), entry.as_bytes()))
}

/// Adds a member or entry after the last one of a list or object.
fn add_last(text: &[u8], tree: &Tree, parent: &open_aligner_record::json::Node, new: &[u8]) -> Vec<u8> {
    let mut child = parent.first_child;
    let mut at = parent.start as usize + 1;
    let mut comma = "";
    while let Some(id) = child {
        at = tree.node(id).end as usize;
        comma = ", ";
        child = tree.node(id).next_sibling;
    }
    splice(text, at, at, &[comma.as_bytes(), new].concat())
}

/// Takes a value out, with its name and one comma.
fn remove(text: &[u8], tree: &Tree, pointer: &str) -> Vec<u8> {
    let id = tree.find(text, pointer).unwrap_or_else(|| panic!("nothing stands at {pointer}"));
    let node = tree.node(id);
    let start = node.key.map_or(node.start, |(start, _)| start) as usize;
    let end = node.end as usize;
    if let Some(next) = node.next_sibling {
        let next = tree.node(next);
        return splice(text, start, next.key.map_or(next.start, |(start, _)| start) as usize, b"");
    }
    let before = tree.children(node.parent.unwrap()).take_while(|other| *other != id).last();
    splice(text, before.map_or(start, |before| tree.node(before).end as usize), end, b"")
}

fn replace_text(text: &[u8], before: &[u8], after: &[u8]) -> Option<Vec<u8>> {
    let at = find(text, before)?;
    Some(splice(text, at, at + before.len(), after))
}

fn splice(text: &[u8], start: usize, end: usize, new: &[u8]) -> Vec<u8> {
    [&text[..start], new, &text[end..]].concat()
}

fn find(text: &[u8], mark: &[u8]) -> Option<usize> {
    if mark.is_empty() {
        return Some(0);
    }
    text.windows(mark.len()).position(|window| window == mark)
}

/// A quoted text with the escapes `\n`, `\"`, `\\` and `\xNN`.
fn quoted(text: &str) -> Option<Vec<u8>> {
    let inner = text.trim().strip_prefix('"')?.strip_suffix('"')?;
    let mut out = Vec::new();
    let mut bytes = inner.bytes();
    while let Some(byte) = bytes.next() {
        if byte != b'\\' {
            out.push(byte);
            continue;
        }
        match bytes.next()? {
            b'n' => out.push(b'\n'),
            b'x' => {
                let digits = [bytes.next()?, bytes.next()?];
                out.push(u8::from_str_radix(std::str::from_utf8(&digits).ok()?, 16).ok()?);
            }
            other => out.push(other),
        }
    }
    Some(out)
}
