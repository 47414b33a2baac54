//! Everything that a recipe sets: one line for each value, with its unit and its bounds. The values stand in the recipes.

use oar_schema::time::Date;
use toml::Value;

use super::setting::{Described, Fault, Setting};

/// Values by tooth, from the central incisor to the second molar; third molars are as second ones.
pub type ByTooth = [f64; 7];

/// Declares the groups of values: `name: type, "unit" [least..=most];`.
macro_rules! parameters {
    ($($(#[doc = $group_doc:literal])* $group:ident: $type:ident {
        $($(#[doc = $doc:literal])* $name:ident: $ty:ty, $unit:literal [$least:literal..=$most:literal];)*
    })*) => {
        $(
            $(#[doc = $group_doc])*
            #[derive(Clone, Debug)]
            pub struct $type {
                $($(#[doc = $doc])* pub $name: $ty,)*
            }
        )*

        /// All values of a recipe.
        #[derive(Clone, Debug)]
        pub struct Parameters {
            $($(#[doc = $group_doc])* pub $group: $type,)*
        }

        /// What each value is, in the order of the groups.
        pub const DESCRIBED: &[Described] = &[
            $($(Described {
                key: concat!(stringify!($group), ".", stringify!($name)),
                doc: concat!($($doc, "\n"),*),
                unit: $unit,
                least: $least as f64,
                most: $most as f64,
            },)*)*
        ];

        impl Parameters {
            /// Takes every value from where `find` has it, by its key.
            ///
            /// # Errors
            /// What `wrong` makes of a value that is not there, of another kind, or out of bounds.
            pub fn take<'v, E>(
                find: impl Fn(&str) -> Option<&'v Value>,
                wrong: impl Fn(&'static Described, Option<Fault>) -> E,
            ) -> Result<Self, E> {
                let mut described = DESCRIBED.iter();
                Ok(Self {
                    $($group: $type {
                        $($name: {
                            let described = described.next().unwrap_or(&DESCRIBED[0]);
                            let value = find(described.key).ok_or_else(|| wrong(described, None))?;
                            <$ty>::take(value, (described.least, described.most))
                                .map_err(|fault| wrong(described, Some(fault)))?
                        },)*
                    },)*
                })
            }
        }
    };
}

parameters! {
    /// The clinics and the time that the cohort covers.
    clinic: ClinicValues {
        /// The first day on which a patient can come.
        anchor: Date, "day" [0..=0];
        /// Days after the anchor on which new patients come.
        intake_days: i32, "days" [1..=7300];
        /// Days from the anchor to the export.
        cut_days: i32, "days" [1..=14600];
        /// How many clinics the patients belong to.
        clinics: i32, "clinics" [1..=1000];
        /// The IANA time zones in which patients live; each as likely as the others.
        time_zones: Vec<String>, "names" [0..=0];
        /// The name of the system that writes the records.
        system: String, "name" [0..=0];
        /// How much clinics differ in what their trays express.
        expression_sd: f64, "log-odds" [0..=2];
        /// Share of the usual step per tray that clinics plan, on average.
        staging_mean: f64, "share" [0.3..=1];
        /// How much clinics differ in that share.
        staging_sd: f64, "share" [0..=0.3];
    }
    /// Who comes.
    population: PopulationValues {
        /// Share of women and girls.
        female_share: f64, "share" [0..=1];
        /// Median age at the start.
        age_median_years: f64, "years" [7..=70];
        /// Standard deviation of the logarithm of age.
        age_sigma: f64, "log" [0..=1];
        /// Youngest age.
        age_least_years: f64, "years" [7..=70];
        /// Oldest age.
        age_most_years: f64, "years" [8..=88];
        /// Share of people without a tooth that never formed, third molars left out.
        agenesis_share: f64, "share" [0..=1];
        /// How much more often women have it.
        agenesis_female_ratio: f64, "ratio" [0.5..=3];
        /// Missing teeth of an affected person beyond the first, on average.
        agenesis_more_teeth: f64, "teeth" [0..=5];
        /// Share in which the same tooth of the other side is the next one missing.
        agenesis_bilateral_share: f64, "share" [0..=1];
        /// How often each upper tooth is the missing one, as weights.
        agenesis_upper: ByTooth, "weights" [0..=100];
        /// How often each lower tooth is the missing one, as weights.
        agenesis_lower: ByTooth, "weights" [0..=100];
        /// Share of primary second molars that stay where the premolar never formed.
        retained_primary_share: f64, "share" [0..=1];
        /// Share of people who lack at least one third molar from birth.
        third_molar_agenesis_share: f64, "share" [0..=1];
        /// Share of adults whose third molars were taken out.
        third_molars_out_share: f64, "share" [0..=1];
        /// Teeth lost in ten years of age beyond thirty.
        lost_per_decade: f64, "teeth" [0..=3];
        /// Share of lost teeth in whose place an implant stands.
        implant_share: f64, "share" [0..=1];
        /// Share of lost teeth in whose place a pontic stands.
        pontic_share: f64, "share" [0..=1];
        /// Correlation of the crown widths within one person.
        width_correlation: f64, "correlation" [0..=0.99];
        /// How much a crown differs from that of the other side.
        width_sides_sd_mm: f64, "mm" [0..=0.5];
        /// Share of records with crown widths.
        widths_known_share: f64, "share" [0..=1];
    }
    /// Where the teeth stand before treatment.
    start: StartValues {
        /// Mean lack of room in the upper arch.
        crowding_upper_mm: f64, "mm" [-5..=10];
        /// Mean lack of room in the lower arch.
        crowding_lower_mm: f64, "mm" [-5..=10];
        /// Standard deviation of the lack of room.
        crowding_sd_mm: f64, "mm" [0..=8];
        /// Correlation of the lack of room with the widths of the crowns.
        crowding_width_correlation: f64, "correlation" [0..=1];
        /// Correlation of the two arches beyond that of their crowns.
        crowding_arch_correlation: f64, "correlation" [0..=1];
        /// How much of the lack of room each contact takes, from the midline to the one before the first molar, as weights.
        overlap_weights: [f64; 6], "weights" [0..=10];
        /// How unevenly contacts share it: the shape of a gamma distribution, small is uneven.
        overlap_evenness: f64, "shape" [0.1..=100];
        /// Radius of the curve of two crowns at their contact: how far they slip past each other when they overlap.
        contact_radius_mm: f64, "mm" [0.05..=3];
        /// Displacement across the arch that is there without a lack of room.
        facial_sd_mm: f64, "mm" [0..=2];
        /// Share of crowded upper arches in which the laterals stand behind their neighbours.
        laterals_behind_share: f64, "share" [0..=1];
        /// How much a tooth behind the arch lacks in height, of how far it is behind.
        behind_short_share: f64, "share" [0..=1];
        /// Rotations of upper teeth.
        rotation_sd_upper_deg: ByTooth, "degrees" [0..=40];
        /// Rotations of lower teeth.
        rotation_sd_lower_deg: ByTooth, "degrees" [0..=40];
        /// Share of round teeth and upper laterals that came through turned far more.
        turned_share: f64, "share" [0..=0.5];
        /// Leaning along the arch.
        tip_sd_deg: f64, "degrees" [0..=15];
        /// Leaning across the arch, incisors.
        torque_sd_deg: f64, "degrees" [0..=15];
        /// Heights that differ from the arch, front teeth.
        vertical_sd_mm: f64, "mm" [0..=2];
        /// Share of people in class II.
        class_ii_share: f64, "share" [0..=1];
        /// Share of people in class III.
        class_iii_share: f64, "share" [0..=1];
        /// Share of class II and III that has it on one side only.
        one_sided_share: f64, "share" [0..=1];
        /// Mean overjet in class I; class II has more, class III less.
        overjet_mm: f64, "mm" [0..=6];
        /// Standard deviation of the overjet within a class.
        overjet_sd_mm: f64, "mm" [0..=4];
        /// What a full class adds to the overjet, or takes from it.
        overjet_class_mm: f64, "mm" [0..=8];
        /// Mean overbite.
        overbite_mm: f64, "mm" [-2..=6];
        /// Standard deviation of the overbite.
        overbite_sd_mm: f64, "mm" [0..=5];
    }
    /// How a treatment is planned.
    plan: PlanValues {
        /// Share of treatments of one arch only.
        one_arch_share: f64, "share" [0..=1];
        /// A shift smaller than this is left as it is.
        least_mm: f64, "mm" [0.01..=1];
        /// A turn smaller than this is left as it is.
        least_deg: f64, "degrees" [0.1..=10];
        /// Most that back teeth go outward on each side.
        expansion_most_mm: f64, "mm" [0..=4];
        /// Most that front teeth go forward.
        proclination_most_mm: f64, "mm" [0..=5];
        /// Room in the arch for each millimetre that front teeth go forward.
        proclination_room: f64, "mm per mm" [0.2..=3];
        /// Room in the arch for each millimetre that back teeth go outward on each side.
        expansion_room: f64, "mm per mm" [0.2..=3];
        /// Share of the lacking room that clinics take from enamel before they widen, on average.
        reduction_share: f64, "share" [0..=1];
        /// How much plans differ in that share.
        reduction_sd: f64, "share" [0..=1];
        /// Most enamel planned at a contact of front teeth.
        reduction_front_mm: f64, "mm" [0..=0.5];
        /// Most enamel planned at a contact of back teeth.
        reduction_back_mm: f64, "mm" [0..=1];
        /// Lack of room beyond what widening and enamel give, from which on premolars are taken out.
        extraction_from_mm: f64, "mm" [0..=20];
        /// Share of full class II in whom upper back teeth are moved back.
        distalisation_share: f64, "share" [0..=1];
        /// How far they are moved back.
        distalisation_mm: f64, "mm" [0..=4];
        /// Share of class II and III with elastics.
        elastics_share: f64, "share" [0..=1];
        /// Minutes a day that elastics are to be worn.
        elastics_goal_minutes: i32, "minutes" [60..=1320];
        /// Trays that go by before a crowded front begins to turn, as a share of the trays that widening takes.
        front_waits_share: f64, "share" [0..=1];
        /// Fewest trays of a first series.
        first_least_trays: i32, "trays" [1..=60];
        /// Fewest trays of a refinement.
        refinement_least_trays: i32, "trays" [1..=60];
        /// A turn of a canine or premolar from which on it gets an attachment.
        attachment_rotation_deg: f64, "degrees" [0..=45];
        /// Extrusion from which on a tooth gets an attachment.
        attachment_extrusion_mm: f64, "mm" [0..=3];
        /// Leaning across the arch from which on an incisor gets an attachment.
        attachment_torque_deg: f64, "degrees" [0..=45];
        /// Leaning along the arch from which on a tooth gets an attachment.
        attachment_tip_deg: f64, "degrees" [0..=45];
        /// Share of back teeth beside moved ones that get an attachment to hold the tray.
        attachment_anchor_share: f64, "share" [0..=1];
        /// Share of treatments with trays changed every 7, 10 and 14 days.
        change_days_shares: [f64; 3], "shares" [0..=1];
        /// Minutes a day that trays are to be worn.
        wear_goal_minutes: i32, "minutes" [600..=1440];
        /// Minutes a day below which a day counts as low.
        wear_floor_minutes: i32, "minutes" [300..=1440];
        /// Share of patients who are followed from afar.
        remote_share: f64, "share" [0..=1];
        /// Share of patients who are reminded.
        reminders_share: f64, "share" [0..=1];
        /// Share of patients whose trays carry a sensor.
        sensor_share: f64, "share" [0..=1];
        /// Trays between two check-ins, on average.
        check_in_trays: i32, "trays" [1..=10];
    }
    /// How long trays are worn.
    wear: WearValues {
        /// First parameter of the beta distribution of the share of trays worn as prescribed.
        adherence_alpha: f64, "shape" [0.1..=50];
        /// Second parameter of it.
        adherence_beta: f64, "shape" [0.1..=50];
        /// What reminders add to the log-odds of that share.
        reminders_effect: f64, "log-odds" [-1..=3];
        /// What a year of age between 7 and 18 takes from the log-odds.
        teenage_effect: f64, "log-odds a year" [-0.5..=0.5];
        /// Spread of the logarithm of time without trays from tray to tray.
        tray_sigma: f64, "log" [0.05..=1.5];
        /// Spread of that logarithm from day to day.
        day_sigma: f64, "log" [0.05..=1.5];
        /// Correlation of a day with the day before.
        day_correlation: f64, "correlation" [0..=0.95];
        /// How much further below the rest falls a patient with low adherence.
        low_stretch: f64, "factor" [0..=3];
        /// More time without trays at weekends.
        weekend_effect: f64, "log" [-0.5..=1];
        /// More time without trays with each year.
        decline_per_year: f64, "log a year" [0..=1];
        /// Less time without trays after being told to wear more.
        told_effect: f64, "log" [0..=1];
        /// Days after which that is forgotten by half.
        told_half_days: f64, "days" [1..=200];
        /// Days without any wear in a year, for a patient of middling adherence.
        zero_days_per_year: f64, "days" [0..=60];
        /// Holidays and illnesses in a year.
        episodes_per_year: f64, "episodes" [0..=12];
        /// Mean length of such an episode.
        episode_days: f64, "days" [1..=30];
        /// More time without trays during one.
        episode_effect: f64, "log" [0..=2];
        /// Least minutes a day without trays, for meals and cleaning.
        least_out_minutes: f64, "minutes" [5..=120];
    }
    /// How teeth follow their trays.
    response: ResponseValues {
        /// Share of each step that is expressed: turns of upper teeth.
        rotation_upper: ByTooth, "share" [0.02..=0.98];
        /// Turns of lower teeth.
        rotation_lower: ByTooth, "share" [0.02..=0.98];
        /// Leaning along the arch, upper teeth.
        tip_upper: ByTooth, "share" [0.02..=0.98];
        /// Leaning along the arch, lower teeth.
        tip_lower: ByTooth, "share" [0.02..=0.98];
        /// Leaning across the arch, upper teeth.
        torque_upper: ByTooth, "share" [0.02..=0.98];
        /// Leaning across the arch, lower teeth.
        torque_lower: ByTooth, "share" [0.02..=0.98];
        /// Across the arch, upper teeth.
        facial_upper: ByTooth, "share" [0.02..=0.98];
        /// Across the arch, lower teeth.
        facial_lower: ByTooth, "share" [0.02..=0.98];
        /// Along the arch, upper teeth.
        mesial_upper: ByTooth, "share" [0.02..=0.98];
        /// Along the arch, lower teeth.
        mesial_lower: ByTooth, "share" [0.02..=0.98];
        /// Intrusion, upper and lower teeth.
        intrusion: ByTooth, "share" [0.02..=0.98];
        /// Extrusion, upper and lower teeth.
        extrusion: ByTooth, "share" [0.02..=0.98];
        /// Upper molars that go back.
        distal_upper_molar: f64, "share" [0.02..=0.98];
        /// How much more is expressed inward than outward across the arch.
        inward_effect: f64, "log-odds" [-2..=2];
        /// How much more is expressed with full wear than in the studies behind these shares, whose patients wore as patients do.
        full_wear_effect: f64, "log-odds" [-1..=3];
        /// How much patients differ.
        patient_sd: f64, "log-odds" [0..=2];
        /// How much teeth and axes of one patient differ.
        tooth_sd: f64, "log-odds" [0..=2];
        /// What a movement loses while the attachment that supports it is off.
        attachment_effect: f64, "log-odds" [0..=3];
        /// How much of the expressible part of a step is done in a day of full wear.
        daily_rate: f64, "a day" [0.05..=3];
        /// How much of what slipped is made up for in a day of full wear.
        recovery_rate: f64, "a day" [0..=0.2];
        /// Minutes a day from which on wear counts as full.
        full_minutes: f64, "minutes" [600..=1440];
        /// Minutes a day below which wear does nothing.
        idle_minutes: f64, "minutes" [0..=1200];
        /// Expressible steps still to be done beyond which a tray no longer grips the tooth.
        grip_steps: f64, "steps" [1..=10];
        /// How much of that an upper lateral has, with its short, round crown.
        lateral_grip: f64, "share" [0.3..=1.5];
        /// What lacking room between teeth takes from expression, when none of the planned enamel is off.
        collision_effect: f64, "log-odds" [0..=3];
        /// Share of a shift across or along the arch that is seen as a gap at the edge.
        seen_linear: f64, "share" [0..=1];
        /// Share of a lag in height that is seen.
        seen_vertical: f64, "share" [0..=1.5];
        /// Share of a turn, at the corner of the crown, that is seen.
        seen_rotation: f64, "share" [0..=1];
        /// Share of what trays do not express that is seen; they bend around the rest.
        seen_slipped: f64, "share" [0..=1];
        /// What trays take up before a gap is seen.
        seen_from_mm: f64, "mm" [0..=0.5];
        /// Standard deviation of the gap of a tray that is not seated all the way.
        seating_sd_mm: f64, "mm" [0..=0.5];
    }
    /// How the bite follows elastics.
    bite: BiteValues {
        /// Spread of how far molars are off within a class.
        class_sd_mm: f64, "mm" [0..=2];
        /// How far beyond the border between two classes molars are at most.
        class_most_mm: f64, "mm" [0.5..=8];
        /// What elastics of one side correct in a month of full wear.
        elastics_mm_per_month: f64, "mm" [0..=2];
        /// Share of the prescribed hours that elastics are worn, of patients who wear their trays in full.
        elastics_worn_share: f64, "share" [0..=1];
        /// Share of what elastics correct at the molars that is seen in overjet.
        elastics_overjet_share: f64, "share" [0..=1.5];
    }
    /// What the clinic does.
    care: CareValues {
        /// Days from the first visit to the first trays.
        start_wait_days: f64, "days" [7..=120];
        /// Days from a rescan to the next trays.
        rescan_wait_days: f64, "days" [7..=120];
        /// Spread of the logarithm of those waits.
        wait_sigma: f64, "log" [0..=1];
        /// Weeks between two visits, on average, without check-ins from afar.
        review_weeks: f64, "weeks" [2..=30];
        /// How much longer the weeks are with check-ins from afar.
        remote_stretch: f64, "ratio" [1..=4];
        /// Share of appointments that are missed.
        no_show_share: f64, "share" [0..=0.8];
        /// How evenly patients miss: the two parameters of the beta distribution of their shares add up to this.
        no_show_evenness: f64, "number" [0.5..=1000];
        /// How often the start of a series is missed, as a multiple.
        no_show_bonding_ratio: f64, "ratio" [0..=3];
        /// Visits in a year of wearing trays that could not wait.
        urgent_per_year: f64, "visits" [0..=5];
        /// Share of check-ins that are missed.
        missed_check_in_share: f64, "share" [0..=0.9];
        /// Standard deviation of a measured gap.
        gap_error_mm: f64, "mm" [0..=0.5];
        /// A gap from which on the tray is held.
        hold_from_mm: f64, "mm" [0.1..=2];
        /// A gap from which on the patient steps back.
        back_from_mm: f64, "mm" [0.2..=3];
        /// Holds in a row after which something else is done.
        holds_in_a_row: i32, "holds" [1..=10];
        /// A logged wear share below which the patient is told to wear more.
        told_below_share: f64, "share" [0..=1];
        /// Share of attachments that fail within the first month.
        attachment_early_loss: f64, "share" [0..=0.5];
        /// Share of attachments that fail in each later month.
        attachment_monthly_loss: f64, "share" [0..=0.3];
        /// How much more often those of back teeth fail.
        attachment_back_ratio: f64, "ratio" [0.2..=5];
        /// Days to a repair that cannot wait.
        repair_days: f64, "days" [1..=30];
        /// Share of trays that are lost.
        tray_lost_share: f64, "share" [0..=0.2];
        /// Share of trays that break.
        tray_broken_share: f64, "share" [0..=0.2];
        /// Trays handed over at a time, at least.
        trays_at_a_time: i32, "trays" [1..=200];
        /// Share of the planned enamel that is taken off, on average.
        reduction_done_mean: f64, "share" [0.05..=1];
        /// How unevenly: the sum of the parameters of a beta distribution.
        reduction_done_evenness: f64, "shape" [1..=100];
        /// Error of a scan along an axis.
        scan_error_mm: f64, "mm" [0..=0.5];
        /// Error of a scan of an angle.
        scan_error_deg: f64, "degrees" [0..=3];
        /// What is left of the irregularity and of single teeth that patient and clinic still accept, on average.
        accepted_mm: f64, "mm" [0.1..=20];
        /// Spread of its logarithm.
        accepted_sigma: f64, "log" [0..=2];
        /// How much more they accept after each refinement.
        accepted_growth: f64, "ratio" [1..=5];
        /// Refinements after which none is made any more.
        refinements_most: i32, "refinements" [0..=49];
        /// Chance in a year that a patient moves away.
        moves_per_year: f64, "share" [0..=1];
        /// Chance in a year that a patient breaks off for reasons of their own.
        leaves_per_year: f64, "share" [0..=1];
        /// Chance in a year of a pause.
        pauses_per_year: f64, "share" [0..=1];
        /// Mean length of a pause.
        pause_days: f64, "days" [7..=400];
        /// What is left, beyond what is accepted, from which on fixed appliances are offered: as a multiple.
        conversion_ratio: f64, "ratio" [1..=50];
        /// Share of those offers that are taken, at each rescan.
        conversion_share: f64, "share" [0..=1];
        /// Share of finished patients who come to retention visits.
        retention_visits_share: f64, "share" [0..=1];
    }
    /// What is written down.
    report: ReportValues {
        /// Share of patients with a wear log.
        logged_share: f64, "share" [0..=1];
        /// Share of patients without a sensor who use a timer.
        timer_share: f64, "share" [0..=1];
        /// Share of days with an entry.
        coverage_share: f64, "share" [0..=1];
        /// How much of the time without trays a patient leaves out who tells it.
        flattery: f64, "share" [0..=0.9];
        /// Minutes to which told times are rounded.
        rounding_minutes: i32, "minutes" [1..=120];
        /// Times that trays are taken out in a day.
        removals: f64, "times" [1..=12];
        /// Share of patients who tell how they feel.
        comfort_share: f64, "share" [0..=1];
        /// Pain on the first day of the first tray.
        first_pain: f64, "of 10" [0..=10];
        /// Pain on the first day of later trays.
        later_pain: f64, "of 10" [0..=10];
        /// Share of pain that is left a day later.
        pain_kept: f64, "share" [0..=0.95];
        /// Median days until speech is as always.
        speech_days: f64, "days" [1..=200];
        /// Spread of the logarithm of those days.
        speech_sigma: f64, "log" [0..=2];
        /// Share of check-ins at which plaque is seen and told.
        plaque_share: f64, "share" [0..=1];
        /// Share of check-ins with plaque at which a swollen gum is seen too.
        gum_share: f64, "share" [0..=1];
        /// Share of patients whose trays stain.
        stain_share: f64, "share" [0..=1];
        /// Share of check-ins at which a crack is seen in the tray.
        crack_share: f64, "share" [0..=1];
        /// Share of check-ins at which a rough edge is told.
        edge_share: f64, "share" [0..=1];
        /// Share of check-ins and visits with a note.
        note_share: f64, "share" [0..=1];
    }
}
