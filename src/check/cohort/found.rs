//! What rules across records find: small until it is told.

use oar_schema::time::Date;

use super::{Cohort, FactField, Facts, SEXES};
use crate::check::args::{Args, args};
use crate::check::finding::{Elsewhere, Finding, Place};
use crate::check::rule::Rule;

/// The values of a finding across records.
#[derive(Clone, Copy, Debug)]
pub(crate) enum AcrossValues {
    /// So many copies of one record.
    Copies(u32),
    /// So many different records have one id, of several patients or of one.
    SameId { records: u32, several_patients: bool },
    /// So many earlier exports of the record.
    ExportedAgain(u32),
    /// What was exported later ends earlier.
    EndsEarlier { last: i32, earlier: i32 },
    /// Two years of birth, and two words for sex where they differ too.
    BirthYears { year: i16, other: i16, sexes: Option<(u8, u8)>, more: u32 },
    /// Two words for sex.
    Sexes { sex: u8, other: u8, more: u32 },
    /// A treatment begins while another goes on, to a day or still, and so many more do.
    Overlap { from: i32, to: Option<i32>, more: u32 },
    /// A log of so many entries is that of another patient, and of so many more.
    SameLog { days: u16, more: u32 },
    /// So many versions of one system.
    Versions(u32),
}

impl AcrossValues {
    fn args(self) -> Args {
        let more = |mut args: Args, count: u32| {
            if count > 0 {
                args.extend(args!["more" = count]);
            }
            args
        };
        match self {
            Self::Copies(count) => args!["copies" = count],
            Self::SameId { records, several_patients: true } => args!["records" = records, "patients" = "several"],
            Self::SameId { records, several_patients: false } => args!["records" = records],
            Self::ExportedAgain(1) => args![],
            Self::ExportedAgain(count) => args!["earlier" = count],
            Self::EndsEarlier { last, earlier } => args!["last" = Date(last), "earlier" = Date(earlier)],
            Self::BirthYears { year, other, sexes, more: count } => {
                let mut args = args!["year" = i32::from(year), "other_year" = i32::from(other)];
                if let Some((sex, other)) = sexes {
                    args.extend(args!["sex" = word(sex), "other_sex" = word(other)]);
                }
                more(args, count)
            }
            Self::Sexes { sex, other, more: count } => more(args!["sex" = word(sex), "other_sex" = word(other)], count),
            Self::Overlap { from, to: Some(to), more: count } => {
                more(args!["from" = Date(from), "to" = Date(to)], count)
            }
            Self::Overlap { from, to: None, more: count } => more(args!["from" = Date(from)], count),
            Self::SameLog { days, more: count } => more(args!["days" = i32::from(days)], count),
            Self::Versions(count) => args!["versions" = count],
        }
    }
}

fn word(sex: u8) -> &'static str {
    SEXES.get(usize::from(sex).wrapping_sub(1)).map_or("", |sex| sex.as_str())
}

/// Something found across records, before it is placed.
#[derive(Clone, Copy, Debug)]
pub(crate) struct Hit {
    rule: &'static Rule,
    /// The record that it is placed in, and the other one, by their places among the facts.
    at: u32,
    other: u32,
    spot: FactField,
    other_spot: FactField,
    said: AcrossValues,
    /// What makes it the same finding in the next run.
    subject: u64,
}

/// Where rules across records put what they find.
#[derive(Debug, Default)]
pub struct Hits {
    pub(crate) rule: Option<&'static Rule>,
    hits: Vec<Hit>,
}

impl Hits {
    /// States something of a value in record `at`, and names the same kind of value in record `other`.
    pub(crate) fn add(
        &mut self,
        spot: FactField,
        (at, other): (u32, u32),
        subject: u64,
        said: AcrossValues,
    ) -> &mut Hit {
        #[expect(clippy::expect_used, reason = "the runner names the rule before it calls it")]
        let rule = self.rule.expect("a rule is running");
        self.hits.push(Hit { rule, at, other, spot, other_spot: spot, said, subject });
        let last = self.hits.len() - 1;
        &mut self.hits[last]
    }

    /// What was found, in the order of the files and of the records in them.
    pub(crate) fn in_order_of(mut self, cohort: &Cohort) -> Vec<Hit> {
        self.hits.sort_unstable_by_key(|hit| {
            let facts = &cohort.facts()[hit.at as usize];
            (facts.file, facts.number, hit.rule.name, hit.subject, hit.other)
        });
        self.hits
    }
}

impl Hit {
    pub(crate) fn across(&self, cohort: &Cohort) -> Across {
        let facts = |at: u32| &cohort.facts()[at as usize];
        let (here, there) = (facts(self.at), facts(self.other));
        let elsewhere = Elsewhere {
            file: cohort.file_name(there).to_owned(),
            record: u64::from(there.number),
            place: place(there, self.other_spot),
        };
        let level = cohort.levels().of(self.rule).unwrap_or(self.rule.level);
        let subject = format!("{:016x}{}", self.subject, self.spot.pointer());
        let finding = Finding {
            elsewhere: vec![elsewhere],
            record: cohort.id_of(here).map(str::to_owned),
            ..Finding::new(self.rule, level, place(here, self.spot), self.said.args(), subject)
        };
        let (file, record) = (cohort.file_name(here).to_owned(), u64::from(here.number));
        Across { file, record, had_findings: here.has_finding(), finding }
    }
}

fn place(facts: &Facts, spot: FactField) -> Place {
    let sex = SEXES.get(usize::from(facts.sex).wrapping_sub(1)).copied();
    facts.spots.place(spot, u64::from(facts.line), sex)
}

/// A finding across records, and the record that it is placed in.
#[derive(Clone, Debug)]
pub struct Across {
    /// The name of the file, as it was added.
    pub file: String,
    /// The place of the record in the file, from 1.
    pub record: u64,
    /// Whether something was found in that record by itself.
    pub had_findings: bool,
    /// The finding. The other record is named in [`Finding::elsewhere`].
    pub finding: Finding,
}
