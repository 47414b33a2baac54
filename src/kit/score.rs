//! Compares answers with a manifest.

use std::collections::{BTreeMap, BTreeSet};

use serde::Serialize;
use serde_json::{Value as Json, json};

use super::answers::{Answer, AnsweredLocation};
use super::derived_values::agree;
use super::manifest::{CaseKind, Expected, KitCase, Manifest, VERSION};

/// How often answers were right.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq, Serialize)]
#[cfg_attr(feature = "schemas", derive(schemars::JsonSchema), schemars(deny_unknown_fields))]
pub struct AnswerTally {
    /// Right answers.
    pub right: u64,
    /// Wrong ones.
    pub wrong: u64,
    /// Not claimed, although the case was answered.
    pub not_claimed: u64,
}

impl AnswerTally {
    fn add(&mut self, right: Option<bool>) {
        match right {
            Some(true) => self.right += 1,
            Some(false) => self.wrong += 1,
            None => self.not_claimed += 1,
        }
    }
}

/// A wrong part of an answer.
#[derive(Clone, Debug, PartialEq, Serialize)]
#[cfg_attr(feature = "schemas", derive(schemars::JsonSchema), schemars(deny_unknown_fields))]
pub struct WrongAnswer {
    /// The case.
    pub case: String,
    /// The subject: accepted, places, or the name of a derived value.
    pub what: String,
    /// What was expected.
    pub expected: Json,
    /// What was answered.
    pub answered: Json,
    /// The finding of the case, if the answer was about it.
    #[serde(skip_serializing_if = "Option::is_none")]
    #[cfg_attr(feature = "schemas", schemars(with = "Expected"))]
    pub finding: Option<Expected>,
}

/// The result of scoring answers.
#[derive(Clone, Debug, PartialEq, Serialize)]
#[cfg_attr(feature = "schemas", derive(schemars::JsonSchema), schemars(deny_unknown_fields))]
pub struct Score {
    /// The version of the score.
    #[cfg_attr(feature = "schemas", schemars(extend("const" = VERSION)))]
    pub version: String,
    /// Prefixes of the names of the scored cases; all cases when there are none.
    pub only: Vec<String>,
    /// The number of scored cases.
    pub cases: u64,
    /// Whether nothing is wrong, missing, doubled or unknown.
    pub all_right: bool,
    /// Whether cases were accepted as expected, by kind.
    #[cfg_attr(feature = "schemas", schemars(extend("propertyNames" = {"enum": CaseKind::ALL})))]
    pub accepted: BTreeMap<CaseKind, AnswerTally>,
    /// Whether the location of the fault was named, in cases with a fault that were otherwise answered correctly.
    pub places: AnswerTally,
    /// The derived values, by name.
    pub derived: BTreeMap<String, AnswerTally>,
    /// Everything that is wrong.
    pub wrong: Vec<WrongAnswer>,
    /// Cases without an answer.
    pub missing: Vec<String>,
    /// Cases with more than one answer: the first counts.
    pub doubled: Vec<String>,
    /// Answers to names that are not cases of the kit.
    pub unknown: Vec<String>,
}

impl Score {
    /// Compares answers with a manifest. `only` has prefixes of the names of the cases to score; empty means all.
    pub fn new(manifest: &Manifest, answers: &[Answer], only: &[String]) -> Self {
        let asked: Vec<&KitCase> = manifest.cases.iter().filter(|case| is_asked(&case.case, only)).collect();
        let mut first: BTreeMap<&str, &Answer> = BTreeMap::new();
        let mut doubled = BTreeSet::new();
        for answer in answers {
            if first.contains_key(answer.case.as_str()) {
                doubled.insert(answer.case.clone());
            } else {
                first.insert(&answer.case, answer);
            }
        }
        let known: BTreeSet<&str> = manifest.cases.iter().map(|case| case.case.as_str()).collect();
        let unknown = first.keys().filter(|name| !known.contains(*name)).map(|name| (*name).to_owned()).collect();
        doubled.retain(|name| known.contains(name.as_str()) && is_asked(name, only));
        let mut score = Self::empty(manifest, only);
        (score.cases, score.unknown, score.doubled) = (asked.len() as u64, unknown, doubled.into_iter().collect());
        for case in asked {
            match first.get(case.case.as_str()) {
                Some(answer) => score.case(manifest, case, answer),
                None => score.missing.push(case.case.clone()),
            }
        }
        score.all_right = score.wrong.is_empty()
            && [&score.missing, &score.doubled, &score.unknown].iter().all(|list| list.is_empty());
        score
    }

    fn empty(manifest: &Manifest, only: &[String]) -> Self {
        Self {
            version: VERSION.to_owned(),
            only: only.to_vec(),
            cases: 0,
            all_right: false,
            accepted: BTreeMap::new(),
            places: AnswerTally::default(),
            derived: manifest.values.iter().map(|value| (value.name.clone(), AnswerTally::default())).collect(),
            wrong: Vec::new(),
            missing: Vec::new(),
            doubled: Vec::new(),
            unknown: Vec::new(),
        }
    }

    fn case(&mut self, manifest: &Manifest, case: &KitCase, answer: &Answer) {
        let taken = answer.accepted.map(|accepted| accepted == case.accepted);
        self.accepted.entry(case.kind).or_default().add(taken);
        if taken == Some(false) {
            self.wrong(case, "accepted", case.accepted.into(), answer.accepted.into(), case.finding.clone());
        }
        if let Some(finding) = &case.finding
            && taken != Some(false)
        {
            let named = (!answer.places.is_empty()).then(|| answer.places.iter().any(|place| is_at(place, finding)));
            self.places.add(named);
            if named == Some(false) {
                let expected = json!({"record": finding.record, "pointer": finding.pointer});
                let answered = answer.places.iter().map(|at| json!({"record": at.record, "pointer": at.pointer}));
                self.wrong(case, "places", expected, answered.collect(), Some(finding.clone()));
            }
        }
        self.derived(manifest, case, answer);
    }

    fn derived(&mut self, manifest: &Manifest, case: &KitCase, answer: &Answer) {
        let Some(expected) = &case.derived else { return };
        for value in &manifest.values {
            let Some(expected) = expected.get(&value.name) else { continue };
            let answered = answer.derived.get(&value.name);
            let right = answered.map(|answered| agree(expected, answered, value.tolerance));
            self.derived.entry(value.name.clone()).or_default().add(right);
            if let (Some(false), Some(answered)) = (right, answered) {
                self.wrong(case, &value.name, expected.clone(), answered.clone(), None);
            }
        }
        let no_value = answer.derived.keys().filter(|name| !manifest.values.iter().any(|value| value.name == **name));
        for name in no_value {
            self.wrong(case, name, "no value of that name".into(), answer.derived[name].clone(), None);
        }
    }

    fn wrong(&mut self, case: &KitCase, what: &str, expected: Json, answered: Json, finding: Option<Expected>) {
        self.wrong.push(WrongAnswer { case: case.case.clone(), what: what.to_owned(), expected, answered, finding });
    }
}

/// Whether a case is scored: its name is one of those, begins with one and `/`, or is one with a number.
fn is_asked(case: &str, only: &[String]) -> bool {
    let begins = |only: &String| {
        case.strip_prefix(only.trim_end_matches('/')).is_some_and(|rest| {
            let number = rest.strip_prefix('-').is_some_and(|rest| rest.bytes().all(|byte| byte.is_ascii_digit()));
            rest.is_empty() || rest.starts_with('/') || number
        })
    };
    only.is_empty() || only.iter().any(begins)
}

/// Whether a location matches that of a finding: the value itself, its parent, or something within it. For a missing or unknown
/// field, validators name the object or the field.
fn is_at(place: &AnsweredLocation, finding: &Expected) -> bool {
    let parent = finding.pointer.rsplit_once('/').map_or("", |(parent, _)| parent);
    let within =
        place.pointer.strip_prefix(&finding.pointer).is_some_and(|rest| rest.is_empty() || rest.starts_with('/'));
    place.record == finding.record && (within || place.pointer == parent)
}

/// Whether some prefix in `only` matches no case, and so is a typing error.
pub fn asks_for_nothing<'o>(manifest: &Manifest, only: &'o [String]) -> Option<&'o str> {
    let fits = |name: &&String| manifest.cases.iter().any(|case| is_asked(&case.case, std::slice::from_ref(*name)));
    only.iter().find(|name| !fits(name)).map(String::as_str)
}
