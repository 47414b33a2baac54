//! The layers of the library: no module imports one above it, and in no folder do sibling modules import each other in a
//! circle.
//!
//! The test reads the paths of every source file. Comments, texts and test modules do not count; a name that the root of a
//! crate re-exports counts as the module that has it; a macro of the crate counts where it is used.

use std::collections::{BTreeMap, BTreeSet};
use std::fs;
use std::path::Path;

/// The modules of the library from low to high: each may import those before it.
const LAYERS: &[&str] = &[
    "text",
    "json",
    "read",
    "check",
    "repair",
    "report",
    "shrink",
    "statistics",
    "html",
    "realism",
    "review",
    "card",
    "schema",
    "kit",
    "schemas",
    "config",
    "command",
];

/// A module by the names on the way to it; the root of a crate has none.
type Module = Vec<String>;

/// The modules of a crate with the paths that each of them names.
#[derive(Default)]
struct Sources {
    /// The file of each module.
    files: BTreeMap<Module, String>,
    tokens: BTreeMap<Module, Vec<String>>,
}

/// A module imports from another one.
type Imports = BTreeSet<(Module, Module)>;

impl Sources {
    /// Reads all files below a folder.
    fn read(folder: &Path) -> Self {
        let mut sources = Self::default();
        sources.read_folder(folder, folder);
        sources
    }

    fn read_folder(&mut self, root: &Path, folder: &Path) {
        for entry in fs::read_dir(folder).unwrap().map(Result::unwrap) {
            let path = entry.path();
            if path.is_dir() {
                self.read_folder(root, &path);
            } else if path.extension().is_some_and(|ending| ending == "rs") && !path.ends_with("main.rs") {
                let name = path.strip_prefix(root).unwrap().to_string_lossy().replace('\\', "/");
                self.add(&name, &fs::read_to_string(&path).unwrap());
            }
        }
    }

    /// Adds a file by its path from the root, such as `json/mod.rs`.
    fn add(&mut self, file: &str, text: &str) {
        let name = file.strip_suffix(".rs").unwrap();
        let name = name.strip_suffix("/mod").unwrap_or(name);
        let module: Module = if name == "lib" { Vec::new() } else { name.split('/').map(str::to_owned).collect() };
        self.tokens.insert(module.clone(), without_tests(&tokens(text)));
        self.files.insert(module, file.to_owned());
    }

    /// What every module imports.
    fn imports(&self) -> Imports {
        let roots = self.re_exports();
        let macros = self.macros();
        let mut imports = Imports::new();
        for (module, tokens) in &self.tokens {
            let used = tokens.windows(3).filter(|three| three[1] == "!" && three[2] != "=");
            let used = used.filter_map(|three| macros.get(&three[0])).flatten();
            let own = paths(tokens).into_iter().filter_map(|path| self.absolute(module, &path));
            for path in own.chain(used.cloned()) {
                let path = through(&roots, path);
                let to = self.module_of(&path);
                if to != *module && !to.is_empty() {
                    imports.insert((module.clone(), to));
                }
            }
        }
        imports
    }

    /// The names that the root of the crate takes from its modules, each with its path.
    fn re_exports(&self) -> BTreeMap<String, Module> {
        let root = Module::new();
        let uses = self.tokens.get(&root).map(|tokens| paths(tokens)).unwrap_or_default();
        let own = uses.into_iter().filter_map(|path| self.absolute(&root, &path));
        own.filter(|path| path.len() > 1).filter_map(|path| Some((path.last()?.clone(), path))).collect()
    }

    /// The paths in the body of every macro, by its name.
    fn macros(&self) -> BTreeMap<String, BTreeSet<Module>> {
        let mut macros: BTreeMap<String, BTreeSet<Module>> = BTreeMap::new();
        for (module, tokens) in &self.tokens {
            for at in (0..tokens.len()).filter(|at| tokens[*at] == "macro_rules") {
                let (Some(name), Some(body)) = (tokens.get(at + 2), tokens.get(at + 3..)) else { continue };
                let body = &body[..group(body)];
                let from_root = paths(body).into_iter().filter(|path| path[0] == "crate");
                let absolute = from_root.filter_map(|path| self.absolute(module, &path));
                macros.entry(name.clone()).or_default().extend(absolute);
            }
        }
        macros
    }

    /// A path from the root of the crate; none for one of another crate.
    fn absolute(&self, module: &Module, path: &[String]) -> Option<Module> {
        let mut base = module.clone();
        let mut rest = path;
        match rest.first()?.as_str() {
            "crate" => (base, rest) = (Vec::new(), &rest[1..]),
            "self" => rest = &rest[1..],
            "super" => {
                while rest.first().is_some_and(|part| part == "super") {
                    base.pop();
                    rest = &rest[1..];
                }
            }
            first => {
                let child = [module.as_slice(), &[first.to_owned()]].concat();
                self.tokens.get(&child)?;
            }
        }
        Some([base.as_slice(), rest].concat())
    }

    /// The innermost module on a path.
    fn module_of(&self, path: &[String]) -> Module {
        let most = (0..=path.len()).rev().find(|length| self.tokens.contains_key(&path[..*length]));
        path[..most.unwrap_or(0)].to_vec()
    }

    /// How an import reads in a message.
    fn said(&self, (from, to): &(Module, Module)) -> String {
        let file = |module| self.files.get(module).map_or("lib.rs", String::as_str);
        format!("{} imports {}", file(from), file(to))
    }
}

/// The path itself, or where the root of the crate has its first name from.
fn through(roots: &BTreeMap<String, Module>, path: Module) -> Module {
    match path.first().and_then(|first| roots.get(first)) {
        Some(target) => [target.as_slice(), &path[1..]].concat(),
        None => path,
    }
}

/// Names and marks of a source text, without comments and texts; `::` is one mark.
fn tokens(text: &str) -> Vec<String> {
    let mut tokens = Vec::new();
    let mut rest = text;
    while let Some(first) = rest.chars().next() {
        let length = token_length(rest, first);
        let token = &rest[..length];
        if first.is_alphabetic() && !is_text(rest)
            || matches!(first, '_' | '!'..='/' | ':'..='@' | '['..='^' | '{'..='~')
        {
            let skipped = token.starts_with("//") || token.starts_with("/*") || token.starts_with(['"', '\'']);
            tokens.extend((!skipped).then(|| token.to_owned()));
        }
        rest = &rest[length..];
    }
    tokens
}

/// The bytes of the token, comment, text or space at the start of `rest`.
fn token_length(rest: &str, first: char) -> usize {
    let of_word =
        |text: &str| text.find(|letter: char| !letter.is_alphanumeric() && letter != '_').unwrap_or(text.len());
    if rest.starts_with("//") {
        return rest.find('\n').unwrap_or(rest.len());
    }
    if rest.starts_with("/*") {
        return rest.find("*/").map_or(rest.len(), |end| end + 2);
    }
    if is_text(rest) {
        return text_length(rest);
    }
    match first {
        ':' if rest.starts_with("::") => 2,
        '\'' => character_length(rest),
        _ if first.is_alphanumeric() || first == '_' => of_word(rest),
        _ => first.len_utf8(),
    }
}

/// Whether a text in quotes begins here, with or without letters before it.
fn is_text(rest: &str) -> bool {
    let raw = rest.trim_start_matches(['b', 'r', 'c']);
    rest.len() - raw.len() <= 2
        && (raw.starts_with('"') || raw.len() < rest.len() && raw.trim_start_matches('#').starts_with('"'))
}

fn text_length(rest: &str) -> usize {
    let quote = rest.find('"').unwrap();
    let before = &rest[..quote];
    if before.contains('r') {
        let end = format!("\"{}", "#".repeat(before.matches('#').count()));
        return rest[quote + 1..].find(&end).map_or(rest.len(), |at| quote + 1 + at + end.len());
    }
    let mut escaped = false;
    let end = rest[quote + 1..].find(|letter| {
        let ends = letter == '"' && !escaped;
        escaped = letter == '\\' && !escaped;
        ends
    });
    end.map_or(rest.len(), |at| quote + at + 2)
}

/// A character in quotes as a whole, or the quote of a lifetime alone.
fn character_length(rest: &str) -> usize {
    let mut letters = rest.char_indices().skip(1);
    match (letters.next(), letters.next()) {
        (Some((_, '\\')), Some(_)) => letters.find(|(_, letter)| *letter == '\'').map_or(rest.len(), |(at, _)| at + 1),
        (Some(_), Some((at, '\''))) => at + 1,
        _ => 1,
    }
}

/// The tokens without the items that only tests have.
fn without_tests(tokens: &[String]) -> Vec<String> {
    let marks = ["#", "[", "cfg", "(", "test", ")", "]"];
    let mut kept = Vec::new();
    let mut rest = tokens;
    while !rest.is_empty() {
        if rest.len() > marks.len() && rest[..marks.len()] == marks {
            rest = &rest[item(rest)..];
        } else {
            kept.push(rest[0].clone());
            rest = &rest[1..];
        }
    }
    kept
}

/// How many tokens an item has: up to its semicolon, or with its body.
fn item(tokens: &[String]) -> usize {
    let end = tokens.iter().position(|token| token == ";" || token == "{").unwrap_or(tokens.len() - 1);
    if tokens[end] == "{" { end + group(&tokens[end..]) } else { end + 1 }
}

/// How many tokens the group of brackets has that begins here.
fn group(tokens: &[String]) -> usize {
    let mut depth = 0;
    for (at, token) in tokens.iter().enumerate() {
        match token.as_str() {
            "{" | "(" | "[" => depth += 1,
            "}" | ")" | "]" => depth -= 1,
            _ => {}
        }
        if depth == 0 {
            return at + 1;
        }
    }
    tokens.len()
}

/// All paths that begin with `crate`, `self` or `super`, and those of imports, their groups expanded.
fn paths(tokens: &[String]) -> Vec<Vec<String>> {
    let mut found = Vec::new();
    let mut at = 0;
    while at < tokens.len() {
        let follows = |mark: &str| tokens.get(at + 1).is_some_and(|next| next == mark);
        match tokens[at].as_str() {
            "use" if !follows("<") => {
                let end = tokens[at..].iter().position(|token| token == ";").map_or(tokens.len(), |end| at + end);
                expand(&tokens[at + 1..end], &[], &mut found);
                at = end;
            }
            "crate" | "self" | "super" if follows("::") => {
                let path: Vec<String> = named(&tokens[at..]);
                at += 2 * path.len() - 1;
                found.push(path);
            }
            _ => at += 1,
        }
    }
    found
}

/// The names at the start that `::` joins.
fn named(tokens: &[String]) -> Vec<String> {
    let is_name = |token: &str| token.starts_with(|first: char| first.is_alphabetic() || first == '_');
    let mut path = vec![tokens[0].clone()];
    let mut rest = &tokens[1..];
    while let [mark, name, ..] = rest
        && mark == "::"
        && is_name(name)
    {
        path.push(name.clone());
        rest = &rest[2..];
    }
    path
}

/// Adds the paths of an import.
fn expand(tree: &[String], before: &[String], found: &mut Vec<Vec<String>>) {
    let tree = if tree.first().is_some_and(|first| first == "$") { &tree[1..] } else { tree };
    let open = tree.iter().position(|token| token == "{");
    let head = &tree[..open.unwrap_or(tree.len())];
    let head = head.split(|token| token == "as").next().unwrap_or_default();
    let names = head.iter().filter(|token| !matches!(token.as_str(), "::" | "*"));
    let path: Vec<String> = before.iter().chain(names).cloned().collect();
    let Some(open) = open else {
        if path.last().is_some_and(|last| last == "self") && path.len() > 1 {
            found.push(path[..path.len() - 1].to_vec());
        } else if !path.is_empty() {
            found.push(path);
        }
        return;
    };
    let inner = &tree[open + 1..open + group(&tree[open..]) - 1];
    let mut depth = 0;
    let entries = inner.split(|token| {
        depth += i32::from(token == "{") - i32::from(token == "}");
        token == "," && depth == 0
    });
    for entry in entries {
        expand(entry, &path, found);
    }
}

/// Which modules of a folder import which, each with one import between their files.
type Siblings = BTreeMap<(String, String), (Module, Module)>;

/// The imports among siblings, for every folder.
fn siblings(imports: &Imports) -> BTreeMap<Module, Siblings> {
    let mut folders: BTreeMap<Module, BTreeMap<_, _>> = BTreeMap::new();
    for (from, to) in imports {
        let shared = from.iter().zip(to).take_while(|(one, other)| one == other).count();
        if let (Some(one), Some(other)) = (from.get(shared), to.get(shared)) {
            let folder = folders.entry(from[..shared].to_vec()).or_default();
            folder.entry((one.clone(), other.clone())).or_insert_with(|| (from.clone(), to.clone()));
        }
    }
    folders
}

/// A circle of imports, if there is one: each module imports the next, and the last one the first.
fn circle<'g>(edges: impl Iterator<Item = &'g (String, String)> + Clone) -> Option<Vec<String>> {
    let mut left: BTreeMap<&str, Vec<&str>> = BTreeMap::new();
    for (from, to) in edges {
        left.entry(from).or_default().push(to);
    }
    // A module without imports among those that are left is in no circle.
    loop {
        let before = left.len();
        let inside: BTreeSet<&str> = left.keys().copied().collect();
        for to in left.values_mut() {
            to.retain(|to| inside.contains(to));
        }
        left.retain(|_, to| !to.is_empty());
        if left.len() == before {
            break;
        }
    }
    let mut way: Vec<&str> = vec![left.keys().next()?];
    loop {
        let next = left[way[way.len() - 1]][0];
        if let Some(begin) = way.iter().position(|one| *one == next) {
            return Some(way[begin..].iter().map(|one| (*one).to_owned()).collect());
        }
        way.push(next);
    }
}

/// The circles among siblings, one for each folder that has any, with the files that close it.
fn circles(sources: &Sources) -> Vec<String> {
    let mut printed = Vec::new();
    for (folder, edges) in siblings(&sources.imports()) {
        if let Some(circle) = circle(edges.keys()) {
            let pairs = circle.iter().zip(circle.iter().cycle().skip(1));
            let files: Vec<String> =
                pairs.map(|(one, other)| sources.said(&edges[&(one.clone(), other.clone())])).collect();
            printed.push(format!("in {}/: {}", folder.join("/"), files.join("; ")));
        }
    }
    printed
}

/// Imports of a layer above the own one.
fn upward(sources: &Sources, layers: &[&str]) -> Vec<String> {
    let layer = |module: &Module| layers.iter().position(|layer| module.first().is_some_and(|first| first == layer));
    let imports = sources.imports();
    let above = imports.iter().filter(|(from, to)| layer(from).is_some() && layer(from) < layer(to));
    above.map(|import| sources.said(import)).collect()
}

fn crates() -> [(&'static str, Sources); 3] {
    let root = Path::new(env!("CARGO_MANIFEST_DIR"));
    ["src", "schema/src", "generators/src"].map(|folder| (folder, Sources::read(&root.join(folder))))
}

#[test]
fn no_module_imports_a_layer_above_it() {
    let [(_, library), ..] = crates();
    for module in library.files.keys().filter_map(|module| module.first()) {
        assert!(LAYERS.contains(&module.as_str()), "{module} has no place among the layers");
    }
    let upward = upward(&library, LAYERS);
    assert!(upward.is_empty(), "imports from a layer above:\n{}", upward.join("\n"));
}

#[test]
fn siblings_do_not_import_each_other_in_a_circle() {
    let mut printed = Vec::new();
    for (folder, sources) in crates() {
        assert!(sources.imports().len() > 50, "{folder}: {} imports", sources.imports().len());
        printed.extend(circles(&sources).iter().map(|circle| format!("{folder}: {circle}")));
    }
    assert!(printed.is_empty(), "circles of imports:\n{}", printed.join("\n"));
}

fn tree(files: &[(&str, &str)]) -> Sources {
    let mut sources = Sources::default();
    for (file, text) in files {
        sources.add(file, text);
    }
    sources
}

#[test]
fn a_circle_is_found_and_named_with_its_files() {
    let files = [
        ("lib.rs", "mod low; mod high;"),
        ("low/mod.rs", "mod one; mod two; pub use one::A;"),
        ("low/one.rs", "use super::two::{self, B as Other};\npub struct A;"),
        ("low/two/mod.rs", "mod deep;"),
        ("low/two/deep.rs", "fn f() { crate::low::one::g(\"}\", '{'); }"),
        ("high.rs", "use crate::low::A;"),
    ];
    assert_eq!(
        circles(&tree(&files)),
        ["in low/: low/one.rs imports low/two/mod.rs; low/two/deep.rs imports low/one.rs"]
    );
}

#[test]
fn comments_texts_tests_and_parents_make_no_circle() {
    let files = [
        ("lib.rs", "mod one; mod two;"),
        (
            "one.rs",
            "//! crate::two\nconst A: &str = r#\"crate::two::\"#; /* crate::two::b */ #[cfg(test)] mod tests { use crate::two::b; fn c() {} }\nuse crate::three::x;",
        ),
        ("two.rs", "use crate::one::{a, b::{c, d}}; mod inner;"),
        ("two/inner.rs", "use super::super::one; use super::x; fn f<'a>(x: &'a str) {}"),
    ];
    assert!(circles(&tree(&files)).is_empty(), "{:?}", circles(&tree(&files)));
}

#[test]
fn a_macro_imports_where_it_is_used_and_the_root_hides_no_module() {
    let files = [
        ("lib.rs", "mod one; mod two; mod three; pub use three::Thing;"),
        ("one.rs", "macro_rules! make { () => { $crate::three::new() }; } pub(crate) use make;"),
        ("two.rs", "make!();"),
        ("three.rs", "use crate::two;"),
        ("four.rs", "use crate::Thing;"),
    ];
    let sources = tree(&files);
    assert_eq!(circles(&sources), ["in /: three.rs imports two.rs; two.rs imports three.rs"]);
    assert_eq!(upward(&sources, &["four", "three"]), ["four.rs imports three.rs"]);
}
