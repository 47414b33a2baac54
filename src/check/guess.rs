//! Guesses what a document is when it is not a record.

use oar_schema::record::{FORMAT, VERSION, Version};

use crate::check::args::{Args, args};
use crate::check::rule::Rule;
use crate::check::rules::file;
use crate::check::shape::Fault;
use crate::json::{Kind, NodeId, SyntaxError, SyntaxErrorKind, Tree, decode};
use crate::read::layout::is_wide;

/// How many known sections make a document a record, whatever its `format` says.
const ENOUGH_SECTIONS: usize = 3;

/// How many bytes are examined to recognise a binary file.
const BINARY_HEAD: usize = 4096;

/// First bytes of files that are not text: ELF, PNG, JPEG, ZIP, gzip, zstd (RFC 8878) and compound files, from memory.
const SIGNATURES: [(&[u8], &str); 11] = [
    (b"%PDF", "a PDF"),
    (b"PK", "a ZIP archive or an office document"),
    (b"\x7fELF", "a program"),
    (b"\x89PNG", "a picture (PNG)"),
    (b"\xff\xd8\xff", "a picture (JPEG)"),
    (b"GIF8", "a picture (GIF)"),
    (b"\xd0\xcf\x11\xe0", "an office document or spreadsheet of the older kind"),
    (b"\x1f\x8b", "a compressed file (gzip)"),
    (b"\x28\xb5\x2f\xfd", "a compressed file (zstd)"),
    (b"SQLite format 3", "a database (SQLite)"),
    (b"MZ\x90", "a program"),
];

/// The rule for a document that is not JSON.
pub(crate) fn syntax(document: &[u8], error: SyntaxError) -> (&'static Rule, Args) {
    if let Some(looks_like) = binary(document) {
        return (&file::another_format, args!["looks_like" = looks_like]);
    }
    match error.kind {
        _ if is_wide(document) => (&file::not_utf8, not_utf8(document, 0)),
        SyntaxErrorKind::NotUtf8 if ends_in_a_letter(document, error.at) => (&file::cut_short, args![]),
        SyntaxErrorKind::NotUtf8 => (&file::not_utf8, not_utf8(document, error.at)),
        SyntaxErrorKind::Empty => (&file::nothing_inside, args![]),
        SyntaxErrorKind::CutShort => (&file::cut_short, args![]),
        SyntaxErrorKind::TooDeep => (&file::nested_too_deep, args!["most" = crate::json::MAX_DEPTH]),
        SyntaxErrorKind::TooLong => (&file::record_too_large, args![]),
        kind => match not_json_at_all(document) {
            Some(looks_like) => (&file::another_format, args!["looks_like" = looks_like]),
            None => (&file::not_json, not_json(document, error.at, kind)),
        },
    }
}

fn not_utf8(document: &[u8], at: usize) -> Args {
    let mut args = args!["byte" = document.get(at).map_or(String::new(), |byte| format!("{byte:02x}"))];
    if is_wide(document) {
        args.push(("encoding", wide_encoding(document).into()));
    }
    args
}

/// Which of the wide encodings it is: in UTF-32 two of the first four bytes are zero.
fn wide_encoding(document: &[u8]) -> &'static str {
    let zeros = document.iter().take(4).filter(|byte| **byte == 0).count();
    let marked = matches!(document, [0xff, 0xfe, ..] | [0xfe, 0xff, ..]);
    if zeros == 3 || (zeros == 2 && (marked || document.starts_with(&[0, 0]))) { "UTF-32" } else { "UTF-16" }
}

/// Whether the document ends within the bytes of one character.
fn ends_in_a_letter(document: &[u8], at: usize) -> bool {
    let rest = document.get(at..).unwrap_or_default();
    rest.len() < 4
        && std::str::from_utf8(rest).is_err_and(|error| error.valid_up_to() == 0 && error.error_len().is_none())
}

/// What is wrong, and what was written instead if it is a common mistake.
fn not_json(document: &[u8], at: usize, kind: SyntaxErrorKind) -> Args {
    let mut args = args!["problem" = kind.to_string()];
    let rest = document.get(at..).unwrap_or_default();
    let before = document.get(..at).unwrap_or_default().trim_ascii_end();
    let slip = match rest {
        _ if !matches!(kind, SyntaxErrorKind::Expected(_)) => part(kind),
        _ if matches!(kind, SyntaxErrorKind::Expected("a colon")) => Some(("colon", "colon")),
        [b'0'..=b'9', ..] if ends_in_decimal_comma(before) => Some(("decimal_comma", "decimal comma")),
        [b'}' | b']', ..] if before.ends_with(b",") => Some(("trailing_comma", "comma before the closing bracket")),
        [b'/', b'/' | b'*', ..] | [b'#', ..] => Some(("comment", "comment")),
        [b'\'', ..] => Some(("single_quote", "single quote")),
        [b'N' | b'I' | b'T' | b'F' | b'u', ..] => other_word(rest).map(|word| ("word", word)),
        [b'"' | b'{' | b'[' | b'0'..=b'9' | b'-' | b't' | b'f' | b'n', ..] if is_after_value(before) => {
            Some(("comma", "comma"))
        }
        _ => None,
    };
    args.extend(slip.map(|(name, text)| (name, text.into())));
    args
}

/// What JSON does not accept, by the kind of the error.
const fn part(kind: SyntaxErrorKind) -> Option<(&'static str, &'static str)> {
    match kind {
        SyntaxErrorKind::BadNumber => Some(("number", "number")),
        SyntaxErrorKind::BadEscape => Some(("escape", "backslash")),
        SyntaxErrorKind::ControlCharacterInString => Some(("control", "control character")),
        SyntaxErrorKind::LoneSurrogate => Some(("pair", "pair")),
        SyntaxErrorKind::TextAfterEnd => Some(("further", "further record")),
        _ => None,
    }
}

/// Whether a comma right after a digit comes last.
fn ends_in_decimal_comma(before: &[u8]) -> bool {
    matches!(before, [.., b'0'..=b'9', b','])
}

/// Whether a value may end there, so that a comma is missing before the next one.
fn is_after_value(before: &[u8]) -> bool {
    !matches!(before.last(), None | Some(b',' | b':' | b'{' | b'['))
}

/// A word of another language for which JSON has none, or a different one.
fn other_word(rest: &[u8]) -> Option<&'static str> {
    ["NaN", "Infinity", "None", "True", "False", "undefined"].into_iter().find(|word| rest.starts_with(word.as_bytes()))
}

/// The kind of a file that is not text, by its first bytes or a zero byte near its start.
fn binary(document: &[u8]) -> Option<&'static str> {
    let head = document.get(..BINARY_HEAD).unwrap_or(document);
    let known = SIGNATURES.iter().find(|(signature, _)| head.trim_ascii_start().starts_with(signature));
    let json = matches!(head.trim_ascii_start().first(), Some(b'{' | b'[' | b'"'));
    match known {
        Some((b"PK", _)) if holds(head, b"xl/") || holds(head, b"opendocument.spreadsheet") => Some("a spreadsheet"),
        Some((_, name)) => Some(name),
        None if head.contains(&0) && !json && !is_wide(document) => Some("a binary file"),
        None => None,
    }
}

fn holds(bytes: &[u8], part: &[u8]) -> bool {
    bytes.windows(part.len()).any(|window| window == part)
}

/// The kind of a text that does not even begin like JSON.
fn not_json_at_all(document: &[u8]) -> Option<&'static str> {
    let start = document.trim_ascii_start();
    let first_line = start.split(|byte| *byte == b'\n').next().unwrap_or_default();
    match start.first()? {
        b'<' => Some("XML or HTML"),
        b'{' | b'[' | b'"' => None,
        first if first.is_ascii_alphanumeric() && first_line.split(|byte| b",;\t".contains(byte)).count() >= 3 => {
            Some("a table (CSV)")
        }
        _ => None,
    }
}

/// A fault when a JSON document is not a record, or is a record of a newer version.
pub(crate) fn another_format(tree: &Tree, bytes: &[u8]) -> Option<Fault> {
    let root = tree.root();
    let fault = |rule: &'static Rule, node: NodeId, args: Args| Some(Fault { rule, node, on_name: false, args });
    let text = |name: &str| {
        let node = tree.member(bytes, root, name)?;
        (tree.node(node).kind == Kind::String).then(|| (node, decode(tree.node(node).token(bytes)).into_owned()))
    };
    if let Some(looks_like) = other_root(tree, bytes) {
        let mut args = args!["looks_like" = looks_like];
        args.extend(wrapper(tree, bytes).map(|name| ("wrapper", format!("list \"{name}\"").into())));
        return fault(&file::another_format, root, args);
    }
    if let Some((node, version)) = text("version")
        && let Some(version) = Version::parse(&version).filter(|version| *version > VERSION)
        && text("format").is_some_and(|(_, format)| format == FORMAT)
    {
        return fault(
            &file::newer_version,
            node,
            args!["version" = version.to_string(), "known" = VERSION.to_string()],
        );
    }
    None
}

/// The list of records that an object without a format wraps, if it has one of the usual names.
fn wrapper(tree: &Tree, bytes: &[u8]) -> Option<&'static str> {
    let is_list = |name: &&str| {
        let node = tree.member(bytes, tree.root(), name);
        node.is_some_and(|node| tree.node(node).kind == Kind::Array)
    };
    ["records", "data", "items"].into_iter().filter(|_| tree.node(tree.root()).kind == Kind::Object).find(is_list)
}

/// The kind of the document, when it is not a record.
fn other_root(tree: &Tree, bytes: &[u8]) -> Option<&'static str> {
    let root = tree.root();
    match tree.node(root).kind {
        Kind::Array => return Some("a list"),
        Kind::Object => {}
        _ => return Some("a single value"),
    }
    let has = |name: &str| tree.member(bytes, root, name).is_some();
    let sections =
        ["patient", "dentition", "prescription", "series", "wear_periods", "status", "wear_log", "check_ins"];
    let known = sections.iter().filter(|name| has(name)).count();
    let format = tree.member(bytes, root, "format").map(|node| decode(tree.node(node).token(bytes)).into_owned());
    match format {
        Some(format) if format == FORMAT => None,
        _ if known >= ENOUGH_SECTIONS => None,
        Some(_) => Some("JSON of another format"),
        None if has("resourceType") => Some("a FHIR resource"),
        None if has("$schema") && has("runs") => Some("a SARIF log"),
        None if has("$schema") => Some("a JSON Schema"),
        None => Some("JSON without a format"),
    }
}
