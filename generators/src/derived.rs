//! The derived values of a record, by the definitions of the format, for the answer key.

use oar_schema::derived::arches::OfArch;
use oar_schema::derived::values::{Lag, OffAttachment, Values};
use oar_schema::limits::Limits;
use oar_schema::number::Hundredths;
use oar_schema::record::{Id, Record};
use oar_schema::teeth::Tooth;
use oar_schema::time::Date;

use crate::key::truths;

truths! {
    /// What a reader may want to compute of a record; null where the record does not hold what it takes. Shares have four places.
    Derived {
        /// Whole days from the first tray to the export.
        treatment_day: Option<i32>,
        /// Logged minutes over goal minutes times days logged, over the whole log.
        wear_share: Option<f64>,
        /// Days with an entry over days on which a tray was in.
        coverage: Option<f64>,
        /// Share of logged days with at least the floor.
        days_at_floor: Option<f64>,
        /// Longest run of consecutive logged days under the floor.
        low_run: Option<i32>,
        /// The day on which the tray that is in may be changed.
        tray_due: Option<Date>,
        /// Days beyond it.
        days_over: Option<i32>,
        /// Trays of the longer arch after the one that is in.
        trays_left: Option<i32>,
        /// Median days of the completed trays of the series that is worn.
        pace_days: Option<f64>,
        /// The day on which the series ends at that pace.
        projected_end: Option<Date>,
        /// Where each arch is, upper first, when the arches differ; null when they do not.
        per_arch: Option<Vec<ArchTold>>,
        /// Whether few trays are left and no later series is planned.
        rescan_due: Option<bool>,
        /// Contacts with a planned reduction that is due.
        reductions_due: Option<Vec<[Tooth; 2]>>,
        /// Teeth that lag at the latest check-in; null without check-ins.
        lagging_teeth: Option<Vec<LagTold>>,
        /// Attachments of the series that is worn which are off.
        attachments_off: Option<Vec<OffTold>>,
        /// Little's index of the first assessment, upper and lower.
        irregularity_mm: [Option<Hundredths>; 2],
        /// Bolton's ratios in percent, overall and anterior.
        bolton_percent: [Option<Hundredths>; 2],
    }

    /// Where one arch is.
    ArchTold {
        /// The arch: upper or lower.
        arch: &'static str,
        /// The series of its last stretch, or the one that is worn when it has none.
        series: i32,
        /// Its trays in that series.
        trays: i32,
        /// The tray that is in.
        tray: Option<i32>,
        /// Trays after it; 0 when the arch is finished.
        left: Option<i32>,
        /// The day on which the next tray may be put in; null when no tray follows.
        due: Option<Date>,
        /// The day on which the arch is through at its pace; null when it is finished.
        projected_end: Option<Date>,
        /// The day on which the arch was through with its trays.
        finished_on: Option<Date>,
    }

    /// A tooth that lags.
    LagTold {
        /// The tooth.
        tooth: Tooth,
        /// The check-ins in a row in which its gap was at least the threshold, the latest among them.
        check_ins: i32,
    }

    /// An attachment that is off.
    OffTold {
        /// Its id in the plan of the series.
        attachment: Id,
        /// Its tooth.
        tooth: Tooth,
        /// Whether it is missed: now, later or not.
        needed: &'static str,
    }
}

/// Works them out.
pub fn of(record: &Record, today: Date) -> Derived {
    let values = Values::of(record, today, Limits::default().lagging_gap_mm as i32);
    let lag = |lag: &Lag| LagTold { tooth: lag.tooth, check_ins: lag.check_ins };
    let arch = |arch: OfArch| ArchTold {
        arch: arch.arch.as_str(),
        series: arch.series,
        trays: arch.trays,
        tray: arch.tray,
        left: arch.left,
        due: arch.due,
        projected_end: arch.projected_end,
        finished_on: arch.finished_on,
    };
    let off = |off: OffAttachment| OffTold { attachment: off.attachment, tooth: off.tooth, needed: off.needed };
    Derived {
        treatment_day: values.treatment_day,
        wear_share: values.wear_share.map(places),
        coverage: values.coverage.map(places),
        days_at_floor: values.days_at_floor.map(places),
        low_run: values.low_run,
        tray_due: values.tray_due,
        days_over: values.days_over,
        trays_left: values.trays_left,
        pace_days: values.pace_days,
        projected_end: values.projected_end,
        per_arch: values.per_arch.map(|arches| arches.map(arch).to_vec()),
        rescan_due: values.rescan_due,
        reductions_due: values.reductions_due,
        lagging_teeth: values.lagging_teeth.map(|teeth| teeth.iter().map(lag).collect()),
        attachments_off: values.attachments_off.map(|list| list.into_iter().map(off).collect()),
        irregularity_mm: values.irregularity_mm,
        bolton_percent: values.bolton_percent,
    }
}

fn places(share: f64) -> f64 {
    (share * 10_000.0).round() / 10_000.0
}
