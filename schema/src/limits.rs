//! Every threshold of the rules and signals: its value, unit, range and source.
//!
//! Each limit has exactly one mark that says what supports its value: a published source, common practice, memory or an
//! assumption ([`Basis`]). Every limit can be set.

use std::fmt;

use crate::number::{Hundredths, hundredths};

/// What supports the value of a limit. There are no other kinds of support.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Basis {
    /// A published source: authors, year, journal or standard, and the location in it. Somebody read the number there or in a
    /// text that repeats it.
    Source(&'static str),
    /// Common practice without a source: what the practice is.
    Practice(&'static str),
    /// From memory; nobody read a source for it: what is remembered.
    Memory(&'static str),
    /// A choice of this project: the reason for it.
    Assumption(&'static str),
}

impl Basis {
    /// All marks.
    pub const MARKS: [&'static str; 4] = ["source", "common practice, no source", "from memory", "assumption"];

    /// The mark, in words.
    pub const fn mark(self) -> &'static str {
        let [source, practice, memory, assumption] = Self::MARKS;
        match self {
            Self::Source(_) => source,
            Self::Practice(_) => practice,
            Self::Memory(_) => memory,
            Self::Assumption(_) => assumption,
        }
    }

    /// The source, or the reason for the value.
    pub const fn reason(self) -> &'static str {
        match self {
            Self::Source(why) | Self::Practice(why) | Self::Memory(why) | Self::Assumption(why) => why,
        }
    }
}

impl fmt::Display for Basis {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        write!(f, "{}: {}", self.mark(), self.reason())
    }
}

/// The scale of a limit's value.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum LimitScale {
    /// In whole units.
    Whole,
    /// In hundredths of the unit.
    Hundredths,
}

/// One limit.
#[derive(Clone, Copy, Debug)]
pub struct Limit {
    /// Its name: the same in code, pages and options.
    pub name: &'static str,
    /// What it limits.
    pub doc: &'static str,
    /// Its default value, on its scale.
    pub value: i64,
    /// How it is counted.
    pub scale: LimitScale,
    /// Its unit.
    pub unit: &'static str,
    /// The lowest and the highest value that it can be set to, on its scale.
    pub range: (i64, i64),
    /// What supports its value.
    pub basis: Basis,
    /// Its field.
    field: fn(&mut Limits) -> &mut i64,
}

impl Limit {
    /// A value on the limit's scale, as decimal text without the unit.
    pub fn written(&self, value: i64) -> String {
        match self.scale {
            LimitScale::Whole => value.to_string(),
            LimitScale::Hundredths => Hundredths(value as i32).to_string(),
        }
    }

    fn read(&self, text: &str) -> Option<i64> {
        match self.scale {
            LimitScale::Whole => text.parse().ok(),
            LimitScale::Hundredths => hundredths(text),
        }
    }
}

/// Why a limit could not be set.
#[derive(Clone, Debug, PartialEq, Eq)]
#[non_exhaustive]
pub enum LimitError {
    /// No limit has this name.
    Unknown(String),
    /// The text is not a number on the limit's scale.
    NotANumber(&'static str, String),
    /// The value is outside the range of the limit.
    OutOfRange(&'static str, String, String),
}

impl fmt::Display for LimitError {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        match self {
            Self::Unknown(name) => write!(f, "unknown limit {name}"),
            Self::NotANumber(name, text) => write!(f, "{text} is not a number for the limit {name}"),
            Self::OutOfRange(name, value, range) => {
                write!(f, "{value} is outside {range}, the range of the limit {name}")
            }
        }
    }
}

impl std::error::Error for LimitError {}

/// Declares the limits: the struct of their values, their defaults and the table that describes them.
macro_rules! limits {
    ($($(#[doc = $doc:literal])* $name:ident = $value:literal $scale:ident $unit:literal in $least:literal..=$most:literal, $basis:ident $why:literal;)*) => {
        /// The value of every limit, on its own scale: whole units, or hundredths of the unit that the name ends in, as
        /// [`Limit::scale`] and the line of the field say. `tray_linear_mm: 25` is 0.25 mm. Rules compare hundredths with
        /// hundredths, as [`Hundredths`] holds them, so that nothing is rounded.
        #[derive(Clone, Debug, PartialEq, Eq)]
        pub struct Limits {
            $($(#[doc = $doc])* #[doc = concat!("\n\n", stringify!($scale), ", ", $unit, ".")] pub $name: i64,)*
        }

        impl Default for Limits {
            fn default() -> Self {
                Self { $($name: $value,)* }
            }
        }

        /// All limits, in the order of their themes.
        pub const LIMITS: &[Limit] = &[
            $(Limit {
                name: stringify!($name),
                doc: concat!($($doc, "\n"),*),
                value: $value,
                scale: LimitScale::$scale,
                unit: $unit,
                range: ($least, $most),
                basis: Basis::$basis($why),
                field: |limits| &mut limits.$name,
            },)*
        ];

        impl Limits {
            /// The value of a limit, by its name.
            pub fn get(&self, name: &str) -> Option<i64> {
                match name {
                    $(stringify!($name) => Some(self.$name),)*
                    _ => None,
                }
            }

            /// Sets a limit from text such as `0.3`.
            ///
            /// # Errors
            /// When no limit has the name, or the value is not a number within its range.
            pub fn set(&mut self, name: &str, text: &str) -> Result<(), LimitError> {
                let (limit, value) = read(name, text)?;
                self.set_to(limit, value);
                Ok(())
            }

            /// Sets a limit to a value on its scale.
            pub fn set_to(&mut self, limit: &Limit, value: i64) {
                *(limit.field)(self) = value;
            }
        }
    };
}

fn read(name: &str, text: &str) -> Result<(&'static Limit, i64), LimitError> {
    let limit = LIMITS.iter().find(|limit| limit.name == name).ok_or_else(|| LimitError::Unknown(name.to_owned()))?;
    let value = limit.read(text).ok_or_else(|| LimitError::NotANumber(limit.name, text.to_owned()))?;
    let (least, most) = limit.range;
    if (least..=most).contains(&value) {
        return Ok((limit, value));
    }
    let range = format!("{} to {} {}", limit.written(least), limit.written(most), limit.unit);
    Err(LimitError::OutOfRange(limit.name, limit.written(value), range))
}

limits! {
    // ---- file ----
    /// A record larger than this is skipped, so that memory use stays bounded.
    largest_record_kilobytes = 65536 Whole "KiB" in 1..=4_000_000, Assumption "a record of twenty years with a log entry for every day is smaller than 2 MB";

    // ---- teeth ----

    /// A tooth that is present this long before the published age of eruption was probably not listed as absent.
    early_years = 2 Whole "years" in 0..=10, Memory "teeth erupt within about a year of the mean, standard deviation 0.7 to 1.4 years";
    /// A tooth that was absent at the start may have erupted since, up to this long after the published age.
    late_years = 5 Whole "years" in 0..=30, Assumption "an impacted or late tooth erupts a few years after the others";
    /// A primary tooth at this age or later is unusual.
    retained_years = 18 Whole "years" in 13..=99, Assumption "the last primary teeth are replaced at 10 to 12, when second premolars erupt; those that remain have no successor";
    /// A crown width this many standard deviations from the mean of its tooth is probably mistyped.
    crown_width_sds = 400 Hundredths "standard deviations" in 200..=1000, Assumption "of normally distributed values one in 16,000 is further from the mean; peg-shaped lateral incisors come close";
    /// Left and right crowns that differ in width by more than this are unusual.
    crown_sides_mm = 100 Hundredths "mm" in 20..=500, Assumption "crowns of the two sides are alike (Cabrera et al., abstract: 57 patients, symmetric); a millimetre is far above measurement error";
    /// A Bolton ratio this many of Bolton's standard deviations from his mean probably contains a mistyped width.
    bolton_sds = 400 Hundredths "standard deviations" in 200..=1000, Assumption "more than 2 is found in 17.4 % of orthodontic patients for the anterior ratio and in 5.4 % for the overall ratio (Othman, Harradine 2007, Angle Orthodontist 77:668-674, 150 patients), so 2 would not indicate a fault in the record";
    /// Front teeth with this irregularity or less count as aligned.
    aligned_irregularity_mm = 100 Hundredths "mm" in 0..=400, Memory "grades that surveys use (Proffit, Fields, Moray 1998, Int J Adult Orthodon Orthognath Surg 13:97-106): 0 to 1 mm is ideal; a text that repeats Little 1975, whose index it is, calls 0 perfect alignment and 1 to 3 mm minimal irregularity";
    /// An arch whose front teeth are aligned does not lack more space than this.
    crowding_when_aligned_mm = 600 Hundredths "mm" in 200..=2000, Source "Bernabé, Flores-Mir 2006, European Journal of Orthodontics 28:269-273, abstract: an irregularity of 4.55 mm best identifies arches that lack more than 6 mm; 200 casts, correlation 0.68";
    /// Front teeth with more irregularity than this are extremely irregular.
    extreme_irregularity_mm = 1000 Hundredths "mm" in 500..=3000, Memory "grades that surveys use (Proffit, Fields, Moray 1998, Int J Adult Orthodon Orthognath Surg 13:97-106): more than 10 mm is extreme; a text that repeats Little 1975, whose index it is, calls 10 mm very severe";
    /// An arch whose front teeth are extremely irregular does not have more spare space than this.
    space_when_irregular_mm = 400 Hundredths "mm" in 0..=2000, Assumption "rotated teeth with spaces are irregular too, but rarely to an extreme with this much space";

    // ---- plan ----

    /// A tray that moves a tooth further than this along or across the arch is fast.
    tray_linear_mm = 25 Hundredths "mm" in 5..=100, Memory "the step that handbooks give for one tray, 0.25 mm; no primary text was found";
    /// A tray that extrudes or intrudes a tooth further than this is fast.
    tray_vertical_mm = 20 Hundredths "mm" in 5..=100, Memory "0.1 to 0.2 mm a tray is usual for intrusion and extrusion; no primary text was found";
    /// A tray that rotates a tooth further than this is fast.
    tray_rotation_deg = 200 Hundredths "degrees" in 50..=1000, Memory "the rotation that handbooks give for one tray, 2 degrees; no primary text was found";
    /// A tray that rotates a canine or premolar further than this is fast.
    tray_rotation_round_deg = 120 Hundredths "degrees" in 50..=1000, Assumption "1.2 degrees a tray at most for the lower second premolar (Cortona, Rossini, Parrini, Deregibus, Castroflorio, Angle Orthod 2020, finite elements), applied to all round teeth";
    /// A tray that tips a tooth along the arch further than this is fast.
    tray_tip_deg = 200 Hundredths "degrees" in 50..=1000, Assumption "as for rotation";
    /// A tray that torques a tooth further than this is fast.
    tray_torque_deg = 100 Hundredths "degrees" in 25..=1000, Memory "the torque that handbooks give for one tray, 1 degree; no primary text was found";
    /// No tray moves a tooth further than this in any direction.
    tray_most_mm = 50 Hundredths "mm" in 10..=300, Assumption "twice the usual step; a study of upper incisors planned 0.5 mm for every two weeks and achieved about half (Drake, McGorray, Dolce, Nair, Wheeler, ISRN Dent 2012:657973)";
    /// No tray rotates or tips a tooth further than this.
    tray_most_rotation_deg = 300 Hundredths "degrees" in 100..=3000, Assumption "3 degrees a tray overload the ligament of the lower second premolar (Cortona, Rossini, Parrini, Deregibus, Castroflorio, Angle Orthod 2020, finite elements), applied to all teeth";
    /// No tray torques a tooth further than this.
    tray_most_torque_deg = 200 Hundredths "degrees" in 50..=3000, Assumption "twice the usual step";
    /// A series that moves a tooth further than this along the arch is unusual.
    far_along_mm = 800 Hundredths "mm" in 100..=2000, Assumption "the space of a premolar, about 7 mm, closed by one neighbour alone, plus a margin";
    /// A series that moves a tooth further than this toward the lip or tongue is unusual.
    far_across_mm = 700 Hundredths "mm" in 100..=2000, Assumption "incisors are retracted by about as much after extractions";
    /// A series that extrudes or intrudes a tooth further than this is unusual.
    far_vertical_mm = 400 Hundredths "mm" in 100..=2000, Assumption "deep bites treated with trays are about 5 mm deep (Shahabuddin, Kang, Jeon 2023, AJODO 163:793-801: 5.20 mm; a third of the planned change was achieved, 1.15 mm), shared between the arches";
    /// A series that rotates a tooth further than this is unusual.
    far_rotation_deg = 4500 Hundredths "degrees" in 1000..=18000, Assumption "far above what is achieved: 40 % of the planned rotation for premolars above 10 degrees (Simon et al. 2014, BMC Oral Health 14:68)";
    /// A series that tips a tooth along the arch further than this is unusual.
    far_tip_deg = 3000 Hundredths "degrees" in 500..=9000, Assumption "the uprighting of a molar that tipped into a gap";
    /// A series that torques a tooth further than this is unusual.
    far_torque_deg = 3000 Hundredths "degrees" in 500..=9000, Assumption "as for tip; 42 % of planned torque above 10 degrees is achieved (Simon et al. 2014, BMC Oral Health 14:68)";
    /// More consecutive trays than this without any movement probably mean a wrong tray number.
    idle_run_trays = 3 Whole "trays" in 0..=200, Practice "up to three passive trays are added: to get used to trays, to wait or to hold";
    /// Neighbours may approach each other by this much without recorded space for it.
    contact_tolerance_mm = 200 Hundredths "mm" in 0..=1000, Assumption "an arch that lacks space as a whole can still have single spaces; the record does not show them";
    /// An additional allowance for the upper central incisors, which may be apart by this much.
    midline_space_mm = 200 Hundredths "mm" in 0..=1000, Practice "a diastema of a millimetre or two closes with its neighbours; Brunelle et al. 1996, J Dent Res 75 Spec:706-713, give no upper bound: a largest upper diastema of 2 mm or more in 19 % at 8 to 11 years, 6 % at 12 to 17 and 5 % of adults, the group that the limit may report";
    /// More remaining space than this is unusual when the plan closes an extraction space.
    space_left_mm = 150 Hundredths "mm" in 0..=1000, Assumption "the spread of crown widths, standard deviation 0.4 mm, and the space that tips and rotations use up";
    /// A refinement that reverses fewer movements than this corrects single teeth.
    undone_movements = 3 Whole "movements" in 1..=300, Assumption "one tooth moved too far has two or three axes";
    /// Movements below this do not count when a refinement is compared with the series before it.
    undone_least_mm = 30 Hundredths "mm" in 0..=500, Assumption "a few tenths of a millimetre may be scan error";
    /// Rotations below this do not count when a refinement is compared with the series before it.
    undone_least_deg = 300 Hundredths "degrees" in 0..=3000, Assumption "a few degrees may be scan error";

    // ---- attachments ----

    /// A round tooth that is rotated further than this slips in the tray unless it has an attachment.
    unheld_rotation_deg = 1000 Hundredths "degrees" in 100..=9000, Practice "round teeth get an attachment for larger rotations. That it helps is not shown: 40 % of planned rotation of premolars above 10 degrees was achieved by teeth with and without one together (Simon et al. 2014, BMC Oral Health 14:68), and attachments made no significant difference to rotation of canines (Kravitz et al. 2008, Angle Orthod 78:682-687, P = 0.343)";
    /// A tooth that is extruded further than this slips out of the tray unless it has an attachment.
    unheld_extrusion_mm = 50 Hundredths "mm" in 10..=500, Practice "extrusion gets an attachment from about half a millimetre on; it is the movement that trays achieve least, 29.6 % (Kravitz et al. 2009, AJODO 135:27-35; 30 % as Rossini et al. 2015 repeat it)";
    /// An attachment not bonded this long after its first tray was put in was forgotten, by the clinic or in the record.
    unbonded_days = 28 Whole "days" in 0..=400, Practice "attachments are bonded with their first tray or at the next visit";
    /// An attachment still on this long after the finish was forgotten, by the clinic or in the record.
    left_on_days = 28 Whole "days" in 0..=400, Practice "attachments are removed at the finish, or when the retainers are delivered some weeks later";
    /// A loss that was observed at a check-in is recorded within this time.
    loss_told_days = 14 Whole "days" in 0..=400, Practice "at the check-in itself, or at the visit that repairs it";

    // ---- reductions ----

    /// Removing more enamel than this at a contact with a front tooth is much.
    contact_front_mm = 50 Hundredths "mm" in 10..=200, Source "Sarig et al., AJODO 2015;147:435-44: at most 0.5 mm at an anterior contact, from both teeth together";
    /// Removing more enamel than this at a contact of two back teeth is much.
    contact_back_mm = 100 Hundredths "mm" in 10..=300, Source "Sarig et al., AJODO 2015;147:435-44: up to 1.0 mm at a posterior contact if both teeth share it equally";
    /// Half of the enamel at a contact of two lower incisors.
    half_enamel_lower_incisors_mm = 63 Hundredths "mm" in 20..=300, Source "Sarig et al., AJODO 2015;147:435-44, abstract: 0.63 mm on a surface of an incisor, and half of two surfaces is one; lower incisors have 0.675 mm on the mesial surface of the central one in Vellini-Ferreira et al., Braz J Oral Sci 2012;11(4), and 0.75 mm in Han, Gang, Lim, Korean J Orthod 2011;41:184-190";
    /// Half of the enamel at any other contact with a front tooth.
    half_enamel_front_mm = 75 Hundredths "mm" in 20..=300, Source "Vellini-Ferreira et al., Braz J Oral Sci 2012;11(4), abstract: the thinnest contact, except those of two lower incisors, has 0.87 mm (lower lateral, distal) and 0.73 mm or more (lower canine, mesial), half of it 0.80 mm or more; the limit is 0.05 mm lower, since teeth differ";
    /// Half of the enamel at a contact of two back teeth.
    half_enamel_back_mm = 120 Hundredths "mm" in 20..=400, Source "Munhoz et al., Braz J Oral Sci 2012;11(1), abstract: 1.28 mm or more on the distal surface of upper first premolars; Kato, Vellini-Ferreira, Cotrim-Ferreira, Scavone-Junior, Ferreira (40 teeth, journal not noted), abstract: 1.23 mm or more on that of lower ones; Fernandes et al., Braz Oral Res 2011;25(4), abstract: 1.35 mm or more on the mesial surface of lower second premolars; rounded down. Molars have up to 1.48 mm (Sarig et al., AJODO 2015;147:435-44)";

    /// Removing more enamel than this at all contacts of an arch together is very much.
    arch_reduction_mm = 890 Hundredths "mm" in 100..=2000, Memory "Sheridan 1985, Journal of Clinical Orthodontics 19:43-59: 8.9 mm an arch, 0.8 mm at each of eight posterior contacts and 2.5 mm in front; it lies between 8 mm in the buccal segments alone (Chudasama, Sheridan 2007, Journal of Clinical Orthodontics, as repeated) and 9.8 mm, half of the enamel of lower premolars and molars (Stroud, English, Buschang 1998, Angle Orthod 68:141-6, abstract)";
    /// Removing this much more enamel than planned at a contact is not reported.
    reduction_over_plan_mm = 20 Hundredths "mm" in 0..=200, Practice "strips and discs come in steps of 0.1 mm; two steps";

    // ---- worn trays ----

    /// This many days may pass between two trays without a recorded reason.
    days_without_tray = 2 Whole "days" in 0..=60, Practice "a tray that went missing, or a visit the next morning";
    /// A tray that was worn for fewer days than this and followed by the next one probably has a mistyped date.
    shortest_tray_days = 3 Whole "days" in 0..=30, Memory "weekly changes are the shortest that are common; a study with micro-osteoperforation changed every three days";
    /// A tray that was worn for more days than this is unusual, unless this was prescribed.
    longest_tray_days = 60 Whole "days" in 14..=400, Practice "two weeks is the longest common interval, and waiting for a refinement takes a few more";

    // ---- wear log ----

    /// Two sources that differ by more than this do not describe the same day.
    sources_apart_minutes = 360 Whole "minutes" in 30..=1500, Assumption "a quarter of a day; no study that compares single days of trays was found. Self-reports of headgear exceed measured wear by 5.02 hours a day on average, 95 % confidence interval 3.64 to 6.40 (Al-Moghrabi, Salazar, Pandis, Fleming 2017, AJODO 152:17-32, abstract): a mean of other appliances";
    /// This many consecutive days with the same minutes look filled in.
    same_minutes_days = 14 Whole "days" in 3..=400, Assumption "measured wear does not stay the same to the minute for two weeks";
    /// Two patients do not share by chance a log with this many entries whose minutes differ from those of the entry before.
    same_log_days = 14 Whole "entries" in 5..=400, Assumption "two weeks of days that all differ do not occur twice";
    /// The number of logged days needed before their unit is questioned.
    unit_days = 5 Whole "days" in 1..=100, Assumption "a few days of illness look like values in hours, a week does not";
    /// Values with this mean or more are hours when none exceeds 24.
    unit_mean_hours = 6 Whole "hours" in 1..=24, Assumption "so few minutes a day, every day, would be no wear at all";
    /// Values with this mean or more are percentages when none exceeds 100.
    unit_mean_percent = 40 Whole "percent" in 1..=100, Assumption "so few minutes a day, every day, would be no wear at all";
    /// More removals than this in a day are unusual.
    most_removals = 20 Whole "removals" in 5..=200, Practice "three meals, snacks, drinks and cleaning make five to ten";
    /// This many days with missing minutes and no removals probably mean that nobody counted the removals.
    uncounted_days = 7 Whole "days" in 1..=400, Assumption "a tray that is out from midnight to the next morning has no removal that day, but not for a week";

    // ---- check-ins and visits ----

    /// A fit gap wider than this is probably mistyped.
    widest_gap_mm = 300 Hundredths "mm" in 50..=2000, Assumption "a third of a crown: such a tray does not stay in";
    /// A tray with a wider fit gap than this at a tooth is usually not followed by the next tray.
    advance_gap_mm = 100 Hundredths "mm" in 10..=1000, Assumption "four trays behind, at the usual step of 0.25 mm";
    /// A tray fits when no tooth has a wider fit gap than this.
    fitting_gap_mm = 10 Hundredths "mm" in 0..=200, Assumption "less than a photograph can show";
    /// After a step back is decided, the earlier tray is put in within this many days.
    step_back_days = 14 Whole "days" in 1..=100, Practice "the patient has the earlier tray at home, or it is remade within two weeks";

    // ---- time and state ----

    /// A patient younger than this at the first record is unusual.
    youngest_years = 6 Whole "years" in 0..=18, Practice "aligner treatment starts no earlier than the early mixed dentition";
    /// A patient older than this is unusual.
    oldest_years = 99 Whole "years" in 60..=120, Assumption "an age of a hundred years is probably a mistyped century; from ninety on, age_over_89 reports the age";

    /// Dates further apart than this do not belong to one treatment.
    dates_apart_years = 5 Whole "years" in 2..=50, Assumption "a wrong decade is ten years off, minus the length of the treatment";
    /// A retention planned for longer than this has a wrong end date.
    retention_years = 30 Whole "years" in 2..=99, Assumption "retention is planned in years; a wrong century is a hundred years off";

    // ---- privacy ----

    /// The greatest age that a year of birth may reveal; higher ages are reported as one group.
    oldest_told_years = 89 Whole "years" in 60..=120, Source "45 CFR 164.514(b)(2)(i)(C): all ages over 89 and all elements of dates (including year) indicative of such age, except that they may be aggregated into a single category of age 90 or older";

    // ---- signals ----

    /// A tooth lags when its fit gap is at least this wide.
    lagging_gap_mm = 50 Hundredths "mm" in 10..=500, Practice "two trays behind, at the usual step of 0.25 mm; seating the tray often closes less";
    /// A tooth that lags at this many consecutive check-ins is reported.
    lagging_check_ins = 2 Whole "check-ins" in 1..=50, Practice "a single check may have shown a tray that was not seated";
    /// Wear is assessed over this many most recent days.
    wear_days = 14 Whole "days" in 3..=180, Practice "one or two trays";
    /// With fewer logged days than this in that time, wear is not reported.
    wear_least_days = 5 Whole "days" in 1..=180, Practice "a weekend says little about a patient";
    /// This many consecutive logged days below the wear minimum are reported.
    low_run_days = 3 Whole "days" in 1..=60, Practice "a patient can make up for one bad day, but not for several";
    /// A wear log without an entry for this many days has stopped.
    silent_days = 5 Whole "days" in 1..=180, Practice "more than a long weekend";
    /// Pain at this level or above is reported.
    pain_from = 4 Whole "of 10" in 1..=10, Memory "on scales from 0 to 10, 1 to 3 is commonly called mild and 4 to 6 moderate";
    /// Pain is expected to settle within this many days of a new tray.
    pain_settles_days = 5 Whole "days" in 1..=60, Memory "pain with trays is highest in the first days and lower within the week";
    /// A tray that stays in this many days beyond its due date is reported.
    overdue_days = 4 Whole "days" in 1..=90, Practice "a change that was forgotten, or postponed over a weekend";
    /// A treatment is stalled without an advance for this many days and for at least twice the days of a tray.
    stalled_days = 35 Whole "days" in 7..=400, Practice "more than two trays of two weeks and a few days";
    /// A series is behind schedule when its trays so far took at least this many days more than prescribed.
    slip_days = 21 Whole "days" in 3..=400, Practice "one or two trays";
    /// A check-in may be this many days late.
    check_in_grace_days = 3 Whole "days" in 0..=60, Practice "a photograph is often taken at the weekend";
    /// The next dental examination is due this many days after the last one.
    dental_check_days = 183 Whole "days" in 30..=800, Practice "six months; the dentist and local rules set the interval";
}
