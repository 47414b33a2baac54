//! Walks the document once and fills the tree.

use super::{
    MAX_DEPTH,
    decimal::decimal,
    error::{SyntaxError, SyntaxErrorKind as Fault},
    names::{self, MemberName},
    node::{Kind, Node, NodeId},
    scan::{self, cut_short, error},
    text::has_noncharacter,
    tree::{Open, Problem, Tree},
    wide::Wide,
};

/// The largest whole number that I-JSON lets every reader keep exactly: 2^53 − 1.
const LARGEST: u64 = (1 << 53) - 1;

/// A number without an exponent and no longer than this cannot be larger than [`LARGEST`], which
/// has 16 digits.
const SHORT: usize = 15;

/// The largest double has 309 digits; a number that is not whole and is larger has as many.
const LONG: usize = 309;

impl Tree {
    /// Reads a document in place of the one before. After an error the tree is empty.
    ///
    /// Errors: the first bytes that are not UTF-8, or else the first thing that is not JSON; see
    /// [`SyntaxError`].
    pub fn parse(&mut self, bytes: &[u8]) -> Result<(), SyntaxError> {
        self.clear();
        let result = document(bytes, self);
        if result.is_err() {
            self.clear();
        }
        self.problems.sort_unstable_by_key(|&(problem, node)| (node, problem));
        result
    }
}

/// Reads the whole document into an empty tree.
fn document(bytes: &[u8], tree: &mut Tree) -> Result<(), SyntaxError> {
    if u32::try_from(bytes.len()).is_err() {
        return Err(error(Fault::TooLong, u32::MAX as usize));
    }
    if let Err(fault) = std::str::from_utf8(bytes) {
        return Err(error(Fault::NotUtf8, fault.valid_up_to()));
    }
    let at = scan::space(bytes, 0);
    if at == bytes.len() {
        return Err(error(Fault::Empty, at));
    }
    Reader { bytes, at, tree }.read()
}

struct Reader<'a> {
    bytes: &'a [u8],
    at: usize,
    tree: &'a mut Tree,
}

impl Reader<'_> {
    fn read(mut self) -> Result<(), SyntaxError> {
        self.value(None)?;
        while let Some(&open) = self.tree.open.last() {
            self.member_or_end(open)?;
        }
        self.skip_space();
        match self.bytes.get(self.at) {
            Some(_) => Err(error(Fault::TextAfterEnd, self.at)),
            None => Ok(()),
        }
    }

    /// Reads the next member of the innermost list or object, or its closing bracket.
    fn member_or_end(&mut self, open: Open) -> Result<(), SyntaxError> {
        let object = self.tree.node(open.node).kind == Kind::Object;
        let first = open.last_child.is_none();
        match (self.next_byte()?, object) {
            (b'}', true) | (b']', false) => {
                self.close(open, object);
                return Ok(());
            }
            (b',', _) if !first => self.at += 1,
            (_, true) if !first => return self.expected("a comma or the end of the object"),
            (_, false) if !first => return self.expected("a comma or the end of the list"),
            _ => {}
        }
        let name = if object { Some(self.name()?) } else { None };
        self.value(name)
    }

    /// Reads a name and its colon.
    fn name(&mut self) -> Result<MemberName, SyntaxError> {
        if self.next_byte()? != b'"' {
            self.expected("a name in quotes")?;
        }
        let text = scan::string(self.bytes, self.at)?;
        let range = (self.at as u32, text.end as u32);
        self.at = text.end;
        if self.next_byte()? != b':' {
            self.expected("a colon")?;
        }
        self.at += 1;
        let name = MemberName::new(self.bytes, range, text.unusual);
        self.tree.names.push(name);
        Ok(name)
    }

    /// Reads a value; of a list or object, only the opening bracket.
    fn value(&mut self, name: Option<MemberName>) -> Result<(), SyntaxError> {
        let first = self.next_byte()?;
        let start = self.at;
        match first {
            b'"' => self.string(name),
            b'-' | b'0'..=b'9' => self.number(name),
            b'{' => self.open(Kind::Object, name),
            b'[' => self.open(Kind::Array, name),
            b't' => self.word("true", Kind::Bool(true), name),
            b'f' => self.word("false", Kind::Bool(false), name),
            b'n' => self.word("null", Kind::Null, name),
            _ => Err(error(Fault::Expected("a value"), start)),
        }
    }

    fn string(&mut self, name: Option<MemberName>) -> Result<(), SyntaxError> {
        let text = scan::string(self.bytes, self.at)?;
        let id = self.add(Kind::String, text.end, name);
        let token = self.tree.node(id).token(self.bytes);
        if text.unusual && has_noncharacter(token) {
            self.problem(Problem::Noncharacter, id);
        }
        Ok(())
    }

    fn number(&mut self, name: Option<MemberName>) -> Result<(), SyntaxError> {
        let number = scan::number(self.bytes, self.at)?;
        let token = &self.bytes[self.at..number.end];
        let id = self.add(Kind::Number, number.end, name);
        if (number.exponent || token.len() > SHORT) && too_large(token) {
            self.problem(Problem::NumberTooLarge, id);
        }
        Ok(())
    }

    fn word(&mut self, word: &str, kind: Kind, name: Option<MemberName>) -> Result<(), SyntaxError> {
        let end = scan::word(self.bytes, self.at, word)?;
        self.add(kind, end, name);
        Ok(())
    }

    fn open(&mut self, kind: Kind, name: Option<MemberName>) -> Result<(), SyntaxError> {
        if self.tree.open.len() == MAX_DEPTH {
            return Err(error(Fault::TooDeep, self.at));
        }
        let node = self.add(kind, self.at + 1, name);
        let first_name = self.tree.names.len();
        self.tree.open.push(Open { node, last_child: None, first_name });
        Ok(())
    }

    /// Ends the innermost list or object at its closing bracket.
    fn close(&mut self, open: Open, object: bool) {
        self.at += 1;
        self.tree.node_mut(open.node).end = self.at as u32;
        self.tree.open.pop();
        self.note_wide(open);
        if object {
            self.check_names(open);
            self.tree.names.truncate(open.first_name);
        }
    }

    /// Keeps the values of a closed list or object that holds many.
    fn note_wide(&mut self, open: Open) {
        let count = open.last_child.map_or(0, |last| self.tree.node(last).index as usize + 1);
        if Wide::is(count) {
            let entries = self.tree.children(open.node).collect();
            let wide = Wide::new(self.bytes, entries, &self.tree.names[open.first_name..]);
            self.tree.wide.insert(open.node, wide);
        }
    }

    /// Lists the members of a closed object whose name an earlier one has.
    fn check_names(&mut self, open: Open) {
        let names = &self.tree.names[open.first_name..];
        let repeated = names::repeated(self.bytes, names);
        let mut next = repeated.iter().peekable();
        let mut member = self.tree.node(open.node).first_child;
        while let (Some(id), Some(&&position)) = (member, next.peek()) {
            let node = self.tree.node(id);
            member = node.next_sibling;
            if node.index as usize == position {
                next.next();
                self.tree.problems.push((Problem::RepeatedName, id));
            }
        }
    }

    /// Adds a node from here to `end` below the innermost open one, and goes to its end.
    fn add(&mut self, kind: Kind, end: usize, name: Option<MemberName>) -> NodeId {
        let id = NodeId::at(self.tree.nodes.len());
        let (parent, index) = self.attach(id);
        self.tree.nodes.push(Node {
            kind,
            start: self.at as u32,
            end: end as u32,
            key: name.map(|name| name.range),
            parent,
            first_child: None,
            next_sibling: None,
            index,
        });
        self.at = end;
        if let Some(name) = name.filter(|name| name.unusual)
            && has_noncharacter(names::token(self.bytes, name.range))
        {
            self.problem(Problem::Noncharacter, id);
        }
        id
    }

    /// Makes a new node the last child of the innermost open one: that one, and its position.
    fn attach(&mut self, id: NodeId) -> (Option<NodeId>, u32) {
        let Some(open) = self.tree.open.last_mut() else {
            return (None, 0);
        };
        let parent = open.node;
        let before = open.last_child.replace(id);
        let Some(before) = before.map(|before| self.tree.node_mut(before)) else {
            self.tree.node_mut(parent).first_child = Some(id);
            return (Some(parent), 0);
        };
        before.next_sibling = Some(id);
        (Some(parent), before.index + 1)
    }

    /// Notes a problem, once for each node.
    fn problem(&mut self, problem: Problem, id: NodeId) {
        if self.tree.problems.last() != Some(&(problem, id)) {
            self.tree.problems.push((problem, id));
        }
    }

    fn skip_space(&mut self) {
        self.at = scan::space(self.bytes, self.at);
    }

    /// Skips white space and gives the byte after it, which stays to be read.
    fn next_byte(&mut self) -> Result<u8, SyntaxError> {
        self.skip_space();
        let byte = self.bytes.get(self.at).copied();
        byte.ok_or_else(|| cut_short(self.bytes))
    }

    fn expected(&self, what: &'static str) -> Result<(), SyntaxError> {
        Err(error(Fault::Expected(what), self.at))
    }
}

/// Whether a number token is larger than I-JSON lets a reader rely on.
fn too_large(token: &[u8]) -> bool {
    let Some(value) = decimal(token) else {
        return false;
    };
    if value.is_integer() {
        return value.as_integer().is_none_or(|n| n.unsigned_abs() > LARGEST);
    }
    token.len() > LONG && overflows(token)
}

/// Whether the double nearest to a number token is infinite.
fn overflows(token: &[u8]) -> bool {
    let text = std::str::from_utf8(token).unwrap_or_default();
    text.parse().is_ok_and(f64::is_infinite)
}
