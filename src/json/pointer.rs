//! JSON Pointer (RFC 6901): from a value to its path and back.

use super::{
    names::token,
    node::{Kind, NodeId},
    text::decode,
    tree::Tree,
};

impl Tree {
    /// The JSON Pointer of a value, such as `/series/0/trays`; empty for the whole document.
    pub fn pointer(&self, id: NodeId, bytes: &[u8]) -> String {
        let above = |&id: &NodeId| self.node(id).parent;
        let mut path: Vec<NodeId> = std::iter::successors(Some(id), above).collect();
        path.pop();
        let steps = path.iter().rev();
        steps.fold(String::new(), |text, &id| text + "/" + &self.step(id, bytes))
    }

    /// The last step of the pointer to a value.
    fn step(&self, id: NodeId, bytes: &[u8]) -> String {
        let node = self.node(id);
        match node.key {
            Some(key) => decode(token(bytes, key)).replace('~', "~0").replace('/', "~1"),
            None => node.index.to_string(),
        }
    }

    /// The value at a JSON Pointer; of a repeated name, the first.
    pub fn find(&self, bytes: &[u8], pointer: &str) -> Option<NodeId> {
        let mut steps = pointer.split('/');
        if self.is_empty() || steps.next() != Some("") {
            return None;
        }
        steps.try_fold(self.root(), |id, step| match self.node(id).kind {
            Kind::Object => self.member(bytes, id, &unescape(step)?),
            Kind::Array => self.entry(id, position(step)?),
            _ => None,
        })
    }

    /// The member of an object that has this name, escapes undone; the first if it is repeated,
    /// and `None` if the value is not an object.
    pub fn member(&self, bytes: &[u8], object: NodeId, name: &str) -> Option<NodeId> {
        if let Some(wide) = self.wide.get(&object) {
            return wide.member(name);
        }
        self.children(object).find(|&id| {
            let key = self.node(id).key;
            key.is_some_and(|key| names(token(bytes, key), name))
        })
    }
}

/// Bytes of the longest escape of one byte: `\u0041`.
const ESCAPE: usize = 6;

/// Whether a string token, quotes included, says `name`.
fn names(token: &[u8], name: &str) -> bool {
    let inside = &token[1..token.len() - 1];
    if inside.len() > ESCAPE * name.len() {
        return false;
    }
    inside == name.as_bytes() && !inside.contains(&b'\\') || inside.contains(&b'\\') && decode(token) == name
}

/// Undoes `~0` and `~1`; `None` for any other use of the tilde.
fn unescape(step: &str) -> Option<String> {
    let mut parts = step.split('~');
    let mut text = parts.next()?.to_owned();
    for part in parts {
        let (escaped, rest) = part.split_at_checked(1)?;
        text.push(match escaped {
            "0" => '~',
            "1" => '/',
            _ => return None,
        });
        text.push_str(rest);
    }
    Some(text)
}

/// A position in a list: digits without a leading zero.
fn position(step: &str) -> Option<usize> {
    let digits = step.bytes().all(|b| b.is_ascii_digit());
    let plain = step == "0" || !step.starts_with('0');
    (digits && plain).then(|| step.parse().ok())?
}
