//! Everything that a recipe sets: one line for each value, with its unit and its bounds. The values are in the recipes.

use oar_schema::time::Date;
use toml::Value;

use super::setting::{RecipeValueError, Setting, SettingDescription};

/// Values by tooth, from the central incisor to the second molar; third molars have those of second molars.
pub type ByTooth = [f64; 7];

/// Declares the groups of values: `name: type, "unit" [least..=most], "what it is";`.
macro_rules! parameters {
    ($($(#[doc = $group_doc:literal])* $group:ident: $type:ident {
        $($name:ident: $ty:ty, $unit:literal [$least:literal..=$most:literal], $doc:literal;)*
    })*) => {
        $(
            $(#[doc = $group_doc])*
            #[derive(Clone, Debug)]
            pub struct $type {
                $(#[doc = $doc] pub $name: $ty,)*
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
                doc: $doc,
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
        anchor: Date, "day" [0..=0], "The first day on which a patient can come.";
        intake_days: i32, "days" [1..=7300], "Days after the anchor on which new patients come.";
        cut_days: i32, "days" [1..=14600], "Days from the anchor to the export.";
        clinics: i32, "clinics" [1..=1000], "The number of clinics that treat the patients.";
        time_zones: Vec<String>, "names" [0..=0], "The IANA time zones in which patients live; all equally likely.";
        system: String, "name" [0..=0], "The name of the system that writes the records.";
        expression_sd: f64, "log-odds" [0..=2], "How much clinics differ in the expression of their trays.";
        staging_mean: f64, "share" [0.3..=1], "Share of the usual step per tray that clinics plan, on average.";
        staging_sd: f64, "share" [0..=0.3], "How much clinics differ in that share.";
    }
    /// The patients.
    population: PopulationValues {
        female_share: f64, "share" [0..=1], "Share of women and girls.";
        age_median_years: f64, "years" [7..=70], "Median age at the start.";
        age_sigma: f64, "log" [0..=1], "Standard deviation of the logarithm of age.";
        age_least_years: f64, "years" [7..=70], "Youngest age.";
        age_most_years: f64, "years" [8..=88], "Oldest age.";
        agenesis_share: f64, "share" [0..=1], "Share of people with a tooth that never formed, except third molars.";
        agenesis_female_ratio: f64, "ratio" [0.5..=3], "How much more often women are affected.";
        agenesis_more_teeth: f64, "teeth" [0..=5], "Missing teeth of an affected person beyond the first, on average.";
        agenesis_bilateral_share: f64, "share" [0..=1],
            "Share of cases in which the same tooth of the other side is the next missing one.";
        agenesis_upper: ByTooth, "weights" [0..=100], "How often each upper tooth is the missing one, as weights.";
        agenesis_lower: ByTooth, "weights" [0..=100], "How often each lower tooth is the missing one, as weights.";
        retained_primary_share: f64, "share" [0..=1],
            "Share of primary second molars that are retained where the premolar never formed.";
        third_molar_agenesis_share: f64, "share" [0..=1],
            "Share of people in whom at least one third molar never formed.";
        third_molars_out_share: f64, "share" [0..=1], "Share of adults whose third molars were extracted.";
        lost_per_decade: f64, "teeth" [0..=3], "Teeth lost per ten years of age beyond thirty.";
        implant_share: f64, "share" [0..=1], "Share of lost teeth that were replaced by an implant.";
        pontic_share: f64, "share" [0..=1], "Share of lost teeth that were replaced by a pontic.";
        width_correlation: f64, "correlation" [0..=0.99], "Correlation of crown widths within one person.";
        width_sides_sd_mm: f64, "mm" [0..=0.5], "How much a crown differs from that of the other side.";
        widths_known_share: f64, "share" [0..=1], "Share of records with crown widths.";
    }
    /// The positions of the teeth before treatment.
    start: StartValues {
        crowding_upper_mm: f64, "mm" [-5..=10], "Mean lack of space in the upper arch.";
        crowding_lower_mm: f64, "mm" [-5..=10], "Mean lack of space in the lower arch.";
        crowding_sd_mm: f64, "mm" [0..=8], "Standard deviation of the lack of space.";
        crowding_width_correlation: f64, "correlation" [0..=1],
            "Correlation of the lack of space with the crown widths.";
        crowding_arch_correlation: f64, "correlation" [0..=1],
            "Correlation of the two arches beyond that of their crown widths.";
        overlap_weights: [f64; 6], "weights" [0..=10],
            "The part of the lack of space that each contact takes, from the midline to the one before the first molar, as weights.";
        overlap_evenness: f64, "shape" [0.1..=100],
            "How evenly contacts share it: the shape of a gamma distribution; small values are uneven.";
        contact_radius_mm: f64, "mm" [0.05..=3],
            "Radius of curvature of two crowns at their contact: how far they slip past each other when they overlap.";
        facial_sd_mm: f64, "mm" [0..=2], "Displacement across the arch that exists without a lack of space.";
        laterals_behind_share: f64, "share" [0..=1],
            "Share of crowded upper arches in which the laterals are behind their neighbours.";
        behind_short_share: f64, "share" [0..=1],
            "How much height a tooth behind the arch lacks, as a share of how far behind it is.";
        rotation_sd_upper_deg: ByTooth, "degrees" [0..=40], "Rotations of upper teeth.";
        rotation_sd_lower_deg: ByTooth, "degrees" [0..=40], "Rotations of lower teeth.";
        turned_share: f64, "share" [0..=0.5],
            "Share of round teeth and upper laterals that erupted with a far larger rotation.";
        tip_sd_deg: f64, "degrees" [0..=15], "Tip.";
        torque_sd_deg: f64, "degrees" [0..=15], "Torque of incisors.";
        vertical_sd_mm: f64, "mm" [0..=2], "Vertical differences of front teeth from the arch.";
        class_ii_share: f64, "share" [0..=1], "Share of people in class II.";
        class_iii_share: f64, "share" [0..=1], "Share of people in class III.";
        one_sided_share: f64, "share" [0..=1], "Share of class II and III that is one-sided.";
        overjet_mm: f64, "mm" [0..=6], "Mean overjet in class I; class II has more, class III less.";
        overjet_sd_mm: f64, "mm" [0..=4], "Standard deviation of the overjet within a class.";
        overjet_class_mm: f64, "mm" [0..=8], "The amount that a full class adds to the overjet, or subtracts from it.";
        overbite_mm: f64, "mm" [-2..=6], "Mean overbite.";
        overbite_sd_mm: f64, "mm" [0..=5], "Standard deviation of the overbite.";
    }
    /// The treatment plan.
    plan: PlanValues {
        one_arch_share: f64, "share" [0..=1], "Share of treatments of one arch only.";
        least_mm: f64, "mm" [0.01..=1], "A smaller displacement is not corrected.";
        least_deg: f64, "degrees" [0.1..=10], "A smaller rotation is not corrected.";
        expansion_most_mm: f64, "mm" [0..=4], "Maximum expansion of back teeth on each side.";
        proclination_most_mm: f64, "mm" [0..=5], "Maximum proclination of front teeth.";
        proclination_room: f64, "mm per mm" [0.2..=3],
            "Space gained in the arch for each millimetre of proclination of front teeth.";
        expansion_room: f64, "mm per mm" [0.2..=3],
            "Space gained in the arch for each millimetre of expansion on each side.";
        reduction_share: f64, "share" [0..=1],
            "Mean share of the lacking space that clinics gain by interproximal reduction before expansion.";
        reduction_sd: f64, "share" [0..=1], "How much plans differ in that share.";
        reduction_front_mm: f64, "mm" [0..=0.5], "Maximum interproximal reduction planned at a contact of front teeth.";
        reduction_back_mm: f64, "mm" [0..=1], "Maximum interproximal reduction planned at a contact of back teeth.";
        extraction_from_mm: f64, "mm" [0..=20],
            "Lack of space, beyond what expansion and interproximal reduction provide, from which premolars are extracted.";
        distalisation_share: f64, "share" [0..=1],
            "Share of patients with full class II whose upper back teeth are distalised.";
        distalisation_mm: f64, "mm" [0..=4], "The distance of distalisation.";
        elastics_share: f64, "share" [0..=1], "Share of class II and III with elastics.";
        elastics_goal_minutes: i32, "minutes" [60..=1320], "Prescribed minutes of elastic wear a day.";
        front_waits_share: f64, "share" [0..=1],
            "Trays before crowded front teeth begin to rotate, as a share of the trays for expansion.";
        first_least_trays: i32, "trays" [1..=60], "Minimum trays of a first series.";
        refinement_least_trays: i32, "trays" [1..=60], "Minimum trays of a refinement.";
        attachment_rotation_deg: f64, "degrees" [0..=45],
            "Rotation from which a canine or premolar gets an attachment.";
        attachment_extrusion_mm: f64, "mm" [0..=3], "Extrusion from which a tooth gets an attachment.";
        attachment_torque_deg: f64, "degrees" [0..=45], "Torque from which an incisor gets an attachment.";
        attachment_tip_deg: f64, "degrees" [0..=45], "Tip from which a tooth gets an attachment.";
        attachment_anchor_share: f64, "share" [0..=1],
            "Share of back teeth beside moved ones that get an attachment to anchor the tray.";
        change_days_shares: [f64; 3], "shares" [0..=1],
            "Share of treatments with trays changed every 7, 10 and 14 days.";
        wear_goal_minutes: i32, "minutes" [600..=1440], "Prescribed minutes of tray wear a day.";
        wear_minimum_minutes: i32, "minutes" [300..=1440], "The wear minimum: a day with fewer minutes counts as low.";
        remote_share: f64, "share" [0..=1], "Share of patients who are followed up remotely.";
        reminders_share: f64, "share" [0..=1], "Share of patients who get reminders.";
        sensor_share: f64, "share" [0..=1], "Share of patients whose trays contain a sensor.";
        check_in_trays: i32, "trays" [1..=10], "Trays between two check-ins, on average.";
    }
    /// How long trays are worn each day.
    wear: WearValues {
        adherence_alpha: f64, "shape" [0.1..=50],
            "First parameter of the beta distribution of the share of trays worn as prescribed.";
        adherence_beta: f64, "shape" [0.1..=50], "Second parameter of that distribution.";
        reminders_effect: f64, "log-odds" [-1..=3], "The amount that reminders add to the log-odds of that share.";
        teenage_effect: f64, "log-odds a year" [-0.5..=0.5],
            "The amount that each year of age between 7 and 18 subtracts from the log-odds.";
        tray_sigma: f64, "log" [0.05..=1.5], "Spread of the logarithm of time without trays from tray to tray.";
        day_sigma: f64, "log" [0.05..=1.5], "Spread of that logarithm from day to day.";
        day_correlation: f64, "correlation" [0..=0.95], "Correlation of a day with the day before.";
        low_stretch: f64, "factor" [0..=3], "How much further below the others a patient with low adherence is.";
        weekend_effect: f64, "log" [-0.5..=1], "Additional time without trays at weekends.";
        decline_per_year: f64, "log a year" [0..=1], "Additional time without trays with each year.";
        told_effect: f64, "log" [0..=1], "Reduction of the time without trays after advice to wear them more.";
        told_half_days: f64, "days" [1..=200], "Days after which half of that effect is lost.";
        zero_days_per_year: f64, "days" [0..=60], "Days without any wear in a year, for a patient of medium adherence.";
        episodes_per_year: f64, "episodes" [0..=12], "Holidays and illnesses in a year.";
        episode_days: f64, "days" [1..=30], "Mean length of such an episode.";
        episode_effect: f64, "log" [0..=2], "Additional time without trays during an episode.";
        least_out_minutes: f64, "minutes" [5..=120], "Minimum minutes a day without trays, for meals and cleaning.";
    }
    /// How teeth follow their trays.
    response: ResponseValues {
        rotation_upper: ByTooth, "share" [0.02..=0.98], "Expressed share of each step: rotation of upper teeth.";
        rotation_lower: ByTooth, "share" [0.02..=0.98], "Rotation of lower teeth.";
        tip_upper: ByTooth, "share" [0.02..=0.98], "Tip of upper teeth.";
        tip_lower: ByTooth, "share" [0.02..=0.98], "Tip of lower teeth.";
        torque_upper: ByTooth, "share" [0.02..=0.98], "Torque of upper teeth.";
        torque_lower: ByTooth, "share" [0.02..=0.98], "Torque of lower teeth.";
        facial_upper: ByTooth, "share" [0.02..=0.98], "Movement of upper teeth across the arch.";
        facial_lower: ByTooth, "share" [0.02..=0.98], "Movement of lower teeth across the arch.";
        mesial_upper: ByTooth, "share" [0.02..=0.98], "Movement of upper teeth along the arch.";
        mesial_lower: ByTooth, "share" [0.02..=0.98], "Movement of lower teeth along the arch.";
        intrusion: ByTooth, "share" [0.02..=0.98], "Intrusion, upper and lower teeth.";
        extrusion: ByTooth, "share" [0.02..=0.98], "Extrusion, upper and lower teeth.";
        distal_upper_molar: f64, "share" [0.02..=0.98], "Distalisation of upper molars.";
        inward_effect: f64, "log-odds" [-2..=2],
            "How much more movement across the arch is expressed inward than outward.";
        full_wear_effect: f64, "log-odds" [-1..=3],
            "How much more is expressed with full wear than in the studies behind these shares, whose patients had ordinary wear.";
        patient_sd: f64, "log-odds" [0..=2], "How much patients differ.";
        tooth_sd: f64, "log-odds" [0..=2], "How much teeth and axes of one patient differ.";
        attachment_effect: f64, "log-odds" [0..=3],
            "The loss of expression while the supporting attachment is debonded.";
        daily_rate: f64, "a day" [0.05..=3], "The part of the expressible step that is achieved in a day of full wear.";
        recovery_rate: f64, "a day" [0..=0.2], "The part of the lost movement that is recovered in a day of full wear.";
        full_minutes: f64, "minutes" [600..=1440], "Minutes a day from which wear counts as full.";
        idle_minutes: f64, "minutes" [0..=1200], "Minutes a day below which wear has no effect.";
        grip_steps: f64, "steps" [1..=10],
            "Outstanding expressible steps above which a tray no longer grips the tooth.";
        lateral_grip: f64, "share" [0.3..=1.5],
            "The share of that grip for an upper lateral, which has a short, round crown.";
        collision_effect: f64, "log-odds" [0..=3],
            "The loss of expression from a lack of space between teeth, when none of the planned enamel has been removed.";
        seen_linear: f64, "share" [0..=1],
            "Share of a displacement across or along the arch that shows as a fit gap at the edge.";
        seen_vertical: f64, "share" [0..=1.5], "Share of a vertical lag that shows.";
        seen_rotation: f64, "share" [0..=1], "Share of a rotation, at the corner of the crown, that shows.";
        seen_slipped: f64, "share" [0..=1], "Share of the unexpressed movement that shows; trays flex around the rest.";
        seen_from_mm: f64, "mm" [0..=0.5], "Displacement that trays absorb before a fit gap shows.";
        seating_sd_mm: f64, "mm" [0..=0.5], "Standard deviation of the fit gap of a tray that is not fully seated.";
    }
    /// How the bite responds to elastics.
    bite: BiteValues {
        class_sd_mm: f64, "mm" [0..=2], "Spread of the molar position within a class.";
        class_most_mm: f64, "mm" [0.5..=8], "Maximum distance of molars beyond the border between two classes.";
        elastics_mm_per_month: f64, "mm" [0..=2], "Correction by the elastics of one side in a month of full wear.";
        elastics_worn_share: f64, "share" [0..=1],
            "Share of the prescribed hours for which elastics are worn, for patients who wear their trays in full.";
        elastics_overjet_share: f64, "share" [0..=1.5],
            "Share of the correction at the molars that shows in the overjet.";
    }
    /// The work of the clinic.
    care: CareValues {
        start_wait_days: f64, "days" [7..=120], "Days from the first visit to the first trays.";
        rescan_wait_days: f64, "days" [7..=120], "Days from a rescan to the next trays.";
        wait_sigma: f64, "log" [0..=1], "Spread of the logarithm of these two waiting times.";
        review_weeks: f64, "weeks" [2..=30], "Mean weeks between two visits, without remote check-ins.";
        remote_stretch: f64, "ratio" [1..=4], "By what factor that interval is longer with remote check-ins.";
        no_show_share: f64, "share" [0..=0.8], "Share of appointments that are missed.";
        no_show_evenness: f64, "number" [0.5..=1000],
            "How evenly missed appointments are spread over patients: the sum of the two parameters of the beta distribution of their shares.";
        no_show_bonding_ratio: f64, "ratio" [0..=3],
            "How often the appointment at the start of a series is missed, as a multiple of that share.";
        urgent_per_year: f64, "visits" [0..=5], "Urgent visits in a year of wear.";
        missed_check_in_share: f64, "share" [0..=0.9], "Share of check-ins that are missed.";
        gap_error_mm: f64, "mm" [0..=0.5], "Standard deviation of a measured fit gap.";
        hold_from_mm: f64, "mm" [0.1..=2], "Fit gap from which the tray is held.";
        back_from_mm: f64, "mm" [0.2..=3], "Fit gap from which the patient steps back.";
        holds_in_a_row: i32, "holds" [1..=10], "Consecutive holds after which another decision is made.";
        told_below_share: f64, "share" [0..=1],
            "Logged wear share below which the patient is advised to wear the trays more.";
        attachment_early_loss: f64, "share" [0..=0.5], "Share of attachments that fail within the first month.";
        attachment_monthly_loss: f64, "share" [0..=0.3], "Share of attachments that fail in each later month.";
        attachment_back_ratio: f64, "ratio" [0.2..=5], "How much more often attachments of back teeth fail.";
        repair_days: f64, "days" [1..=30], "Days to an urgent repair.";
        tray_lost_share: f64, "share" [0..=0.2], "Share of trays that are lost.";
        tray_broken_share: f64, "share" [0..=0.2], "Share of trays that break.";
        trays_at_a_time: i32, "trays" [1..=200], "Minimum number of trays handed over at a time.";
        reduction_done_mean: f64, "share" [0.05..=1],
            "Mean share of the planned interproximal reduction that is carried out.";
        reduction_done_evenness: f64, "shape" [1..=100],
            "How evenly: the sum of the parameters of a beta distribution.";
        scan_error_mm: f64, "mm" [0..=0.5], "Error of a scan along an axis.";
        scan_error_deg: f64, "degrees" [0..=3], "Error of a scan in an angle.";
        accepted_mm: f64, "mm" [0.1..=20],
            "Mean remaining irregularity and displacement of single teeth that patient and clinic accept.";
        accepted_sigma: f64, "log" [0..=2], "Spread of the logarithm of that amount.";
        accepted_growth: f64, "ratio" [1..=5], "How much more they accept after each refinement.";
        refinements_most: i32, "refinements" [0..=49], "Maximum number of refinements.";
        moves_per_year: f64, "share" [0..=1], "Chance in a year that a patient moves away.";
        leaves_per_year: f64, "share" [0..=1], "Chance in a year that a patient discontinues for personal reasons.";
        pauses_per_year: f64, "share" [0..=1], "Chance in a year of a pause.";
        pause_days: f64, "days" [7..=400], "Mean length of a pause.";
        conversion_ratio: f64, "ratio" [1..=50],
            "Multiple of the accepted amount from which fixed appliances are offered.";
        conversion_share: f64, "share" [0..=1], "Share of those offers that are accepted, at each rescan.";
        retention_visits_share: f64, "share" [0..=1], "Share of finished patients who come to retention visits.";
    }
    /// What the record contains.
    report: ReportValues {
        logged_share: f64, "share" [0..=1], "Share of patients with a wear log.";
        timer_share: f64, "share" [0..=1], "Share of patients without a sensor who use a timer.";
        coverage_share: f64, "share" [0..=1], "Share of days with an entry.";
        flattery: f64, "share" [0..=0.9], "The share of the time without trays that patients omit when they report it.";
        rounding_minutes: i32, "minutes" [1..=120], "Minutes to which reported times are rounded.";
        removals: f64, "times" [1..=12], "Number of times a day that trays are taken out.";
        comfort_share: f64, "share" [0..=1], "Share of patients who report how they feel.";
        first_pain: f64, "of 10" [0..=10], "Pain on the first day of the first tray.";
        later_pain: f64, "of 10" [0..=10], "Pain on the first day of later trays.";
        pain_kept: f64, "share" [0..=0.95], "Share of pain that remains a day later.";
        speech_days: f64, "days" [1..=200], "Median days until speech is back to normal.";
        speech_sigma: f64, "log" [0..=2], "Spread of the logarithm of those days.";
        plaque_share: f64, "share" [0..=1], "Share of check-ins at which plaque is observed and recorded.";
        gum_share: f64, "share" [0..=1], "Share of check-ins with plaque at which swollen gums are also recorded.";
        stain_share: f64, "share" [0..=1], "Share of patients whose trays stain.";
        crack_share: f64, "share" [0..=1], "Share of check-ins at which a crack in the tray is observed.";
        edge_share: f64, "share" [0..=1], "Share of check-ins at which a rough edge is recorded.";
        note_share: f64, "share" [0..=1], "Share of check-ins and visits with a note.";
    }
}
