//! Single values.

use oar_schema::describe::{Bounds, Type};
use oar_schema::record::{Id, TimeZone, VERSION};
use oar_schema::teeth::{Notation, Tooth};
use oar_schema::time::{Date, Instant};
use oar_schema::words::Vocabulary;

use super::Walk;
use crate::finding::{Arg, args};
use crate::json::{Kind, NodeId, decimal, decode};
use crate::nearest::nearest;
use crate::rules::{self, shape};

impl Walk<'_> {
    pub(super) fn value(&mut self, node: NodeId, ty: &'static Type) {
        if self.skip.contains(&node) {
            return;
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
        let mut args = args!["expected" = expected, "found" = kind_name(kind)];
        if kind == Kind::Null {
            args.push(("null", "null".into()));
        }
        if kind == Kind::String && expected.contains("number") && decimal(inner(self.token(node))).is_some() {
            args.push(("quoted", "quoted".into()));
        }
        self.fault(&shape::wrong_type, node, args);
    }

    fn truth(&mut self, node: NodeId) {
        if !matches!(self.tree.node(node).kind, Kind::Bool(_)) {
            self.wrong_type(node, "true or false");
        }
    }

    fn whole(&mut self, node: NodeId, bounds: Bounds) {
        match self.tree.node(node).kind {
            Kind::Number => {}
            _ => return self.wrong_type(node, "a whole number"),
        }
        let number = decimal(self.token(node));
        if !number.is_some_and(|number| number.is_integer()) {
            let args = args!["expected" = "a whole number", "found" = self.number(node)];
            return self.fault(&shape::wrong_type, node, args);
        }
        let held = number.and_then(|number| number.as_integer()).is_some_and(|value| bounds.hold(value));
        if !held {
            let args = args!["value" = self.number(node), "least" = bounds.least, "most" = bounds.most];
            self.fault(&shape::out_of_range, node, args);
        }
    }

    fn hundredths(&mut self, node: NodeId, bounds: Bounds) {
        if self.tree.node(node).kind != Kind::Number {
            return self.wrong_type(node, "a number");
        }
        let token = self.token(node);
        let near = std::str::from_utf8(token).ok().and_then(|text| text.parse::<f64>().ok()).unwrap_or(f64::NAN);
        let within = (bounds.least as f64 / 100.0..=bounds.most as f64 / 100.0).contains(&near);
        let exact = decimal(token).and_then(|number| number.as_hundredths());
        if exact.map_or(!within, |value| !bounds.hold(value)) {
            let limit = |value: i64| Arg::Decimal(oar_schema::number::Hundredths(value as i32));
            let args =
                vec![("value", self.number(node).into()), ("least", limit(bounds.least)), ("most", limit(bounds.most))];
            self.fault(&shape::out_of_range, node, args);
        } else if exact.is_none() {
            self.fault(&shape::too_many_decimals, node, args!["value" = self.number(node)]);
        }
    }

    /// A number as it is written, cut when it is very long.
    fn number(&self, node: NodeId) -> String {
        let text = String::from_utf8_lossy(self.token(node)).into_owned();
        if text.len() <= 24 { text } else { format!("{}…", &text[..20]) }
    }

    fn word(&mut self, node: NodeId, vocabulary: &'static Vocabulary) {
        if self.tree.node(node).kind != Kind::String {
            return self.wrong_type(node, "a word");
        }
        let text = decode(self.token(node));
        if !vocabulary.words.iter().any(|word| word.word == text) {
            self.unknown_word(node, &text, vocabulary.words.iter().map(|word| word.word).collect());
        }
    }

    fn unknown_word(&mut self, node: NodeId, text: &str, words: Vec<&'static str>) {
        let mut args = args!["allowed" = words.join(", ")];
        if is_single_word(text) {
            args.push(("word", text.to_owned().into()));
        }
        args.extend(nearest(text, words.into_iter()).map(|meant| ("nearest", meant.into())));
        self.fault(&shape::unknown_word, node, args);
    }

    fn tooth(&mut self, node: NodeId) {
        self.teeth.push(node);
        if self.tree.node(node).kind != Kind::Number {
            return self.wrong_type(node, "a whole number, the FDI number of a tooth");
        }
        let value = decimal(self.token(node)).and_then(|number| number.as_integer());
        let code = value.and_then(|value| u8::try_from(value).ok());
        if code.and_then(Tooth::new).is_some() {
            return;
        }
        let mut args = args!["value" = self.number(node)];
        if let Some(tooth) = code.and_then(Tooth::reading_in_universal) {
            args.push(("tooth", tooth.into()));
            args.push(("name", tooth.name().into()));
            args.push(("notation", Notation::Universal.as_str().into()));
        }
        self.fault(&shape::not_a_tooth, node, args);
    }

    fn text(&mut self, node: NodeId, ty: &'static Type) {
        if self.tree.node(node).kind != Kind::String {
            return self.wrong_type(node, expected(ty));
        }
        let text = decode(self.token(node));
        match ty {
            Type::Date if Date::parse(text.as_bytes()).is_none() => self.not_a_date(node, &text),
            Type::Instant if Instant::parse(text.as_bytes()).is_none() => self.not_an_instant(node, &text),
            Type::TimeZone => self.time_zone(node, &text),
            Type::Id if !Id::fits(text.as_bytes()) => {
                self.fault(&shape::bad_id, node, args!["characters" = text.chars().count()]);
            }
            Type::Text(bounds) if !bounds.hold(text.chars().count() as i64) => {
                let args = args!["characters" = text.chars().count(), "most" = bounds.most];
                self.fault(&shape::too_long, node, args);
            }
            Type::Constant(constant) if text != *constant => self.unknown_word(node, &text, vec![constant]),
            Type::Version if text != VERSION.to_string() => self.unknown_word(node, &text, vec!["1.0"]),
            _ => {}
        }
    }

    fn not_a_date(&mut self, node: NodeId, text: &str) {
        let mut args = args![];
        if is_clockwork(text) {
            args.push(("value", text.to_owned().into()));
        }
        if Instant::parse(text.as_bytes()).is_some() {
            args.push(("instant", "an instant".into()));
        } else if has_date_shape(text) {
            args.push(("shape", "no such day".into()));
        }
        self.fault(&shape::not_a_date, node, args);
    }

    fn not_an_instant(&mut self, node: NodeId, text: &str) {
        let mut args = args![];
        if is_clockwork(text) {
            args.push(("value", text.to_owned().into()));
        }
        if Instant::parse(format!("{text}Z").as_bytes()).is_some() {
            args.push(("no_offset", "no offset".into()));
        }
        self.fault(&shape::not_an_instant, node, args);
    }

    fn time_zone(&mut self, node: NodeId, text: &str) {
        if TimeZone::fits(text.as_bytes()) && self.zones.find(text.as_bytes()).is_some() {
            return;
        }
        let mut args = args![];
        if TimeZone::fits(text.as_bytes()) {
            args.push(("value", text.to_owned().into()));
        }
        args.extend(self.zones.nearest(text).map(|name| ("nearest", name.into())));
        self.fault(&shape::not_a_time_zone, node, args);
    }

    /// The rule of that name, of a theme that is checked on records.
    pub(super) fn rule(name: &str) -> Option<&'static crate::rule::Rule> {
        rules::find(name)
    }
}

/// The text between the quotes.
fn inner(token: &[u8]) -> &[u8] {
    token.get(1..token.len() - 1).unwrap_or_default()
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

const fn expected(ty: &Type) -> &'static str {
    match ty {
        Type::Date => "a date such as \"2031-02-03\"",
        Type::Instant => "an instant such as \"2031-02-03T08:30:00+01:00\"",
        Type::TimeZone => "the name of a time zone such as \"Europe/Vienna\"",
        Type::Id => "an identifier",
        _ => "a text",
    }
}

/// Whether a text is one short word, as those of a vocabulary are.
fn is_single_word(text: &str) -> bool {
    (1..=24).contains(&text.len()) && text.bytes().all(|byte| byte.is_ascii_alphanumeric() || b"_-.".contains(&byte))
}

/// Whether a text is made of what dates and times are made of, and so says nothing else.
fn is_clockwork(text: &str) -> bool {
    (1..=35).contains(&text.len()) && text.bytes().all(|byte| byte.is_ascii_digit() || b"-:.+TZ/ ".contains(&byte))
}

/// `YYYY-MM-DD` by shape, whether or not there is such a day.
fn has_date_shape(text: &str) -> bool {
    text.len() == 10
        && text
            .bytes()
            .enumerate()
            .all(|(at, byte)| if at == 4 || at == 7 { byte == b'-' } else { byte.is_ascii_digit() })
}
