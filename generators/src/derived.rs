//! The derived values of a record, by the definitions of the format, for the answer key.

use oar_schema::derived::arches::OfArch;
use oar_schema::derived::values::{Lag, OffAttachment, Values};
use oar_schema::limits::Limits;
use oar_schema::number::Hundredths;
use oar_schema::record::{Id, Record};
use oar_schema::teeth::Tooth;
use oar_schema::time::Date;

use crate::json_objects::truths;

truths! {
    /// The values that follow from a record; null when the record does not contain what is needed. Shares have four decimal places.
    Derived {
        /// Whole days from the first tray to the export.
        treatment_day: Option<i32>,
        /// Logged minutes divided by goal minutes times days logged, over the whole log.
        wear_share: Option<f64>,
        /// Share of the days with a tray in that have a log entry.
        coverage: Option<f64>,
        /// Share of logged days that reach the wear minimum.
        days_at_floor: Option<f64>,
        /// Longest run of consecutive logged days below the wear minimum.
        low_run: Option<i32>,
        /// The day from which the current tray may be changed.
        tray_due: Option<Date>,
        /// Days past that day.
        days_over: Option<i32>,
        /// Trays of the longer arch after the current one.
        trays_left: Option<i32>,
        /// Median days of the completed trays of the current series.
        pace_days: Option<f64>,
        /// The day on which the series ends at that pace.
        projected_end: Option<Date>,
        /// The state of each arch, upper first, when the arches differ; null when they do not.
        per_arch: Option<Vec<ArchTold>>,
        /// Whether few trays are left and no later series is planned.
        rescan_due: Option<bool>,
        /// Contacts with a planned interproximal reduction that is due.
        reductions_due: Option<Vec<[Tooth; 2]>>,
        /// Teeth that lag at the latest check-in; null without check-ins.
        lagging_teeth: Option<Vec<LagTold>>,
        /// Debonded attachments of the current series.
        attachments_off: Option<Vec<OffTold>>,
        /// Little's index of the first assessment, upper and lower.
        irregularity_mm: [Option<Hundredths>; 2],
        /// Bolton's ratios in percent, overall and anterior.
        bolton_percent: [Option<Hundredths>; 2],
    }

    /// The state of one arch.
    ArchTold {
        /// The arch: upper or lower.
        arch: &'static str,
        /// The series of its last wear period, or the current series when it has none.
        series: i32,
        /// Its trays in that series.
        trays: i32,
        /// The tray that is in.
        tray: Option<i32>,
        /// Trays after it; 0 when the arch is finished.
        left: Option<i32>,
        /// The day from which the next tray may be put in; null when no tray follows.
        due: Option<Date>,
        /// The day on which the arch will be finished at its pace; null when it is finished.
        projected_end: Option<Date>,
        /// The day on which the arch finished its trays.
        finished_on: Option<Date>,
    }

    /// A lagging tooth.
    LagTold {
        /// The tooth.
        tooth: Tooth,
        /// Consecutive check-ins, including the latest, at which its fit gap was at least the threshold.
        check_ins: i32,
    }

    /// A debonded attachment.
    OffTold {
        /// Its id in the plan of the series.
        attachment: Id,
        /// Its tooth.
        tooth: Tooth,
        /// Whether it is needed: now, later or not.
        needed: &'static str,
    }
}

/// Computes them.
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
