//! Everything that a recipe sets: one line for each value, with its unit and its bounds. The values are in the recipes.

use oar_schema::time::Date;
use toml::Value;

use super::setting::{RecipeValueError, Setting, SettingDescription};

/// Values by tooth, from the central incisor to the second molar; third molars have those of second molars.
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

        /// The description of each value, in the order of the groups.
        pub const DESCRIBED: &[SettingDescription] = &[
            $($(SettingDescription {
                key: concat!(stringify!($group), ".", stringify!($name)),
                doc: concat!($($doc, "\n"),*),
                unit: $unit,
                least: $least as f64,
                most: $most as f64,
            },)*)*
        ];

        impl Parameters {
            /// Takes every value from `find`, by its key.
            ///
            /// # Errors
            /// What `wrong` returns for a value that is missing, of the wrong type, or out of bounds.
            pub fn take<'v, E>(
                find: impl Fn(&str) -> Option<&'v Value>,
                wrong: impl Fn(&'static SettingDescription, Option<RecipeValueError>) -> E,
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
        /// The number of clinics that treat the patients.
        clinics: i32, "clinics" [1..=1000];
        /// The IANA time zones in which patients live; all equally likely.
        time_zones: Vec<String>, "names" [0..=0];
        /// The name of the system that writes the records.
        system: String, "name" [0..=0];
        /// How much clinics differ in the expression of their trays.
        expression_sd: f64, "log-odds" [0..=2];
        /// Share of the usual step per tray that clinics plan, on average.
        staging_mean: f64, "share" [0.3..=1];
        /// How much clinics differ in that share.
        staging_sd: f64, "share" [0..=0.3];
    }
    /// The patients.
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
        /// Share of people with a tooth that never formed, except third molars.
        agenesis_share: f64, "share" [0..=1];
        /// How much more often women are affected.
        agenesis_female_ratio: f64, "ratio" [0.5..=3];
        /// Missing teeth of an affected person beyond the first, on average.
        agenesis_more_teeth: f64, "teeth" [0..=5];
        /// Share of cases in which the same tooth of the other side is the next missing one.
        agenesis_bilateral_share: f64, "share" [0..=1];
        /// How often each upper tooth is the missing one, as weights.
        agenesis_upper: ByTooth, "weights" [0..=100];
        /// How often each lower tooth is the missing one, as weights.
        agenesis_lower: ByTooth, "weights" [0..=100];
        /// Share of primary second molars that are retained where the premolar never formed.
        retained_primary_share: f64, "share" [0..=1];
        /// Share of people in whom at least one third molar never formed.
        third_molar_agenesis_share: f64, "share" [0..=1];
        /// Share of adults whose third molars were extracted.
        third_molars_out_share: f64, "share" [0..=1];
        /// Teeth lost per ten years of age beyond thirty.
        lost_per_decade: f64, "teeth" [0..=3];
        /// Share of lost teeth that were replaced by an implant.
        implant_share: f64, "share" [0..=1];
        /// Share of lost teeth that were replaced by a pontic.
        pontic_share: f64, "share" [0..=1];
        /// Correlation of crown widths within one person.
        width_correlation: f64, "correlation" [0..=0.99];
        /// How much a crown differs from that of the other side.
        width_sides_sd_mm: f64, "mm" [0..=0.5];
        /// Share of records with crown widths.
        widths_known_share: f64, "share" [0..=1];
    }
    /// The positions of the teeth before treatment.
    start: StartValues {
        /// Mean lack of space in the upper arch.
        crowding_upper_mm: f64, "mm" [-5..=10];
        /// Mean lack of space in the lower arch.
        crowding_lower_mm: f64, "mm" [-5..=10];
        /// Standard deviation of the lack of space.
        crowding_sd_mm: f64, "mm" [0..=8];
        /// Correlation of the lack of space with the crown widths.
        crowding_width_correlation: f64, "correlation" [0..=1];
        /// Correlation of the two arches beyond that of their crown widths.
        crowding_arch_correlation: f64, "correlation" [0..=1];
        /// The part of the lack of space that each contact takes, from the midline to the one before the first molar, as weights.
        overlap_weights: [f64; 6], "weights" [0..=10];
        /// How evenly contacts share it: the shape of a gamma distribution; small values are uneven.
        overlap_evenness: f64, "shape" [0.1..=100];
        /// Radius of curvature of two crowns at their contact: how far they slip past each other when they overlap.
        contact_radius_mm: f64, "mm" [0.05..=3];
        /// Displacement across the arch that exists without a lack of space.
        facial_sd_mm: f64, "mm" [0..=2];
        /// Share of crowded upper arches in which the laterals are behind their neighbours.
        laterals_behind_share: f64, "share" [0..=1];
        /// How much height a tooth behind the arch lacks, as a share of how far behind it is.
        behind_short_share: f64, "share" [0..=1];
        /// Rotations of upper teeth.
        rotation_sd_upper_deg: ByTooth, "degrees" [0..=40];
        /// Rotations of lower teeth.
        rotation_sd_lower_deg: ByTooth, "degrees" [0..=40];
        /// Share of round teeth and upper laterals that erupted with a far larger rotation.
        turned_share: f64, "share" [0..=0.5];
        /// Tip.
        tip_sd_deg: f64, "degrees" [0..=15];
        /// Torque of incisors.
        torque_sd_deg: f64, "degrees" [0..=15];
        /// Vertical differences of front teeth from the arch.
        vertical_sd_mm: f64, "mm" [0..=2];
        /// Share of people in class II.
        class_ii_share: f64, "share" [0..=1];
        /// Share of people in class III.
        class_iii_share: f64, "share" [0..=1];
        /// Share of class II and III that is one-sided.
        one_sided_share: f64, "share" [0..=1];
        /// Mean overjet in class I; class II has more, class III less.
        overjet_mm: f64, "mm" [0..=6];
        /// Standard deviation of the overjet within a class.
        overjet_sd_mm: f64, "mm" [0..=4];
        /// The amount that a full class adds to the overjet, or subtracts from it.
        overjet_class_mm: f64, "mm" [0..=8];
        /// Mean overbite.
        overbite_mm: f64, "mm" [-2..=6];
        /// Standard deviation of the overbite.
        overbite_sd_mm: f64, "mm" [0..=5];
    }
    /// The treatment plan.
    plan: PlanValues {
        /// Share of treatments of one arch only.
        one_arch_share: f64, "share" [0..=1];
        /// A smaller displacement is not corrected.
        least_mm: f64, "mm" [0.01..=1];
        /// A smaller rotation is not corrected.
        least_deg: f64, "degrees" [0.1..=10];
        /// Maximum expansion of back teeth on each side.
        expansion_most_mm: f64, "mm" [0..=4];
        /// Maximum proclination of front teeth.
        proclination_most_mm: f64, "mm" [0..=5];
        /// Space gained in the arch for each millimetre of proclination of front teeth.
        proclination_room: f64, "mm per mm" [0.2..=3];
        /// Space gained in the arch for each millimetre of expansion on each side.
        expansion_room: f64, "mm per mm" [0.2..=3];
        /// Mean share of the lacking space that clinics gain by interproximal reduction before expansion.
        reduction_share: f64, "share" [0..=1];
        /// How much plans differ in that share.
        reduction_sd: f64, "share" [0..=1];
        /// Maximum interproximal reduction planned at a contact of front teeth.
        reduction_front_mm: f64, "mm" [0..=0.5];
        /// Maximum interproximal reduction planned at a contact of back teeth.
        reduction_back_mm: f64, "mm" [0..=1];
        /// Lack of space, beyond what expansion and interproximal reduction provide, from which premolars are extracted.
        extraction_from_mm: f64, "mm" [0..=20];
        /// Share of patients with full class II whose upper back teeth are distalised.
        distalisation_share: f64, "share" [0..=1];
        /// The distance of distalisation.
        distalisation_mm: f64, "mm" [0..=4];
        /// Share of class II and III with elastics.
        elastics_share: f64, "share" [0..=1];
        /// Prescribed minutes of elastic wear a day.
        elastics_goal_minutes: i32, "minutes" [60..=1320];
        /// Trays before crowded front teeth begin to rotate, as a share of the trays for expansion.
        front_waits_share: f64, "share" [0..=1];
        /// Minimum trays of a first series.
        first_least_trays: i32, "trays" [1..=60];
        /// Minimum trays of a refinement.
        refinement_least_trays: i32, "trays" [1..=60];
        /// Rotation from which a canine or premolar gets an attachment.
        attachment_rotation_deg: f64, "degrees" [0..=45];
        /// Extrusion from which a tooth gets an attachment.
        attachment_extrusion_mm: f64, "mm" [0..=3];
        /// Torque from which an incisor gets an attachment.
        attachment_torque_deg: f64, "degrees" [0..=45];
        /// Tip from which a tooth gets an attachment.
        attachment_tip_deg: f64, "degrees" [0..=45];
        /// Share of back teeth beside moved ones that get an attachment to anchor the tray.
        attachment_anchor_share: f64, "share" [0..=1];
        /// Share of treatments with trays changed every 7, 10 and 14 days.
        change_days_shares: [f64; 3], "shares" [0..=1];
        /// Prescribed minutes of tray wear a day.
        wear_goal_minutes: i32, "minutes" [600..=1440];
        /// The wear minimum: a day with fewer minutes counts as low.
        wear_floor_minutes: i32, "minutes" [300..=1440];
        /// Share of patients who are followed up remotely.
        remote_share: f64, "share" [0..=1];
        /// Share of patients who get reminders.
        reminders_share: f64, "share" [0..=1];
        /// Share of patients whose trays contain a sensor.
        sensor_share: f64, "share" [0..=1];
        /// Trays between two check-ins, on average.
        check_in_trays: i32, "trays" [1..=10];
    }
    /// How long trays are worn each day.
    wear: WearValues {
        /// First parameter of the beta distribution of the share of trays worn as prescribed.
        adherence_alpha: f64, "shape" [0.1..=50];
        /// Second parameter of that distribution.
        adherence_beta: f64, "shape" [0.1..=50];
        /// The amount that reminders add to the log-odds of that share.
        reminders_effect: f64, "log-odds" [-1..=3];
        /// The amount that each year of age between 7 and 18 subtracts from the log-odds.
        teenage_effect: f64, "log-odds a year" [-0.5..=0.5];
        /// Spread of the logarithm of time without trays from tray to tray.
        tray_sigma: f64, "log" [0.05..=1.5];
        /// Spread of that logarithm from day to day.
        day_sigma: f64, "log" [0.05..=1.5];
        /// Correlation of a day with the day before.
        day_correlation: f64, "correlation" [0..=0.95];
        /// How much further below the others a patient with low adherence is.
        low_stretch: f64, "factor" [0..=3];
        /// Additional time without trays at weekends.
        weekend_effect: f64, "log" [-0.5..=1];
        /// Additional time without trays with each year.
        decline_per_year: f64, "log a year" [0..=1];
        /// Reduction of the time without trays after advice to wear them more.
        told_effect: f64, "log" [0..=1];
        /// Days after which half of that effect is lost.
        told_half_days: f64, "days" [1..=200];
        /// Days without any wear in a year, for a patient of medium adherence.
        zero_days_per_year: f64, "days" [0..=60];
        /// Holidays and illnesses in a year.
        episodes_per_year: f64, "episodes" [0..=12];
        /// Mean length of such an episode.
        episode_days: f64, "days" [1..=30];
        /// Additional time without trays during an episode.
        episode_effect: f64, "log" [0..=2];
        /// Minimum minutes a day without trays, for meals and cleaning.
        least_out_minutes: f64, "minutes" [5..=120];
    }
    /// How teeth follow their trays.
    response: ResponseValues {
        /// Expressed share of each step: rotation of upper teeth.
        rotation_upper: ByTooth, "share" [0.02..=0.98];
        /// Rotation of lower teeth.
        rotation_lower: ByTooth, "share" [0.02..=0.98];
        /// Tip of upper teeth.
        tip_upper: ByTooth, "share" [0.02..=0.98];
        /// Tip of lower teeth.
        tip_lower: ByTooth, "share" [0.02..=0.98];
        /// Torque of upper teeth.
        torque_upper: ByTooth, "share" [0.02..=0.98];
        /// Torque of lower teeth.
        torque_lower: ByTooth, "share" [0.02..=0.98];
        /// Movement of upper teeth across the arch.
        facial_upper: ByTooth, "share" [0.02..=0.98];
        /// Movement of lower teeth across the arch.
        facial_lower: ByTooth, "share" [0.02..=0.98];
        /// Movement of upper teeth along the arch.
        mesial_upper: ByTooth, "share" [0.02..=0.98];
        /// Movement of lower teeth along the arch.
        mesial_lower: ByTooth, "share" [0.02..=0.98];
        /// Intrusion, upper and lower teeth.
        intrusion: ByTooth, "share" [0.02..=0.98];
        /// Extrusion, upper and lower teeth.
        extrusion: ByTooth, "share" [0.02..=0.98];
        /// Distalisation of upper molars.
        distal_upper_molar: f64, "share" [0.02..=0.98];
        /// How much more movement across the arch is expressed inward than outward.
        inward_effect: f64, "log-odds" [-2..=2];
        /// How much more is expressed with full wear than in the studies behind these shares, whose patients had ordinary wear.
        full_wear_effect: f64, "log-odds" [-1..=3];
        /// How much patients differ.
        patient_sd: f64, "log-odds" [0..=2];
        /// How much teeth and axes of one patient differ.
        tooth_sd: f64, "log-odds" [0..=2];
        /// The loss of expression while the supporting attachment is debonded.
        attachment_effect: f64, "log-odds" [0..=3];
        /// The part of the expressible step that is achieved in a day of full wear.
        daily_rate: f64, "a day" [0.05..=3];
        /// The part of the lost movement that is recovered in a day of full wear.
        recovery_rate: f64, "a day" [0..=0.2];
        /// Minutes a day from which wear counts as full.
        full_minutes: f64, "minutes" [600..=1440];
        /// Minutes a day below which wear has no effect.
        idle_minutes: f64, "minutes" [0..=1200];
        /// Outstanding expressible steps above which a tray no longer grips the tooth.
        grip_steps: f64, "steps" [1..=10];
        /// The share of that grip for an upper lateral, which has a short, round crown.
        lateral_grip: f64, "share" [0.3..=1.5];
        /// The loss of expression from a lack of space between teeth, when none of the planned enamel has been removed.
        collision_effect: f64, "log-odds" [0..=3];
        /// Share of a displacement across or along the arch that shows as a fit gap at the edge.
        seen_linear: f64, "share" [0..=1];
        /// Share of a vertical lag that shows.
        seen_vertical: f64, "share" [0..=1.5];
        /// Share of a rotation, at the corner of the crown, that shows.
        seen_rotation: f64, "share" [0..=1];
        /// Share of the unexpressed movement that shows; trays flex around the rest.
        seen_slipped: f64, "share" [0..=1];
        /// Displacement that trays absorb before a fit gap shows.
        seen_from_mm: f64, "mm" [0..=0.5];
        /// Standard deviation of the fit gap of a tray that is not fully seated.
        seating_sd_mm: f64, "mm" [0..=0.5];
    }
    /// How the bite responds to elastics.
    bite: BiteValues {
        /// Spread of the molar position within a class.
        class_sd_mm: f64, "mm" [0..=2];
        /// Maximum distance of molars beyond the border between two classes.
        class_most_mm: f64, "mm" [0.5..=8];
        /// Correction by the elastics of one side in a month of full wear.
        elastics_mm_per_month: f64, "mm" [0..=2];
        /// Share of the prescribed hours for which elastics are worn, for patients who wear their trays in full.
        elastics_worn_share: f64, "share" [0..=1];
        /// Share of the correction at the molars that shows in the overjet.
        elastics_overjet_share: f64, "share" [0..=1.5];
    }
    /// The work of the clinic.
    care: CareValues {
        /// Days from the first visit to the first trays.
        start_wait_days: f64, "days" [7..=120];
        /// Days from a rescan to the next trays.
        rescan_wait_days: f64, "days" [7..=120];
        /// Spread of the logarithm of these two waiting times.
        wait_sigma: f64, "log" [0..=1];
        /// Mean weeks between two visits, without remote check-ins.
        review_weeks: f64, "weeks" [2..=30];
        /// By what factor that interval is longer with remote check-ins.
        remote_stretch: f64, "ratio" [1..=4];
        /// Share of appointments that are missed.
        no_show_share: f64, "share" [0..=0.8];
        /// How evenly missed appointments are spread over patients: the sum of the two parameters of the beta distribution of their shares.
        no_show_evenness: f64, "number" [0.5..=1000];
        /// How often the appointment at the start of a series is missed, as a multiple of that share.
        no_show_bonding_ratio: f64, "ratio" [0..=3];
        /// Urgent visits in a year of wear.
        urgent_per_year: f64, "visits" [0..=5];
        /// Share of check-ins that are missed.
        missed_check_in_share: f64, "share" [0..=0.9];
        /// Standard deviation of a measured fit gap.
        gap_error_mm: f64, "mm" [0..=0.5];
        /// Fit gap from which the tray is held.
        hold_from_mm: f64, "mm" [0.1..=2];
        /// Fit gap from which the patient steps back.
        back_from_mm: f64, "mm" [0.2..=3];
        /// Consecutive holds after which another decision is made.
        holds_in_a_row: i32, "holds" [1..=10];
        /// Logged wear share below which the patient is advised to wear the trays more.
        told_below_share: f64, "share" [0..=1];
        /// Share of attachments that fail within the first month.
        attachment_early_loss: f64, "share" [0..=0.5];
        /// Share of attachments that fail in each later month.
        attachment_monthly_loss: f64, "share" [0..=0.3];
        /// How much more often attachments of back teeth fail.
        attachment_back_ratio: f64, "ratio" [0.2..=5];
        /// Days to an urgent repair.
        repair_days: f64, "days" [1..=30];
        /// Share of trays that are lost.
        tray_lost_share: f64, "share" [0..=0.2];
        /// Share of trays that break.
        tray_broken_share: f64, "share" [0..=0.2];
        /// Minimum number of trays handed over at a time.
        trays_at_a_time: i32, "trays" [1..=200];
        /// Mean share of the planned interproximal reduction that is carried out.
        reduction_done_mean: f64, "share" [0.05..=1];
        /// How evenly: the sum of the parameters of a beta distribution.
        reduction_done_evenness: f64, "shape" [1..=100];
        /// Error of a scan along an axis.
        scan_error_mm: f64, "mm" [0..=0.5];
        /// Error of a scan in an angle.
        scan_error_deg: f64, "degrees" [0..=3];
        /// Mean remaining irregularity and displacement of single teeth that patient and clinic accept.
        accepted_mm: f64, "mm" [0.1..=20];
        /// Spread of the logarithm of that amount.
        accepted_sigma: f64, "log" [0..=2];
        /// How much more they accept after each refinement.
        accepted_growth: f64, "ratio" [1..=5];
        /// Maximum number of refinements.
        refinements_most: i32, "refinements" [0..=49];
        /// Chance in a year that a patient moves away.
        moves_per_year: f64, "share" [0..=1];
        /// Chance in a year that a patient discontinues for personal reasons.
        leaves_per_year: f64, "share" [0..=1];
        /// Chance in a year of a pause.
        pauses_per_year: f64, "share" [0..=1];
        /// Mean length of a pause.
        pause_days: f64, "days" [7..=400];
        /// Multiple of the accepted amount from which fixed appliances are offered.
        conversion_ratio: f64, "ratio" [1..=50];
        /// Share of those offers that are accepted, at each rescan.
        conversion_share: f64, "share" [0..=1];
        /// Share of finished patients who come to retention visits.
        retention_visits_share: f64, "share" [0..=1];
    }
    /// What the record contains.
    report: ReportValues {
        /// Share of patients with a wear log.
        logged_share: f64, "share" [0..=1];
        /// Share of patients without a sensor who use a timer.
        timer_share: f64, "share" [0..=1];
        /// Share of days with an entry.
        coverage_share: f64, "share" [0..=1];
        /// The share of the time without trays that patients omit when they report it.
        flattery: f64, "share" [0..=0.9];
        /// Minutes to which reported times are rounded.
        rounding_minutes: i32, "minutes" [1..=120];
        /// Number of times a day that trays are taken out.
        removals: f64, "times" [1..=12];
        /// Share of patients who report how they feel.
        comfort_share: f64, "share" [0..=1];
        /// Pain on the first day of the first tray.
        first_pain: f64, "of 10" [0..=10];
        /// Pain on the first day of later trays.
        later_pain: f64, "of 10" [0..=10];
        /// Share of pain that remains a day later.
        pain_kept: f64, "share" [0..=0.95];
        /// Median days until speech is back to normal.
        speech_days: f64, "days" [1..=200];
        /// Spread of the logarithm of those days.
        speech_sigma: f64, "log" [0..=2];
        /// Share of check-ins at which plaque is observed and recorded.
        plaque_share: f64, "share" [0..=1];
        /// Share of check-ins with plaque at which swollen gums are also recorded.
        gum_share: f64, "share" [0..=1];
        /// Share of patients whose trays stain.
        stain_share: f64, "share" [0..=1];
        /// Share of check-ins at which a crack in the tray is observed.
        crack_share: f64, "share" [0..=1];
        /// Share of check-ins at which a rough edge is recorded.
        edge_share: f64, "share" [0..=1];
        /// Share of check-ins and visits with a note.
        note_share: f64, "share" [0..=1];
    }
}
