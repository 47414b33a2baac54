//! The systems that wrote the records, by `source.system`: the name of a program.
//!
//! A name is reported as written when it looks like the name of a program. A name that looks like free text could name a
//! person and is masked.

use oar_schema::record::Id;

use crate::json::{Kind, Tree, decode};

/// Replaces the name of a system that looks like free text.
pub(crate) const MASKED: &str = "(masked)";
/// Replaces the system of a record that names none, or of data that could not be read as a record.
pub(crate) const NOT_NAMED: &str = "(not named)";
/// Replaces all further systems, so that memory stays bounded.
pub(crate) const OTHERS: &str = "(others)";
/// How many systems are counted separately.
pub(crate) const MOST: usize = 1000;

/// The name for outputs.
pub(crate) fn label(name: Option<&str>) -> &str {
    match name {
        None => NOT_NAMED,
        Some(name) if is_of_a_program(name) => name,
        Some(_) => MASKED,
    }
}

/// Whether a name is an identifier with more letters than digits, and so not a telephone or record number.
fn is_of_a_program(name: &str) -> bool {
    let count = |is: fn(&u8) -> bool| name.bytes().filter(is).count();
    Id::fits(name.as_bytes()) && count(u8::is_ascii_alphabetic) > count(u8::is_ascii_digit)
}

/// Keeps the system of a record that the fast path read.
pub(crate) fn note_row(system: &mut String, name: &[u8]) {
    if system.as_bytes() != name {
        keep(system, label(std::str::from_utf8(name).ok()));
    }
}

/// Keeps the system of a record that the slow path read.
pub(crate) fn note(system: &mut String, tree: &Tree, record: &[u8]) {
    let node = tree.find(record, "/source/system").map(|id| tree.node(id)).filter(|node| node.kind == Kind::String);
    let name = node.map(|node| decode(node.token(record)).into_owned());
    keep(system, label(name.as_deref()));
}

fn keep(system: &mut String, label: &str) {
    system.clear();
    system.push_str(label);
}

/// Records by their system.
#[derive(Clone, Debug, Default)]
pub(crate) struct Systems(Vec<(String, u64)>);

impl Systems {
    /// Counts a record.
    pub(crate) fn count(&mut self, system: &str) {
        self.add(system, 1);
    }

    /// Adds records of a system.
    pub(crate) fn add(&mut self, system: &str, records: u64) {
        let known = |name: &str| self.0.iter().position(|(known, _)| known == name);
        let name = if self.0.len() < MOST || known(system).is_some() { system } else { OTHERS };
        match known(name) {
            Some(at) => self.0[at].1 += records,
            None => self.0.push((name.to_owned(), records)),
        }
    }

    /// Forgets the counts but not the names, so that further counting allocates nothing.
    pub(crate) fn reset(&mut self) {
        self.0.iter_mut().for_each(|(_, count)| *count = 0);
    }

    /// Each system that has records, with their number.
    pub(crate) fn iter(&self) -> impl Iterator<Item = (&str, u64)> {
        self.0.iter().filter(|(_, count)| *count > 0).map(|(system, count)| (system.as_str(), *count))
    }
}

#[cfg(test)]
mod tests {
    use super::{MASKED, MOST, NOT_NAMED, OTHERS, Systems, label};

    #[test]
    fn names_of_programs_are_told_and_what_looks_like_free_text_is_not() {
        for name in ["quillmere-chart", "quillmere.export:4", "QuillmereChart", "x"] {
            assert_eq!(label(Some(name)), name);
        }
        for name in ["Zyxwv Quimby", "0700-900-461", "zyxwv@example.org", "Zyxwv/Quimby", "", "a1", "x\ny"] {
            assert_eq!(label(Some(name)), MASKED, "{name}");
        }
        assert_eq!(label(None), NOT_NAMED);
    }

    #[test]
    fn very_many_systems_are_counted_together() {
        let mut systems = Systems::default();
        for number in 0..MOST + 5 {
            systems.count(&format!("system-{number}"));
        }
        systems.count("system-0");
        assert_eq!(systems.iter().count(), MOST + 1);
        assert_eq!(systems.iter().next(), Some(("system-0", 2)));
        assert_eq!(systems.iter().last(), Some((OTHERS, 5)));
    }
}
