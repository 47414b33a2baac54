//! Observations and procedures: check-ins, attachment events, visits, status, retention.

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
    /// A check of how the trays fit, and the decision that followed.
    CheckIn, CheckInRow {
        required {
            /// When it was made.
            at: Instant = r#""2031-04-12T19:20:00+02:00""#;
            /// The series of the tray that was checked.
            series: i32 [0..=50] = "0";
            /// The tray that was checked.
            tray: i32 [1..=200] = "7";
            /// How it was made: remotely or at the chair.
            mode: CheckInMode;
            /// What was decided.
            decision: Decision;
        }
        optional {
            /// Fit gaps between tray and teeth. A tooth without an entry was not observed; a tooth that fits has 0.
            fit_gaps: Vec<FitGap> [0..=52];
            /// The ids of attachments that were found debonded.
            attachments_debonded: Vec<Id> [0..=100] = r#"["A13"]"#;
            /// Other observations.
            observations: Vec<Observation> [0..=100];
            /// Advice given to the patient.
            advice: Vec<Advice> [0..=20];
            /// A note about the treatment, without anything that identifies the patient.
            note: String [0..=2000] = r#""upper left seats late""#;
            /// Data that other systems add to the check-in.
            extensions: Extensions;
        }
    }
}

object! {
    /// The visible gap between the tray and a tooth, at the incisal edge or cusp.
    FitGap, FitGapRow {
        required {
            /// The tooth.
            tooth: Tooth = "22";
            /// The size of the gap.
            gap_mm: Hundredths [0..=2000] = "0.5";
        }
        optional {}
    }
}

words! {
    /// What was observed at a check-in.
    ObservationKind {
        /// the tray is not fully seated
        NotSeated = "not_seated",
        /// the tray is cracked
        TrayCracked = "tray_cracked",
        /// the tray is discoloured
        TrayStained = "tray_stained",
        /// an edge of the tray is rough
        RoughEdge = "rough_edge",
        /// plaque on a tooth or tray
        Plaque = "plaque",
        /// swollen gums
        GumSwelling = "gum_swelling",
    }
}

object! {
    /// One observation at a check-in.
    Observation, ObservationRow {
        required {
            /// What was observed.
            what: ObservationKind;
        }
        optional {
            /// The tooth at which it was observed.
            tooth: Tooth = "24";
        }
    }
}

words! {
    /// Advice that a patient was given: a record of it, not a recommendation.
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
    /// The decision of a check-in.
    DecisionKind {
        /// the next tray may be started
        Advance = "advance",
        /// the current tray stays in for some more days
        Hold = "hold",
        /// an earlier tray goes back in
        StepBack = "step_back",
        /// the patient comes to the clinic before anything changes
        SeeInPerson = "see_in_person",
    }
}

object! {
    /// The decision of a check-in, with its details.
    Decision, DecisionRow {
        required {
            /// The kind of decision.
            kind: DecisionKind;
        }
        optional {
            /// For a hold: how many days the tray stays in beyond its due date.
            days: i32 [1..=365] = "5";
            /// For a step back: the tray to return to.
            to_tray: i32 [1..=200] = "6";
        }
    }
}

words! {
    /// What happened to an attachment.
    AttachmentChange {
        /// bonded, for the first time or again
        Bonded = "bonded",
        /// found debonded
        Debonded = "debonded",
        /// removed on purpose
        Removed = "removed",
    }
}

object! {
    /// A change of one attachment on one day.
    AttachmentEvent, AttachmentEventRow {
        required {
            /// The day.
            on: Date = r#""2031-02-03""#;
            /// The series whose plan contains the attachment.
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
    /// The reason for a visit.
    AppointmentReason {
        /// to start with trays
        Start = "start",
        /// to review progress
        Review = "review",
        /// to bond attachments
        Bonding = "bonding",
        /// to scan for a refinement
        Rescan = "rescan",
        /// to repair something
        Repair = "repair",
        /// for an urgent problem
        Urgent = "urgent",
        /// for a dental examination: the health of teeth and gums
        DentalExamination = "dental_examination",
        /// to end the treatment
        Finish = "finish",
        /// to review retention
        Retention = "retention",
    }
}

words! {
    /// A procedure.
    Procedure {
        /// attachments bonded
        AttachmentBonding = "attachment_bonding",
        /// attachments removed
        AttachmentRemoval = "attachment_removal",
        /// interproximal reduction (IPR): enamel removed between teeth
        InterproximalReduction = "interproximal_reduction",
        /// teeth scanned
        Scan = "scan",
        /// trays handed over
        TrayDelivery = "tray_delivery",
        /// a tray remade
        TrayReplacement = "tray_replacement",
        /// a tray trimmed or smoothed
        TrayAdjustment = "tray_adjustment",
        /// buttons or hooks for elastics placed
        ElasticPlacement = "elastic_placement",
        /// a tooth extracted elsewhere, on referral
        ExtractionByReferral = "extraction_by_referral",
        /// teeth polished
        Polishing = "polishing",
        /// teeth and gums cleaned
        Cleaning = "cleaning",
        /// small perforations made in the bone beside teeth
        MicroOsteoperforation = "micro_osteoperforation",
        /// vibration applied
        Vibration = "vibration",
        /// photographs taken
        Photographs = "photographs",
        /// a radiograph taken
        Radiograph = "radiograph",
        /// a wire bonded behind teeth to retain them
        BondedRetainer = "bonded_retainer",
        /// a retainer handed over
        RetainerDelivery = "retainer_delivery",
    }
}

object! {
    /// A visit to the clinic.
    Appointment, AppointmentRow {
        required {
            /// The day.
            on: Date = r#""2031-03-20""#;
            /// The reason for the visit.
            reason: AppointmentReason;
            /// Whether the patient came; false is a missed appointment.
            attended: bool = "true";
        }
        optional {
            /// The procedures carried out.
            procedures: Vec<Procedure> [0..=50];
            /// The interproximal reduction (IPR) carried out, contact by contact.
            interproximal_reductions: Vec<DoneReduction> [0..=50];
            /// A note about the visit, without anything that identifies the patient.
            note: String [0..=2000] = r#""contact 11-21 opened""#;
        }
    }
}

object! {
    /// Interproximal reduction (IPR) carried out at one contact.
    DoneReduction, DoneReductionRow {
        required {
            /// The two teeth of the contact.
            between: [Tooth; 2] = "[11, 21]";
            /// The total enamel removed, from both teeth together.
            amount_mm: Hundredths [0..=500] = "0.3";
        }
        optional {}
    }
}

words! {
    /// The state of a treatment.
    State {
        /// planned, no tray worn yet
        Planned = "planned",
        /// trays are being worn
        Active = "active",
        /// wear is interrupted for a time
        Paused = "paused",
        /// ended as planned
        Finished = "finished",
        /// ended before the plan was completed
        Discontinued = "discontinued",
        /// continued with fixed appliances
        Fixed = "fixed",
        /// continued at another clinic
        Transferred = "transferred",
    }
}

words! {
    /// The reason for the state of a treatment.
    StateReason {
        /// the goal is reached
        GoalReached = "goal_reached",
        /// the patient asked for it
        PatientWish = "patient_wish",
        /// the patient moved away
        MovedAway = "moved_away",
        /// health of teeth, gums or body
        Health = "health",
        /// the trays no longer fit
        PoorFit = "poor_fit",
        /// too little wear
        LowWear = "low_wear",
        /// another reason
        Other = "other",
    }
}

object! {
    /// The current state of the treatment.
    Status, StatusRow {
        required {
            /// The state.
            state: State;
            /// The day from which the state applies.
            since: Date = r#""2031-02-03""#;
        }
        optional {
            /// The reason. Omitted when it is not known.
            reason: StateReason;
        }
    }
}

object! {
    /// The phase after the treatment in which retainers hold the teeth in place.
    Retention, RetentionRow {
        required {
            /// The first day.
            from: Date = r#""2031-09-20""#;
            /// Prescribed minutes of retainer wear a day.
            wear_goal_minutes: i32 [0..=1440] = "1320";
        }
        optional {
            /// The last day. Omitted when no end is set.
            until: Date = r#""2032-09-20""#;
        }
    }
}
