//! Single values: numbers, words, teeth, true and false. Texts are in `texts`.

use oar_schema::describe::{Bounds, Field, Type};
use oar_schema::number::Hundredths;
use oar_schema::teeth::Tooth;
use oar_schema::words::Vocabulary;

use super::readings::with_separator;
use super::{Walk, meant, told};
use crate::check::args::{Arg, Args, args};
use crate::check::rules::{self, shape};
use crate::json::{Kind, NodeId, decimal, decode};

/// The Universal codes of teeth; those of supernumerary teeth follow from 51 on.
const UNIVERSAL: std::ops::RangeInclusive<u8> = 1..=32;

/// What belongs where a tooth does.
const TOOTH: &str = "a tooth's FDI number";

impl Walk<'_> {
    pub(super) fn value(&mut self, node: NodeId, ty: &'static Type) {
        if self.skip.binary_search(&node).is_ok() {
            return self.lose(node);
        }
        match ty {
            Type::Object(object) => self.object(node, object),
            Type::List(of, bounds) => self.list(node, of, *bounds),
            Type::Word(vocabulary) => self.word(node, vocabulary),
            Type::Whole(bounds) => self.whole(node, *bounds),
            Type::Hundredths(bounds) => self.hundredths(node, *bounds),
            Type::Truth => self.truth(node),
            Type::Tooth => self.tooth(node),
            Type::Extensions => self.extensions(node),
            Type::Date
            | Type::Instant
            | Type::TimeZone
            | Type::Id
            | Type::Text(_)
            | Type::Constant(_)
            | Type::Version => {
                self.text(node, ty);
            }
        }
    }

    /// A value of another type than `expected`. The value itself is not told: it could be anything.
    pub(super) fn wrong_type(&mut self, node: NodeId, expected: &'static str) {
        let kind = self.tree.node(node).kind;
        let quoted = self.quoted(node, expected);
        let mut args = args!["expected" = expected, "found" = quoted.unwrap_or_else(|| kind_name(kind))];
        if quoted.is_some() {
            args.push(("quoted", "quotes".into()));
        }
        args.extend(self.minutes_meant(node));
        args.extend(self.slip(node, expected));
        if expected == TOOTH {
            args.extend(self.tooth_meant(node));
        }
        match kind {
            Kind::Null => args.extend(self.null(node)),
            Kind::Array if self.tree.children(node).count() == 1 => args.push(("unlist", "square brackets".into())),
            Kind::Array => {}
            _ if expected == "a list" => args.push(("single", "square brackets".into())),
            _ if expected == "a word" => args.extend(self.words().map(|words| ("words", words.into()))),
            _ => {}
        }
        self.fault(&shape::wrong_type, node, args);
    }

    /// What the quotes hold, when it would be right without them.
    fn quoted(&self, node: NodeId, expected: &str) -> Option<&'static str> {
        if self.tree.node(node).kind != Kind::String {
            return None;
        }
        let token = self.token(node);
        let inner = token.get(1..token.len() - 1).unwrap_or_default();
        match inner {
            b"true" | b"false" if expected == "true or false" => Some("true or false"),
            _ if expected == TOOTH && !is_fdi(inner) => None,
            _ if expected.contains("number") && decimal(inner).is_some() => Some("a number"),
            _ => None,
        }
    }

    /// The words that the field takes, each or in a list.
    fn words(&self) -> Option<String> {
        let mut ty = &self.field?.ty;
        while let Type::List(of, _) = ty {
            ty = of;
        }
        match ty {
            Type::Word(vocabulary) => Some(listed(vocabulary)),
            _ => None,
        }
    }

    /// What to do about a null.
    fn null(&self, node: NodeId) -> Args {
        match self.field.filter(|_| self.tree.node(node).key.is_some()) {
            Some(field) if field.required => args!["required" = field.name],
            Some(field) => args!["optional" = field.name],
            None => args!["entry" = "entry"],
        }
    }

    /// A value of another type, which is read anyway when its meaning is certain.
    fn wrong_type_of(&mut self, node: NodeId, expected: &'static str, meant: Option<String>) {
        self.wrong_type(node, expected);
        self.read_or_lose(node, meant);
    }

    /// Reads a value as what it means; without a meaning it is lost.
    pub(super) fn read_or_lose(&mut self, node: NodeId, meant: Option<String>) {
        match meant {
            Some(text) => self.read_as(node, text),
            None => self.lose(node),
        }
    }

    /// What the quotes around a value hold.
    fn unquoted(&self, node: NodeId) -> Option<&[u8]> {
        let quoted = self.tree.node(node).kind == Kind::String;
        let token = self.token(node);
        token.get(1..token.len() - 1).filter(|_| quoted)
    }

    fn truth(&mut self, node: NodeId) {
        if !matches!(self.tree.node(node).kind, Kind::Bool(_)) {
            let meant = self.unquoted(node).filter(|text| matches!(*text, b"true" | b"false"));
            let meant = meant.map(|text| String::from_utf8_lossy(text).into_owned());
            self.wrong_type_of(node, "true or false", meant);
        }
    }

    fn whole(&mut self, node: NodeId, bounds: Bounds) {
        if self.field.is_some_and(|field| field.name == "minutes") {
            self.minutes.push(node);
        }
        if self.tree.node(node).kind != Kind::Number {
            let value = self.unquoted(node).and_then(decimal).and_then(|number| number.as_integer());
            let meant = value.filter(|value| bounds.hold(*value)).map(|value| value.to_string());
            return self.wrong_type_of(node, "a whole number", meant);
        }
        let number = decimal(self.token(node));
        if !number.is_some_and(|number| number.is_integer()) {
            let mut args = args!["expected" = "a whole number", "found" = "a number with decimals"];
            args.extend(told::number(self.token(node)).map(|value| ("value", value.into())));
            args.extend(self.minutes_meant(node));
            self.fault(&shape::wrong_type, node, args);
            return self.lose(node);
        }
        let held = number.and_then(|number| number.as_integer()).is_some_and(|value| bounds.hold(value));
        if !held {
            self.out_of_range(node, bounds.least.into(), bounds.most.into());
        }
    }

    fn hundredths(&mut self, node: NodeId, bounds: Bounds) {
        if self.tree.node(node).kind != Kind::Number {
            let value = self.unquoted(node).and_then(decimal).and_then(|number| number.as_hundredths());
            let meant = value.filter(|value| bounds.hold(*value)).map(|value| Hundredths(value as i32).to_string());
            return self.wrong_type_of(node, "a number", meant);
        }
        let token = self.token(node);
        let near = std::str::from_utf8(token).ok().and_then(|text| text.parse::<f64>().ok()).unwrap_or(f64::NAN);
        let limit = |value: i64| Hundredths(value as i32);
        let within = (limit(bounds.least).as_f64()..=limit(bounds.most).as_f64()).contains(&near);
        let exact = decimal(token).and_then(|number| number.as_hundredths());
        if exact.map_or(!within, |value| !bounds.hold(value)) {
            self.out_of_range(node, limit(bounds.least).into(), limit(bounds.most).into());
        } else if let (None, Some(meant)) = (exact, Hundredths::near(near)) {
            self.read_as(node, meant.to_string());
        } else if exact.is_none() {
            let mut args = self.number(node);
            let rounded = Hundredths((near * 100.0).round() as i32);
            args.push(("rounded", rounded.into()));
            self.fault(&shape::too_many_decimals, node, args);
            self.read_as(node, rounded.to_string());
        }
    }

    fn out_of_range(&mut self, node: NodeId, least: Arg, most: Arg) {
        let mut args = self.number(node);
        args.extend(self.seconds_meant(node));
        args.extend([("least", least), ("most", most)]);
        args.extend(self.field.and_then(Field::unit).map(|unit| ("unit", unit.into())));
        self.fault(&shape::out_of_range, node, args);
        self.lose(node);
    }

    /// A number as it is written, or how many digits it has.
    fn number(&self, node: NodeId) -> Args {
        let token = self.token(node);
        match told::number(token) {
            Some(value) => args!["value" = value],
            None => args!["digits" = token.iter().filter(|byte| byte.is_ascii_digit()).count()],
        }
    }

    fn word(&mut self, node: NodeId, vocabulary: &'static Vocabulary) {
        if self.tree.node(node).kind != Kind::String {
            return self.wrong_type_of(node, "a word", None);
        }
        let text = decode(self.token(node));
        if !vocabulary.words.iter().any(|word| word.word == text) {
            let words: Vec<&str> = vocabulary.words.iter().map(|word| word.word).collect();
            self.unknown_word(node, &text, &words);
        }
    }

    pub(super) fn unknown_word(&mut self, node: NodeId, text: &str, words: &[&'static str]) {
        let mut args = args!["allowed" = words.join(", ")];
        if words.len() > 1 && told::is_plain_word(text) {
            args.push(("written", text.to_owned().into()));
        }
        if words.len() == 1 {
            args.push(("only", words[0].into()));
        } else if let Some(meant) = meant::word(text, words) {
            args.push(("nearest", meant.into()));
        } else {
            args.extend(told::word(text).map(|word| ("word", word.into())));
        }
        args.extend(self.field.map(|field| ("field", field.name.into())));
        self.fault(&shape::unknown_word, node, args);
        self.lose(node);
    }

    fn tooth(&mut self, node: NodeId) {
        self.teeth.push(node);
        if self.tree.node(node).kind != Kind::Number {
            let meant = self.unquoted(node).and_then(certain_tooth).map(|tooth| tooth.to_string());
            return self.wrong_type_of(node, TOOTH, meant);
        }
        let value = decimal(self.token(node)).and_then(|number| number.as_integer());
        let code = value.and_then(|value| u8::try_from(value).ok());
        if code.and_then(Tooth::new).is_some() {
            return;
        }
        let mut args = self.number(node);
        if let Some((code, tooth)) = code.and_then(|code| Some((code, Tooth::reading_in_universal(code)?))) {
            let which = if UNIVERSAL.contains(&code) { "tooth" } else { "beside" };
            args.push((which, tooth.into()));
            args.extend(args!["name" = tooth.name(), "notation" = "Universal"]);
        }
        self.fault(&shape::not_a_tooth, node, args);
        self.lose(node);
    }

    /// The rule of that name, of a theme that is checked on records.
    pub(super) fn rule(name: &str) -> Option<&'static crate::check::rule::Rule> {
        rules::find(name)
    }
}

/// The tooth that a text can only mean: an FDI number, one with a separator, or a tooth in Palmer's notation.
fn certain_tooth(text: &[u8]) -> Option<Tooth> {
    let text = std::str::from_utf8(text).ok()?.trim();
    let fdi = decimal(text.as_bytes()).and_then(|number| number.as_integer());
    let fdi = fdi.and_then(|value| u8::try_from(value).ok()).and_then(Tooth::new);
    fdi.or_else(|| with_separator(text)).or_else(|| Tooth::from_palmer(text))
}

/// Whether a number as written is that of a tooth.
pub(super) fn is_fdi(text: &[u8]) -> bool {
    let value = decimal(text).and_then(|number| number.as_integer());
    value.and_then(|value| u8::try_from(value).ok()).and_then(Tooth::new).is_some()
}

/// The words of a vocabulary, with commas.
pub(super) fn listed(vocabulary: &Vocabulary) -> String {
    vocabulary.words.iter().map(|word| word.word).collect::<Vec<_>>().join(", ")
}

const fn kind_name(kind: Kind) -> &'static str {
    match kind {
        Kind::Object => "an object",
        Kind::Array => "a list",
        Kind::String => "a text",
        Kind::Number => "a number",
        Kind::Bool(_) => "true or false",
        Kind::Null => "null",
    }
}
