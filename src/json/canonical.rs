//! The canonical bytes of a record, for digests: RFC 8785 (Rundgren, Jordan and Erdtman, 2020).
//!
//! Two texts of one JSON value have the same canonical bytes: no white space, members sorted by the UTF-16 code units of
//! their names, texts with no escape that is not needed, numbers as ECMAScript writes the double that they are.

use std::fmt;

use sha2::{Digest, Sha256};

use crate::json::{Kind, NodeId, Problem, SyntaxError, Tree, decode};

/// Why a document has no canonical bytes.
#[derive(Clone, Debug, PartialEq, Eq)]
#[non_exhaustive]
pub enum CanonicalError {
    /// It is not JSON.
    Syntax(SyntaxError),
    /// An object uses one name twice, at this JSON Pointer's parent (RFC 8785, section 3.1, by RFC 7493).
    RepeatedName,
    /// A number is larger than any double. Others are written as the double nearest to them, as the RFC does with 1E30.
    NumberTooLarge,
    /// A text holds a Unicode noncharacter (RFC 7493, section 2.1).
    Noncharacter,
}

impl fmt::Display for CanonicalError {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        match self {
            Self::Syntax(error) => error.fmt(f),
            Self::RepeatedName => f.write_str("an object uses one name twice"),
            Self::NumberTooLarge => f.write_str("a number is larger than any double"),
            Self::Noncharacter => f.write_str("a text holds a Unicode noncharacter"),
        }
    }
}

impl std::error::Error for CanonicalError {}

/// The canonical bytes of a document.
///
/// ```
/// use open_aligner_record::canonical::canonical;
///
/// let text = br#"{"b": 1.50, "a": "\u0041\n"}"#;
/// assert_eq!(canonical(text), Ok(br#"{"a":"A\n","b":1.5}"#.to_vec()));
/// ```
///
/// # Errors
/// When it is no I-JSON (RFC 7493), which RFC 8785 asks for.
pub fn canonical(document: &[u8]) -> Result<Vec<u8>, CanonicalError> {
    let mut tree = Tree::default();
    tree.parse(document).map_err(CanonicalError::Syntax)?;
    for (problem, node) in tree.problems() {
        match problem {
            Problem::RepeatedName => return Err(CanonicalError::RepeatedName),
            Problem::Noncharacter => return Err(CanonicalError::Noncharacter),
            Problem::NumberTooLarge if double(tree.node(*node).token(document)).is_infinite() => {
                return Err(CanonicalError::NumberTooLarge);
            }
            Problem::NumberTooLarge => {}
        }
    }
    let mut out = Vec::with_capacity(document.len());
    value(&tree, document, tree.root(), &mut out);
    Ok(out)
}

/// The SHA-256 of the canonical bytes of a document, in hexadecimal digits.
///
/// # Errors
/// As [`canonical`].
pub fn digest(document: &[u8]) -> Result<String, CanonicalError> {
    let hash = Sha256::digest(canonical(document)?);
    Ok(hash.iter().fold(String::new(), |text, byte| text + &format!("{byte:02x}")))
}

fn value(tree: &Tree, bytes: &[u8], node: NodeId, out: &mut Vec<u8>) {
    let token = tree.node(node).token(bytes);
    match tree.node(node).kind {
        Kind::Object => object(tree, bytes, node, out),
        Kind::Array => {
            out.push(b'[');
            for (place, entry) in tree.children(node).enumerate() {
                if place > 0 {
                    out.push(b',');
                }
                value(tree, bytes, entry, out);
            }
            out.push(b']');
        }
        Kind::String => text(&decode(token), out),
        Kind::Number => {
            out.extend_from_slice(number(double(token)).as_bytes());
        }
        Kind::Bool(_) | Kind::Null => out.extend_from_slice(token),
    }
}

fn object(tree: &Tree, bytes: &[u8], node: NodeId, out: &mut Vec<u8>) {
    let name = |child: NodeId| {
        let (start, end) = tree.node(child).key.unwrap_or_default();
        decode(&bytes[start as usize..end as usize]).into_owned()
    };
    let mut members: Vec<(Vec<u16>, String, NodeId)> =
        tree.children(node).map(|child| (name(child).encode_utf16().collect(), name(child), child)).collect();
    members.sort();
    out.push(b'{');
    for (place, (_, name, child)) in members.into_iter().enumerate() {
        if place > 0 {
            out.push(b',');
        }
        text(&name, out);
        out.push(b':');
        value(tree, bytes, child, out);
    }
    out.push(b'}');
}

/// A text with the escapes of RFC 8785, section 3.2.2.2, which are those that `serde_json` writes.
fn text(text: &str, out: &mut Vec<u8>) {
    out.extend_from_slice(serde_json::Value::from(text).to_string().as_bytes());
}

/// A double as ECMAScript writes it (ECMA-262, `Number::toString`): the fewest digits that give it back, without exponent
/// from 1e-6 to below 1e21. The double is finite.
pub fn number(double: f64) -> String {
    if double == 0.0 {
        return "0".to_owned();
    }
    // `serde_json` has the fewest digits, and of two that are as near the even one; the formatting of the standard
    // library takes the greater one then.
    let written = serde_json::Value::from(double.abs()).to_string();
    let (mantissa, exponent) = written.split_once('e').unwrap_or((&written, "0"));
    let (whole, fraction) = mantissa.split_once('.').unwrap_or((mantissa, ""));
    let all = format!("{whole}{fraction}");
    let digits = all.trim_start_matches('0');
    let point = whole.len() as i32 - (all.len() - digits.len()) as i32 + exponent.parse::<i32>().unwrap_or_default();
    let sign = if double < 0.0 { "-" } else { "" };
    format!("{sign}{}", placed(digits.trim_end_matches('0'), point))
}

/// The double nearest to a number token.
fn double(token: &[u8]) -> f64 {
    std::str::from_utf8(token).ok().and_then(|token| token.parse().ok()).unwrap_or_default()
}

/// Digits with the decimal point after the first `point` of them.
fn placed(digits: &str, point: i32) -> String {
    let count = digits.len() as i32;
    match point {
        1..=21 if count <= point => format!("{digits}{}", "0".repeat((point - count) as usize)),
        1..=21 => format!("{}.{}", &digits[..point as usize], &digits[point as usize..]),
        -5..=0 => format!("0.{}{digits}", "0".repeat(-point as usize)),
        _ => {
            let (first, rest) = digits.split_at(1);
            let dot = if rest.is_empty() { "" } else { "." };
            format!("{first}{dot}{rest}e{:+}", point - 1)
        }
    }
}
