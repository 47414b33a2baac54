//! Wear: deliveries, wear periods, minutes a day, comfort.

use crate::object::object;
use crate::time::Date;
use crate::words::words;

object! {
    /// Trays handed to the patient on one day.
    Delivery, DeliveryRow {
        required {
            /// The day.
            on: Date = r#""2031-02-03""#;
            /// The series that the trays belong to.
            series: i32 [0..=50] = "0";
            /// The first tray.
            from_tray: i32 [1..=200] = "1";
            /// The last tray.
            to_tray: i32 [1..=200] = "12";
        }
        optional {}
    }
}

words! {
    /// The arches in which a tray was worn.
    Arches {
        /// upper and lower
        Both = "both",
        /// the upper only
        Upper = "upper",
        /// the lower only
        Lower = "lower",
    }
}

words! {
    /// How a wear period ended.
    WearEnd {
        /// the next tray followed
        Advanced = "advanced",
        /// an earlier tray followed
        SteppedBack = "stepped_back",
        /// the tray was lost
        Lost = "lost",
        /// the tray broke
        Broken = "broken",
        /// a later series replaced it
        ReplacedBySeries = "replaced_by_series",
        /// no tray followed
        Stopped = "stopped",
    }
}

object! {
    /// One wear period of one tray. A tray that is worn longer than prescribed is one longer entry, not two.
    WearPeriod, WearPeriodRow {
        required {
            /// The series of the tray.
            series: i32 [0..=50] = "0";
            /// The number of the tray.
            tray: i32 [1..=200] = "7";
            /// The arches in which it was worn.
            arches: Arches;
            /// The day on which it was put in.
            from: Date = r#""2031-04-04""#;
        }
        optional {
            /// The day on which it was changed for good; the next tray may begin on the same day. Omitted while it is worn.
            to: Date = r#""2031-04-14""#;
            /// How the wear period ended. Omitted while it lasts.
            ended: WearEnd;
        }
    }
}

words! {
    /// The source of logged minutes.
    WearSource {
        /// reported by the patient
        Patient = "patient",
        /// measured by a sensor in the tray
        Sensor = "sensor",
        /// started and stopped by the patient in an app
        Timer = "timer",
    }
}

object! {
    /// Minutes of wear on one day, from local midnight to local midnight. Days with a clock change have 1380 or 1500
    /// minutes; other lengths exist.
    WearDay, WearDayRow {
        required {
            /// The day.
            on: Date = r#""2031-04-05""#;
            /// Minutes with the trays in.
            minutes: i32 [0..=1500] = "1290";
            /// The source of the minutes.
            source: WearSource;
        }
        optional {
            /// How many times the trays were taken out.
            removals: i32 [0..=200] = "5";
        }
    }
}

words! {
    /// Speech, compared with speech without trays.
    Speech {
        /// unchanged
        Unchanged = "unchanged",
        /// a little different
        SlightlyChanged = "slightly_changed",
        /// clearly different
        Changed = "changed",
    }
}

object! {
    /// How the patient felt on one day.
    Comfort, ComfortRow {
        required {
            /// The day.
            on: Date = r#""2031-02-04""#;
            /// Pain from 0 (none) to 10 (the worst imaginable).
            pain_0_10: i32 [0..=10] = "3";
        }
        optional {
            /// Speech, compared with speech without trays.
            speech: Speech;
        }
    }
}
