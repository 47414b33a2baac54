//! Writes the pages of the reference from the descriptions of the format.

use std::fmt::Write;

use oar_schema::describe::{Bounds, Described, Field, Object, Type};
use oar_schema::json_schema::{example, sentence, vocabularies};
use oar_schema::limits::{LIMITS, Limit};
use oar_schema::number::Hundredths;
use oar_schema::record::{Record, VERSION};
use oar_schema::words::Vocabulary;
use open_aligner_record::page;
use open_aligner_record::rule::Rule;

const NOTICE: &str = "<!-- Written from the code by `.ci/update`; do not edit. -->";

/// Where the pages of rules and of signals are, seen from `docs/reference/`.
const RULE_PAGES: &str = "../../src/check/rules";
pub(crate) const SIGNAL_PAGES: &str = "../../src/review/signals";

/// The pages, by file name.
pub(crate) fn pages() -> Vec<(String, String)> {
    let objects = Record::OBJECT.with_parts();
    let words = vocabularies(&objects);
    let mut pages = vec![("README.md".to_owned(), index(&objects, &words))];
    pages.extend(objects.iter().map(|object| (format!("{}.md", object.name), object_page(object))));
    pages.push(("words.md".to_owned(), words_page(&words)));
    pages
}

fn index(objects: &[&'static Object], words: &[&'static Vocabulary]) -> String {
    let mut text = format!(
        "# The format, version {VERSION}\n\n{NOTICE}\n\nEvery object of the format has a page; the words of all \
         vocabularies are on [one page](words.md). The JSON Schema says the same for programs: \
         [record.schema.json](../../../schema/v1/record.schema.json). What holds for all of it is in \
         [the principles](../format.md).\n\n| object | what it is |\n|---|---|\n"
    );
    for object in objects {
        writeln!(text, "| [{0}]({0}.md) | {1} |", object.name, sentence(object.doc)).unwrap();
    }
    writeln!(text, "\n{} objects, {} vocabularies.", objects.len(), words.len()).unwrap();
    text
}

fn object_page(object: &'static Object) -> String {
    let mut text = format!("# {}\n\n{NOTICE}\n\n{}\n", object.name, sentence(object.doc));
    table(&mut text, "Required", object.fields.iter().filter(|field| field.required));
    table(&mut text, "Optional: omitted when not known", object.fields.iter().filter(|field| !field.required));
    let members: Vec<String> = object.fields.iter().filter_map(member).collect();
    if !members.is_empty() {
        write!(text, "\n## Example\n\n```json\n{{\n{}\n}}\n```\n", members.join(",\n")).unwrap();
        text.push_str("\nObjects within the example are shown with their required fields.\n");
    }
    text
}

fn table<'f>(text: &mut String, heading: &str, fields: impl Iterator<Item = &'f Field>) {
    let rows: Vec<String> = fields.map(row).collect();
    if !rows.is_empty() {
        let head = "| field | type | unit | meaning | example |\n|---|---|---|---|---|";
        write!(text, "\n## {heading}\n\n{head}\n{}\n", rows.join("\n")).unwrap();
    }
}

fn row(field: &Field) -> String {
    let unit = field.unit().unwrap_or("");
    let example = example(field).filter(|_| !is_structured(&field.ty)).map(|value| format!("`{value}`"));
    format!(
        "| `{}` | {} | {unit} | {} | {} |",
        field.name,
        type_text(&field.ty),
        sentence(field.doc).replace('|', "\\|"),
        example.unwrap_or_default()
    )
}

fn member(field: &Field) -> Option<String> {
    Some(format!("  \"{}\": {}", field.name, example(field)?))
}

fn is_structured(ty: &Type) -> bool {
    match ty {
        Type::Object(_) => true,
        Type::List(of, _) => is_structured(of),
        _ => false,
    }
}

fn type_text(ty: &Type) -> String {
    match ty {
        Type::Object(object) => format!("[{0}]({0}.md)", object.name),
        Type::List(of, bounds) => format!("list of {} ({})", type_text(of), count(*bounds)),
        Type::Word(words) => format!("word of [{}](words.md#{})", words.name, words.name.to_lowercase()),
        Type::Whole(bounds) => format!("whole number, {} to {}", bounds.least, bounds.most),
        Type::Hundredths(bounds) => {
            let written = |value: i64| Hundredths(i32::try_from(value).unwrap());
            format!("number with at most two places, {} to {}", written(bounds.least), written(bounds.most))
        }
        Type::Truth => "true or false".to_owned(),
        Type::Tooth => "tooth, FDI number".to_owned(),
        Type::Date => "day, `YYYY-MM-DD`".to_owned(),
        Type::Instant => "instant, RFC 3339 with offset".to_owned(),
        Type::TimeZone => "IANA time zone name".to_owned(),
        Type::Id => "identifier: 1 to 64 of `A-Z a-z 0-9 . _ : -`, the first a letter or digit".to_owned(),
        Type::Text(bounds) => format!("text of at most {} characters", bounds.most),
        Type::Constant(text) => format!("always `\"{text}\"`"),
        Type::Version => format!("always `\"{VERSION}\"` in this version"),
        Type::Extensions => "object keyed by reverse domain name; any JSON inside".to_owned(),
    }
}

fn count(bounds: Bounds) -> String {
    match (bounds.least, bounds.most) {
        (least, most) if least == most => format!("exactly {most}"),
        (0, most) => format!("at most {most}"),
        (least, most) => format!("{least} to {most}"),
    }
}

fn words_page(words: &[&'static Vocabulary]) -> String {
    let mut text = format!(
        "# Words\n\n{NOTICE}\n\nThe closed vocabularies of the format. Words must be written exactly as shown.\n"
    );
    for vocabulary in words {
        write!(text, "\n## {}\n\n{}\n\n| word | meaning |\n|---|---|\n", vocabulary.name, sentence(vocabulary.doc))
            .unwrap();
        for word in vocabulary.words {
            writeln!(text, "| `{}` | {} |", word.word, word.doc.trim()).unwrap();
        }
    }
    text
}

/// The index of rules, by theme.
pub(crate) fn rules(all: impl Iterator<Item = &'static Rule>) -> String {
    let mut text = format!(
        "# Rules\n\n{NOTICE}\n\nEach rule has a page: what it checks, why, its sources, its limits, and examples that are also tests. `oar explain NAME` prints it.\n\n- **error**: the record contradicts the format, itself or the physical world.\n- **warning**: outside deliberate practice, probably a wrong number.\n- **note**: unusual, worth a look.\n\nLevels can be changed, and rules turned off, in [`oar.toml`](configuration.md).\n"
    );
    let mut theme = "";
    for rule in all {
        if rule.theme != theme {
            theme = rule.theme;
            write!(text, "\n## {}\n\n| rule | level | what it checks |\n|---|---|---|\n", theme.replace('_', " "))
                .unwrap();
        }
        let summary = page::summary(rule.page).replace('\n', " ");
        let first = summary.split_inclusive(". ").next().unwrap_or_default().trim();
        let file = format!("{RULE_PAGES}/{}/{}.md", rule.theme, rule.name);
        writeln!(text, "| [`{}`]({file}) | {} | {first} |", rule.name, rule.level.as_str()).unwrap();
    }
    text
}

/// The list of limits.
pub(crate) fn limits() -> String {
    let mut text = format!(
        "# Limits\n\n{NOTICE}\n\nEvery threshold of the rules and signals. The last column shows what supports the value, with one of four marks: `source`, `common practice, no source`, `from memory` and `assumption`. Set one with `--limit NAME=VALUE`, in [`oar.toml`](configuration.md), or in the library with `Limits::set`.\n\n| limit | value | minimum | maximum | meaning | support |\n|---|---|---|---|---|---|\n"
    );
    for limit in LIMITS {
        let Limit { name, doc, value, unit, range, basis, .. } = limit;
        let written = |value: i64| limit.written(value);
        let (value, least, most) = (written(*value), written(range.0), written(range.1));
        writeln!(text, "| `{name}` | {value} {unit} | {least} | {most} | {} | {basis} |", sentence(doc)).unwrap();
    }
    text
}
