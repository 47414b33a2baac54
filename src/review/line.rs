//! An entry of the worklist for programs: one line, described by `schema/review/v1/review.schema.json`.

use oar_schema::derived::values::Values;
use oar_schema::record::State;
use oar_schema::time::Date;
use serde::Serialize;
use serde_json::{Value, json};

use super::entry::Entry;
use super::finish::Finish;
use super::{Priority, Raised};
use crate::check::args::ByName;
#[cfg(feature = "schemas")]
use crate::check::finding::POINTER;

/// The review of one record on one day. Record-keeping and test data, not a medical device.
#[derive(Serialize)]
#[cfg_attr(feature = "schemas", derive(schemars::JsonSchema), schemars(deny_unknown_fields))]
pub(crate) struct Line<'a> {
    #[cfg_attr(feature = "schemas", schemars(extend("const" = "review")))]
    r#type: &'static str,
    /// The file; - is standard input.
    file: &'a str,
    /// The number of the record in the file, from 1.
    #[cfg_attr(feature = "schemas", schemars(range(min = 1)))]
    record: u64,
    id: &'a str,
    patient: &'a str,
    /// The day of the review.
    day: Date,
    state: State,
    /// The current series; when each arch wears its own tray, that of the arch with more trays to come.
    #[cfg_attr(feature = "schemas", schemars(range(min = 0)))]
    series: Option<i32>,
    /// The current tray; when each arch wears its own tray, that of the arch with more trays to come.
    #[cfg_attr(feature = "schemas", schemars(range(min = 1)))]
    tray: Option<i32>,
    /// Trays of the longer arch of that series; when each arch wears its own tray, that of the arch with more trays to come.
    #[cfg_attr(feature = "schemas", schemars(range(min = 0)))]
    trays: Option<i32>,
    /// The most urgent priority of its signals.
    priority: Option<Priority>,
    /// The most urgent first.
    signals: Vec<SignalLine<'a>>,
    /// Values that follow from the record, as docs/reference/derived.md defines them; null where the record does not hold what it
    /// takes. Shares are not rounded.
    values: &'a Values,
    /// Intervals of the end; docs/how-to/review.md says how they are made.
    finish: Option<Finish>,
}

/// Something that somebody should look at; never a treatment.
#[derive(Serialize)]
#[cfg_attr(feature = "schemas", derive(schemars::JsonSchema), schemars(deny_unknown_fields))]
struct SignalLine<'a> {
    /// Its name; docs/reference/signals.md lists them.
    #[cfg_attr(feature = "schemas", schemars(regex(pattern = "^[a-z]+(_[a-z]+)*$")))]
    signal: &'static str,
    priority: Priority,
    /// What to look at, in numbers.
    #[cfg_attr(feature = "schemas", schemars(length(min = 1)))]
    message: String,
    /// What would usually be considered.
    consider: Option<String>,
    /// The arguments of the message, by name.
    args: ByName<'a>,
    /// The values behind it, as JSON Pointers (RFC 6901) from the record, the most informative one first.
    #[cfg_attr(feature = "schemas", schemars(length(min = 1), inner(regex(pattern = POINTER))))]
    fields: Vec<String>,
}

impl Entry {
    /// The entry as JSON.
    pub fn json(&self) -> Value {
        let [series, tray, trays] = self.tray.map_or([None; 3], |tray| tray.map(Some));
        json!(Line {
            r#type: "review",
            file: &self.file,
            record: self.record,
            id: &self.id,
            patient: &self.patient,
            day: self.day,
            state: self.state,
            series,
            tray,
            trays,
            priority: self.priority(),
            signals: self.raised.iter().map(SignalLine::of).collect(),
            values: &self.values,
            finish: self.finish,
        })
    }
}

impl<'a> SignalLine<'a> {
    fn of(raised: &'a Raised) -> Self {
        Self {
            signal: raised.signal.name,
            priority: raised.priority,
            message: raised.message(),
            consider: raised.consider(),
            args: ByName(&raised.args),
            fields: raised.pointers(),
        }
    }
}
