//! What was seen and done: check-ins, attachment events, visits, status, retention.

use crate::number::Hundredths;
use crate::object::object;
use crate::record::{Extensions, Id};
use crate::teeth::Tooth;
use crate::time::{Date, Instant};
use crate::words::words;

words! {
    /// How a check-in was made.
    CheckInMode {
        /// from photographs or a video
        Remote = "remote",
        /// at the chair
        Chairside = "chairside",
    }
}

object! {
    /// A look at how the trays fit, and what was decided.
    CheckIn, CheckInRow {
        required {
            /// When it was made.
            at: Instant = r#""2031-04-12T19:20:00+02:00""#;
            /// The series of the tray that was looked at.
            series: i32 [0..=50] = "0";
            /// The tray that was looked at.
            tray: i32 [1..=200] = "7";
            /// How it was made.
            mode: CheckInMode;
            /// What was decided.
            decision: Decision;
        }
        optional {
            /// Gaps between tray and teeth. A tooth without an entry was not seen; a tooth that fits has 0.
            gaps: Vec<Gap> [0..=52];
            /// The attachments, by id, that were seen to be off.
            attachments_off: Vec<Id> [0..=100] = r#"["A13"]"#;
            /// What else was seen.
            seen: Vec<Seen> [0..=100];
            /// What the patient was told.
            advice: Vec<Advice> [0..=20];
            /// A note about the treatment, without anything that says who the patient is.
            note: String [0..=2000] = r#""upper left seats late""#;
            /// What others add to the check-in.
            extensions: Extensions;
        }
    }
}

object! {
    /// The visible space between the tray and a tooth, at its incisal edge or cusp.
    Gap, GapRow {
        required {
            /// The tooth.
            tooth: Tooth = "22";
            /// The space.
            gap_mm: Hundredths [0..=2000] = "0.5";
        }
        optional {}
    }
}

words! {
    /// What was seen at a check-in.
    Sight {
        /// the tray does not sit all the way down
        TrayLifting = "tray_lifting",
        /// the tray has a crack
        TrayCracked = "tray_cracked",
        /// the tray has changed colour
        TrayStained = "tray_stained",
        /// an edge of the tray is rough
        RoughEdge = "rough_edge",
        /// plaque on tooth or tray
        Plaque = "plaque",
        /// swollen gum
        GumSwelling = "gum_swelling",
    }
}

object! {
    /// Something that was seen at a check-in.
    Seen, SeenRow {
        required {
            /// What it was.
            what: Sight;
        }
        optional {
            /// The tooth at which it was seen.
            tooth: Tooth = "24";
        }
    }
}

words! {
    /// What a patient was told: a record of it, not a recommendation.
    Advice {
        /// to seat the trays with a seating rubber
        SeatMore = "seat_more",
        /// to press the trays over the attachments
        PressAttachments = "press_attachments",
        /// to wear the trays longer each day
        WearMore = "wear_more",
        /// to clean teeth or trays more
        CleanMore = "clean_more",
        /// to smooth an edge
        SmoothEdge = "smooth_edge",
        /// to cover an edge with wax
        Wax = "wax",
        /// to call the clinic
        Call = "call",
    }
}

words! {
    /// What a check-in decided.
    DecisionKind {
        /// the next tray may be started
        Advance = "advance",
        /// this tray stays in for some days more
        Hold = "hold",
        /// an earlier tray goes back in
        StepBack = "step_back",
        /// the patient comes in before anything changes
        SeeInPerson = "see_in_person",
    }
}

object! {
    /// What was decided at a check-in.
    Decision, DecisionRow {
        required {
            /// What it was.
            kind: DecisionKind;
        }
        optional {
            /// For a hold: the days that the tray stays in beyond its due day.
            days: i32 [1..=365] = "5";
            /// For a step back: the tray to return to.
            to_tray: i32 [1..=200] = "6";
        }
    }
}

words! {
    /// What happened to an attachment.
    AttachmentChange {
        /// bonded for the first time
        Bonded = "bonded",
        /// found to be off
        Lost = "lost",
        /// bonded again
        Rebonded = "rebonded",
        /// taken off on purpose
        Removed = "removed",
    }
}

object! {
    /// What happened to one attachment on one day.
    AttachmentEvent, AttachmentEventRow {
        required {
            /// The day.
            on: Date = r#""2031-02-03""#;
            /// The series whose plan has the attachment.
            series: i32 [0..=50] = "0";
            /// The attachment, by its id in the plan.
            attachment: Id = r#""A13""#;
            /// What happened.
            event: AttachmentChange;
        }
        optional {}
    }
}

words! {
    /// Why a visit was made.
    VisitReason {
        /// to start with trays
        Start = "start",
        /// to look at the course
        Review = "review",
        /// to bond attachments
        Bonding = "bonding",
        /// to scan for a refinement
        Rescan = "rescan",
        /// to mend something
        Repair = "repair",
        /// because it could not wait
        Urgent = "urgent",
        /// to check the health of teeth and gums
        DentalCheck = "dental_check",
        /// to end the treatment
        Finish = "finish",
        /// to look after retention
        Retention = "retention",
    }
}

words! {
    /// A procedure, by what it is.
    Done {
        /// attachments bonded
        AttachmentBonding = "attachment_bonding",
        /// attachments taken off
        AttachmentRemoval = "attachment_removal",
        /// enamel reduced between teeth
        InterproximalReduction = "interproximal_reduction",
        /// teeth scanned again
        Rescan = "rescan",
        /// trays handed over
        TrayDelivery = "tray_delivery",
        /// a tray made anew
        TrayReplacement = "tray_replacement",
        /// a tray trimmed or smoothed
        TrayAdjustment = "tray_adjustment",
        /// buttons or hooks for elastics placed
        ElasticPlacement = "elastic_placement",
        /// a tooth taken out elsewhere, on referral
        ExtractionByReferral = "extraction_by_referral",
        /// teeth polished
        Polishing = "polishing",
        /// teeth and gums cleaned
        Cleaning = "cleaning",
        /// small holes made in the bone beside teeth
        MicroOsteoperforation = "micro_osteoperforation",
        /// vibration applied
        Vibration = "vibration",
        /// photographs taken
        Photographs = "photographs",
        /// an x-ray picture taken
        Radiograph = "radiograph",
        /// a wire bonded behind teeth to hold them
        FixedRetainer = "fixed_retainer",
        /// a retainer handed over
        RetainerDelivery = "retainer_delivery",
    }
}

object! {
    /// A visit to the clinic.
    Visit, VisitRow {
        required {
            /// The day.
            on: Date = r#""2031-03-20""#;
            /// Why it was made.
            reason: VisitReason;
            /// Whether the patient came; false is a missed appointment.
            attended: bool = "true";
        }
        optional {
            /// What was done.
            done: Vec<Done> [0..=50];
            /// Enamel reductions that were done, contact by contact.
            reductions: Vec<ReductionDone> [0..=50];
            /// A note about the visit, without anything that says who the patient is.
            note: String [0..=2000] = r#""contact 11-21 opened""#;
        }
    }
}

object! {
    /// An interproximal enamel reduction that was done.
    ReductionDone, ReductionDoneRow {
        required {
            /// The two teeth.
            between: [Tooth; 2] = "[11, 21]";
            /// Enamel taken off in all, from both teeth together.
            amount_mm: Hundredths [0..=500] = "0.3";
        }
        optional {}
    }
}

words! {
    /// Where a treatment stands.
    State {
        /// planned, no tray worn yet
        Planned = "planned",
        /// trays are being worn
        Active = "active",
        /// trays are not worn for a while
        Paused = "paused",
        /// ended as planned
        Finished = "finished",
        /// ended before the plan was through
        Discontinued = "discontinued",
        /// continued with fixed appliances
        Converted = "converted",
        /// continued at another clinic
        Transferred = "transferred",
    }
}

words! {
    /// Why a treatment came to its state.
    StateReason {
        /// what was wanted is reached
        GoalReached = "goal_reached",
        /// the patient wishes it so
        PatientWish = "patient_wish",
        /// the patient moved away
        MovedAway = "moved_away",
        /// health of teeth, gums or body
        Health = "health",
        /// the trays no longer fit
        PoorFit = "poor_fit",
        /// too few hours of wear
        LowWear = "low_wear",
        /// another reason
        Other = "other",
    }
}

object! {
    /// Where the treatment stands.
    Status, StatusRow {
        required {
            /// The state.
            state: State;
            /// The day since which it holds.
            since: Date = r#""2031-02-03""#;
        }
        optional {
            /// Why. Left out when it is not known.
            reason: StateReason;
        }
    }
}

object! {
    /// The phase after the treatment in which teeth are held where they are.
    Retention, RetentionRow {
        required {
            /// The first day.
            from: Date = r#""2031-09-20""#;
            /// Minutes a day that the retainers are to be worn.
            wear_goal_minutes: i32 [0..=1440] = "1320";
        }
        optional {
            /// The last day. Left out when no end is set.
            until: Date = r#""2032-09-20""#;
        }
    }
}
