//! Marks: what in a record is doubtful because one rule reports it, so that other rules leave it alone.
//!
//! One mistake gives one finding. A rule that would report the consequence of a mistake asks for the mark of the mistake, and
//! never for the rule that reports it. The table says which rules those are, so pages can list them. Tests hold that each rule
//! declares the marks that it asks for, and that each mark is needed.

macro_rules! marks {
    ($($(#[doc = $doc:literal])+ $variant:ident: $name:ident by ($($rule:ident),+);)+) => {
        /// One kind of doubt.
        #[derive(Clone, Copy, Debug, PartialEq, Eq)]
        pub enum Mark {
            $($(#[doc = $doc])+ $variant,)+
        }

        impl Mark {
            /// All marks.
            pub const ALL: &[Self] = &[$(Self::$variant),+];

            /// Its name, as rules declare it.
            pub const fn name(self) -> &'static str {
                match self {
                    $(Self::$variant => stringify!($name),)+
                }
            }

            /// The rules that report what is doubtful.
            pub const fn reported_by(self) -> &'static [&'static str] {
                match self {
                    $(Self::$variant => &[$(stringify!($rule)),+],)+
                }
            }
        }

        /// The mark of each name, for the tables of rules.
        pub(crate) mod named {
            $(#[allow(non_upper_case_globals, reason = "a mark has one name everywhere")]
            pub(crate) const $name: super::Marks = super::Marks::of(super::Mark::$variant);)+
        }
    };
}

marks! {
    /// The tooth numbers of the record are of another notation.
    ToothNumbers: tooth_numbers by (other_notation);
    /// A date is wrong by itself: after the export, before the birth, or years from all others.
    Dates: dates by (after_export, before_birth, date_far_off);
    /// The numbers of the series do not count 0, 1, 2 ….
    SeriesNumbers: series_numbers by (series_out_of_order, series_number_skipped);
    /// A series moves teeth with trays that it does not have, so that its count of trays may be too low.
    ArchCounts: tray_counts by (movement_outside_trays, movement_in_untreated_arch);
    /// The last trays of an arch move no tooth, so that its count of trays may be too high.
    IdleTrays: idle_trays by (idle_trays);
    /// A movement is wrong by itself.
    Movements: movements by (
        movement_backwards, movement_outside_trays, movement_twice, empty_movement, moves_too_fast, moves_impossibly_fast
    );
    /// A series moves a tooth that it cannot move, so that another tooth may be meant.
    FixedTeeth: fixed_teeth by (absent_tooth_moved, implant_moved, pontic_moved, extracted_tooth_moved);
    /// A series moves two neighbours into each other.
    SqueezedContacts: squeezed_contacts by (contact_squeezed);
    /// A series takes back what the series before it did, so that its signs may be wrong.
    OppositeSeries: opposite_series by (opposite_refinement);
    /// Two attachments of a series have the same id.
    AttachmentIds: attachment_ids by (attachment_id_repeated);
    /// An event or a check-in names an attachment that the plan does not have.
    UnknownAttachments: unknown_attachments by (unknown_attachment);
    /// The events of an attachment contradict each other.
    AttachmentEvents: attachment_events by (lost_before_bonded, bonded_twice, event_after_removal);
    /// A delivery names trays or a series that cannot be, or trays that were delivered before.
    Deliveries: deliveries by (delivery_backwards, delivery_beyond_series, delivery_overlaps, series_beyond_plan);
    /// A tray was worn before it was delivered.
    LateDeliveries: late_deliveries by (worn_before_delivery);
    /// A worn tray is not in the plan.
    UnplannedTrays: unplanned_trays by (tray_beyond_series, arch_not_treated, series_beyond_plan);
    /// A worn tray contradicts the one before or after it, or trays before it were skipped.
    WornTrays: worn_trays by (end_contradicts_next, tray_skipped);
    /// Days without a tray lie beside a worn tray.
    DaysWithoutTray: days_without_tray by (no_tray_between);
    /// A check-in names another tray than the one that was worn on its day.
    CheckInTrays: check_in_trays by (check_in_for_other_tray);
    /// A visit that the patient missed lists work.
    MissedVisits: missed_visits by (missed_visit_with_work);
    /// More enamel is removed at a contact than usual.
    LargeReductions: large_reductions by (reduction_too_large, reduction_over_half_enamel);
    /// The patient was very old at the start, so that the year of birth may be wrong.
    BirthYear: birth_year by (very_old);
    /// The treatment is finished, but its trays say otherwise.
    UnfinishedTrays: unfinished_trays by (state_contradicts_trays, finished_with_trays_left);
    /// An elastic does not hang as its pattern says.
    Elastics: elastics by (elastic_teeth_mismatch);
    /// A list of the dentition names absent teeth twice, or teeth that are moved, so that others may be meant.
    AbsentTeeth: absent_teeth by (tooth_listed_twice, absent_tooth_moved);
    /// The list of primary teeth has entries that cannot be right, so that others may be meant.
    PrimaryTeeth: primary_teeth by (tooth_listed_twice, permanent_tooth_in_primary, primary_beside_successor);
    /// The width of a crown is impossible.
    CrownWidths: crown_widths by (crown_width_implausible);
    /// Minutes of wear, logged or prescribed, look like another unit.
    WearUnits: wear_units by (unit_looks_wrong);
    /// The date of a log entry is out of order, or its day is logged twice.
    LogDates: log_dates by (day_logged_twice, log_out_of_order);
    /// A log entry has more minutes than its day.
    LogMinutes: log_minutes by (more_than_a_day);
    /// A fit gap is impossibly wide, so that gaps may be in another unit.
    WideGaps: wide_gaps by (gap_implausible);
    /// The decision of a check-in lacks what its kind needs, so that the kind may be wrong.
    IncompleteDecisions: incomplete_decisions by (hold_without_days, step_back_without_tray);
    /// The decision of a check-in contradicts its kind.
    ContradictoryDecisions: contradictory_decisions by (decision_with_extra, step_back_forward);
    /// A check-in is out of order in time.
    CheckInOrder: check_in_order by (check_in_out_of_order);
}

/// A set of marks.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq)]
pub struct Marks(u64);

impl Marks {
    /// No mark.
    pub const NONE: Self = Self(0);

    /// One mark.
    pub const fn of(mark: Mark) -> Self {
        Self(1 << mark as u64)
    }

    /// The marks of either set.
    #[must_use]
    pub const fn union(self, other: Self) -> Self {
        Self(self.0 | other.0)
    }

    /// Whether a mark is among them.
    pub const fn contains(self, mark: Mark) -> bool {
        self.0 & Self::of(mark).0 != 0
    }

    /// The marks, one after the other.
    pub fn iter(self) -> impl Iterator<Item = Mark> {
        Mark::ALL.iter().copied().filter(move |mark| self.contains(*mark))
    }
}

/// How the marks of a record are asked for.
#[derive(Debug, Default)]
pub(crate) struct Heed {
    /// Those that were asked for, noted in builds with debug assertions.
    asked: std::cell::Cell<Marks>,
    /// Those that do not count, to test what they are needed for.
    left_out: Marks,
}

impl Heed {
    pub(crate) fn without(left_out: Marks) -> Self {
        Self { left_out, ..Self::default() }
    }

    /// Whether a mark counts.
    #[inline]
    pub(crate) fn counts(&self, mark: Mark) -> bool {
        if !cfg!(debug_assertions) {
            return true;
        }
        self.asked.set(self.asked.get().union(Marks::of(mark)));
        !self.left_out.contains(mark)
    }

    /// The marks that were asked for since the last call.
    pub(crate) fn take(&self) -> Marks {
        self.asked.take()
    }
}
