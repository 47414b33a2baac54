//! Every threshold of the rules: a number with its unit, its range and where it comes from.
//!
//! Each has exactly one mark that says what supports its value: a published source, common practice, memory or an
//! assumption ([`Basis`]). All can be set.

use std::fmt;

use crate::number::Hundredths;

/// What supports the value of a limit. There is no other kind of support.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Basis {
    /// A published source: authors, year, journal or standard, and the place in it. Somebody read the number there or in a
    /// text that repeats it.
    Source(&'static str),
    /// The trade does it so and no source says it: what it does.
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

/// How a limit is counted.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Scale {
    /// In whole units.
    Whole,
    /// In hundredths of the unit.
    Hundredths,
}

/// One limit.
#[derive(Clone, Copy, Debug)]
pub struct Limit {
    /// Its name, the same in code, pages and options.
    pub name: &'static str,
    /// What it limits.
    pub doc: &'static str,
    /// Its value unless set otherwise, on its scale.
    pub value: i64,
    /// How it is counted.
    pub scale: Scale,
    /// Its unit.
    pub unit: &'static str,
    /// The least and the most that it can be set to, on its scale.
    pub range: (i64, i64),
    /// What supports its value.
    pub basis: Basis,
}

impl Limit {
    /// A value on the limit's scale as people write it, without the unit.
    pub fn written(&self, value: i64) -> String {
        match self.scale {
            Scale::Whole => value.to_string(),
            Scale::Hundredths => Hundredths(value as i32).to_string(),
        }
    }

    fn read(&self, text: &str) -> Option<i64> {
        match self.scale {
            Scale::Whole => text.parse().ok(),
            Scale::Hundredths => hundredths(text),
        }
    }
}

/// Reads a decimal with at most two places.
fn hundredths(text: &str) -> Option<i64> {
    let (whole, places) = text.split_once('.').unwrap_or((text, ""));
    let no_digit = !text.bytes().any(|byte| byte.is_ascii_digit());
    if no_digit || places.len() > 2 || !places.bytes().all(|byte| byte.is_ascii_digit()) {
        return None;
    }
    let size: i64 = format!("{}{places:0<2}", whole.trim_start_matches('-')).parse().ok()?;
    Some(if whole.starts_with('-') { -size } else { size })
}

/// A limit could not be set.
#[derive(Clone, Debug, PartialEq, Eq)]
pub enum LimitError {
    /// There is no limit of that name.
    Unknown(String),
    /// The text is no number on the limit's scale.
    NotANumber(&'static str, String),
    /// The value lies outside the range that makes sense for the limit.
    OutOfRange(&'static str, String, String),
}

impl fmt::Display for LimitError {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        match self {
            Self::Unknown(name) => write!(f, "no limit is called {name}"),
            Self::NotANumber(name, text) => write!(f, "{text} is no number for the limit {name}"),
            Self::OutOfRange(name, value, range) => {
                write!(f, "{value} is outside {range}, what the limit {name} can be set to")
            }
        }
    }
}

impl std::error::Error for LimitError {}

/// Declares the limits: the struct of their values, their defaults and the table that describes them.
macro_rules! limits {
    ($($(#[doc = $doc:literal])* $name:ident = $value:literal $scale:ident $unit:literal in $least:literal..=$most:literal, $basis:ident $why:literal;)*) => {
        /// The value of every limit, on its own scale (whole units or hundredths, as its table row says).
        #[derive(Clone, Debug, PartialEq, Eq)]
        pub struct Limits {
            $($(#[doc = $doc])* pub $name: i64,)*
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
                scale: Scale::$scale,
                unit: $unit,
                range: ($least, $most),
                basis: Basis::$basis($why),
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
            /// When no limit has the name, or the value is no number within its range.
            pub fn set(&mut self, name: &str, text: &str) -> Result<(), LimitError> {
                let (limit, value) = read(name, text)?;
                match limit.name {
                    $(stringify!($name) => self.$name = value,)*
                    _ => return Err(LimitError::Unknown(name.to_owned())),
                }
                Ok(())
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
    /// A record with more bytes than this is left out: what is held in memory at once stays bounded.
    largest_record_kilobytes = 65536 Whole "KiB" in 1..=4_000_000, Assumption "a record of twenty years with a log entry for every day has less than 2 MB";

    // ---- teeth ----

    /// A tooth that stands so long before the published age of eruption is rather one that was not listed as absent.
    early_years = 2 Whole "years" in 0..=10, Memory "teeth erupt within about a year of the mean, standard deviation 0.7 to 1.4 years";
    /// A tooth that was absent at the start may have come through later, up to so long after the published age.
    late_years = 5 Whole "years" in 0..=30, Assumption "an impacted or late tooth is a few years behind the others";
    /// A primary tooth at this age or later is unusual.
    retained_years = 18 Whole "years" in 13..=99, Assumption "the last primary teeth are replaced at 10 to 12, when second premolars erupt; those that stay have no successor";
    /// A crown width so many standard deviations from the mean of its tooth is rather a mistyped one.
    crown_width_sds = 400 Hundredths "standard deviations" in 200..=1000, Assumption "of normally spread values one in 16,000 lies further off; peg-shaped lateral incisors come near";
    /// Left and right crowns that differ by more are unusual.
    crown_sides_mm = 100 Hundredths "mm" in 20..=500, Assumption "crowns of the two sides are alike (Cabrera et al., abstract: 57 patients, symmetric); a millimetre is far above errors of measurement";
    /// A ratio so many of Bolton's standard deviations from his mean is rather a mistyped width.
    bolton_sds = 400 Hundredths "standard deviations" in 200..=1000, Assumption "beyond 2 lie 17.4 % of orthodontic patients in front and 5.4 % overall (Othman, Harradine 2007, Angle Orthodontist 77:668-674, 150 patients), so that 2 say nothing about the record";
    /// Front teeth with this irregularity or less are aligned.
    aligned_irregularity_mm = 100 Hundredths "mm" in 0..=400, Memory "grades that surveys use (Proffit, Fields, Moray 1998, Int J Adult Orthodon Orthognath Surg 13:97-106): 0 to 1 mm is ideal; a text that repeats Little 1975, whose index it is, calls 0 perfect alignment and 1 to 3 mm minimal irregularity";
    /// An arch whose front teeth are aligned does not lack more room than this.
    crowding_when_aligned_mm = 600 Hundredths "mm" in 200..=2000, Source "Bernabé, Flores-Mir 2006, European Journal of Orthodontics 28:269-273, abstract: an irregularity of 4.55 mm best tells arches that lack more than 6 mm; 200 casts, correlation 0.68";
    /// Front teeth with more irregularity than this are extremely irregular.
    extreme_irregularity_mm = 1000 Hundredths "mm" in 500..=3000, Memory "grades that surveys use (Proffit, Fields, Moray 1998, Int J Adult Orthodon Orthognath Surg 13:97-106): more than 10 mm is extreme; a text that repeats Little 1975, whose index it is, calls 10 mm very severe";
    /// An arch whose front teeth are extremely irregular does not have more room to spare than this.
    space_when_irregular_mm = 400 Hundredths "mm" in 0..=2000, Assumption "rotated teeth with gaps are irregular too, but with so much room they are rarely so to an extreme";

    // ---- plan ----

    /// A tray that moves a tooth further than this along the arch or across it is fast.
    tray_linear_mm = 25 Hundredths "mm" in 5..=100, Memory "the step that handbooks give for one tray, 0.25 mm; no primary text was found";
    /// A tray that lifts or sinks a tooth further than this is fast.
    tray_vertical_mm = 20 Hundredths "mm" in 5..=100, Memory "0.1 to 0.2 mm a tray is usual for intrusion and extrusion; no primary text was found";
    /// A tray that turns a tooth further than this is fast.
    tray_rotation_deg = 200 Hundredths "degrees" in 50..=1000, Memory "the turn that handbooks give for one tray, 2 degrees; no primary text was found";
    /// A tray that turns a canine or premolar further than this is fast.
    tray_rotation_round_deg = 120 Hundredths "degrees" in 50..=1000, Assumption "1.2 degrees a tray at most for the lower second premolar (Cortona, Rossini, Parrini, Deregibus, Castroflorio, Angle Orthod 2020, finite elements), taken for all round teeth";
    /// A tray that tips a tooth along the arch further than this is fast.
    tray_tip_deg = 200 Hundredths "degrees" in 50..=1000, Assumption "as for rotation";
    /// A tray that leans a tooth across the arch further than this is fast.
    tray_torque_deg = 100 Hundredths "degrees" in 25..=1000, Memory "the torque that handbooks give for one tray, 1 degree; no primary text was found";
    /// No tray moves a tooth further than this in millimetres, in any direction.
    tray_most_mm = 50 Hundredths "mm" in 10..=300, Assumption "twice the usual step; a study of upper incisors planned 0.5 mm for every two weeks, and about half was reached (Drake, McGorray, Dolce, Nair, Wheeler, ISRN Dent 2012:657973)";
    /// No tray turns or tips a tooth further than this.
    tray_most_rotation_deg = 300 Hundredths "degrees" in 100..=3000, Assumption "3 degrees a tray stress the ligament of the lower second premolar too much (Cortona, Rossini, Parrini, Deregibus, Castroflorio, Angle Orthod 2020, finite elements), taken for all teeth";
    /// No tray leans a tooth across the arch further than this.
    tray_most_torque_deg = 200 Hundredths "degrees" in 50..=3000, Assumption "twice the usual step";
    /// A series that moves a tooth further than this along the arch is unusual.
    far_along_mm = 800 Hundredths "mm" in 100..=2000, Assumption "a premolar's space, about 7 mm, closed by one neighbour alone, and some more";
    /// A series that moves a tooth further than this toward lip or tongue is unusual.
    far_across_mm = 700 Hundredths "mm" in 100..=2000, Assumption "incisors go back by about as much after extractions";
    /// A series that lifts or sinks a tooth further than this is unusual.
    far_vertical_mm = 400 Hundredths "mm" in 100..=2000, Assumption "deep bites are about 5 mm deep where trays treat them (Shahabuddin, Kang, Jeon 2023, AJODO 163:793-801: 5.20 mm; a third of the planned change was reached, 1.15 mm), shared between the arches";
    /// A series that turns a tooth further than this is unusual.
    far_rotation_deg = 4500 Hundredths "degrees" in 1000..=18000, Assumption "far above what is reached: of turns of premolars above 10 degrees 40 % of the planned turn (Simon et al. 2014, BMC Oral Health 14:68)";
    /// A series that tips a tooth along the arch further than this is unusual.
    far_tip_deg = 3000 Hundredths "degrees" in 500..=9000, Assumption "the uprighting of a molar that fell into a gap";
    /// A series that leans a tooth across the arch further than this is unusual.
    far_torque_deg = 3000 Hundredths "degrees" in 500..=9000, Assumption "as for tip; of planned torque above 10 degrees 42 % is reached (Simon et al. 2014, BMC Oral Health 14:68)";
    /// More trays in a row than this in which nothing moves are rather a wrong number of a tray.
    idle_run_trays = 3 Whole "trays" in 0..=200, Practice "up to three passive trays are added to get used to them, to wait or to hold";
    /// Neighbours may come nearer to each other by this much where no room for it is recorded.
    contact_tolerance_mm = 200 Hundredths "mm" in 0..=1000, Assumption "single spaces in an arch that lacks room as a whole; the record does not tell them";
    /// The upper central incisors may stand apart by this much more.
    midline_space_mm = 200 Hundredths "mm" in 0..=1000, Practice "a gap of a millimetre or two closes with its neighbours; Brunelle et al. 1996, J Dent Res 75 Spec:706-713, give no upper bound: a largest upper diastema of 2 mm or more in 19 % at 8 to 11 years, 6 % at 12 to 17 and 5 % of adults, which are those that the limit may report";
    /// More space than this left of an extraction that the plan closes is unusual.
    space_left_mm = 150 Hundredths "mm" in 0..=1000, Assumption "the spread of crown widths, standard deviation 0.4 mm, and what tips and turns use up";
    /// A refinement that takes back fewer movements than this corrects single teeth.
    undone_movements = 3 Whole "movements" in 1..=300, Assumption "one tooth moved too far has two or three axes";
    /// Shorter movements than this do not count when a refinement is compared with the series before.
    undone_least_mm = 30 Hundredths "mm" in 0..=500, Assumption "below a few tenths of a millimetre a scan may as well be off";
    /// Smaller turns than this do not count when a refinement is compared with the series before.
    undone_least_deg = 300 Hundredths "degrees" in 0..=3000, Assumption "below a few degrees a scan may as well be off";

    // ---- attachments ----

    /// A round tooth that is turned further than this slips in a tray without an attachment.
    unheld_rotation_deg = 1000 Hundredths "degrees" in 100..=9000, Practice "round teeth get an attachment for larger turns. That it helps is not shown: of planned turns of premolars above 10 degrees 40 % was reached by teeth with and without one together (Simon et al. 2014, BMC Oral Health 14:68), and attachments made no significant difference to turns of canines (Kravitz et al. 2008, Angle Orthod 78:682-687, P = 0.343)";
    /// A tooth that is lifted further than this slips out of a tray without an attachment.
    unheld_extrusion_mm = 50 Hundredths "mm" in 10..=500, Practice "extrusion gets an attachment from about half a millimetre on; it is what trays reach least of, 29.6 % (Kravitz et al. 2009, AJODO 135:27-35; 30 % as Rossini et al. 2015 repeat it)";
    /// An attachment that is not bonded so long after its first tray was put in was forgotten, here or there.
    unbonded_days = 28 Whole "days" in 0..=400, Practice "attachments are bonded with their first tray or at the next visit";
    /// An attachment that is still on so long after the finish was forgotten, here or there.
    left_on_days = 28 Whole "days" in 0..=400, Practice "attachments come off at the finish, or when the retainers are handed over some weeks later";
    /// A loss that was seen at a check-in is written down within this time.
    loss_told_days = 14 Whole "days" in 0..=400, Practice "at the check-in itself, or at the visit that mends it";

    // ---- reductions ----

    /// More enamel than this off a contact with a front tooth is much.
    contact_front_mm = 50 Hundredths "mm" in 10..=200, Source "Sarig et al., AJODO 2015;147:435-44: at most 0.5 mm at an anterior contact, from both teeth together";
    /// More enamel than this off a contact of two back teeth is much.
    contact_back_mm = 100 Hundredths "mm" in 10..=300, Source "Sarig et al., AJODO 2015;147:435-44: up to 1.0 mm at a posterior contact if both teeth share it equally";
    /// Half of the enamel that a contact of two lower incisors has.
    half_enamel_lower_incisors_mm = 63 Hundredths "mm" in 20..=300, Source "Sarig et al., AJODO 2015;147:435-44, abstract: 0.63 mm on a surface of an incisor, and half of two surfaces is one; lower incisors have 0.675 mm on the mesial surface of the central one in Vellini-Ferreira et al., Braz J Oral Sci 2012;11(4), and 0.75 mm in Han, Gang, Lim, Korean J Orthod 2011;41:184-190";
    /// Half of the enamel that another contact with a front tooth has.
    half_enamel_front_mm = 75 Hundredths "mm" in 20..=300, Source "Vellini-Ferreira et al., Braz J Oral Sci 2012;11(4), abstract: the thinnest contact, except those of two lower incisors, has 0.87 mm (lower lateral, distal) and 0.73 mm or more (lower canine, mesial), half of it 0.80 mm or more; 0.05 mm less is taken, since teeth differ";
    /// Half of the enamel that a contact of two back teeth has.
    half_enamel_back_mm = 120 Hundredths "mm" in 20..=400, Source "Munhoz et al., Braz J Oral Sci 2012;11(1), abstract: 1.28 mm or more on the distal surface of upper first premolars; Kato, Vellini-Ferreira, Cotrim-Ferreira, Scavone-Junior, Ferreira (40 teeth, journal not noted), abstract: 1.23 mm or more on that of lower ones; Fernandes et al., Braz Oral Res 2011;25(4), abstract: 1.35 mm or more on the mesial surface of lower second premolars; rounded down. Molars have up to 1.48 mm (Sarig et al., AJODO 2015;147:435-44)";

    /// Enamel off all contacts of an arch together that is very much.
    arch_reduction_mm = 890 Hundredths "mm" in 100..=2000, Memory "Sheridan 1985, Journal of Clinical Orthodontics 19:43-59: 8.9 mm an arch, 0.8 mm at each of eight posterior contacts and 2.5 mm in front; it lies between 8 mm in the buccal segments alone (Chudasama, Sheridan 2007, Journal of Clinical Orthodontics, as repeated) and 9.8 mm, half of the enamel of lower premolars and molars (Stroud, English, Buschang 1998, Angle Orthod 68:141-6, abstract)";
    /// So much more enamel than planned may be taken off a contact before it is told.
    reduction_over_plan_mm = 20 Hundredths "mm" in 0..=200, Practice "strips and discs come in steps of 0.1 mm; two steps";

    // ---- worn trays ----

    /// So many days may pass between two trays without a word about why.
    days_without_tray = 2 Whole "days" in 0..=60, Practice "a tray that went missing or a visit that fell on the next morning";
    /// A tray that was worn for fewer days, and then followed by the next one, is rather a mistyped day.
    shortest_tray_days = 3 Whole "days" in 0..=30, Memory "weekly changes are the shortest that are common; a study with micro-osteoperforation changed every three days";
    /// A tray that was worn for more days is unusual, unless it was prescribed.
    longest_tray_days = 60 Whole "days" in 14..=400, Practice "two weeks are the longest common change, and waiting for a refinement takes a few more";

    // ---- wear log ----

    /// Two sources of one day that lie further apart do not tell of the same day.
    sources_apart_minutes = 360 Whole "minutes" in 30..=1500, Assumption "a quarter of a day; no study that compares single days of trays was found. Self-reports of headgear exceed measured wear by 5.02 hours a day on average, 95 % confidence interval 3.64 to 6.40 (Al-Moghrabi, Salazar, Pandis, Fleming 2017, AJODO 152:17-32, abstract): a mean of other appliances";
    /// So many days in a row with the same minutes look filled in.
    same_minutes_days = 14 Whole "days" in 3..=400, Assumption "two weeks without a minute's difference are not measured";
    /// A log with so many entries whose minutes differ from those of the entry before is nobody else's by chance.
    same_log_days = 14 Whole "entries" in 5..=400, Assumption "two weeks of days that all differ do not come about twice";
    /// Values of so many days are looked at before their unit is doubted.
    unit_days = 5 Whole "days" in 1..=100, Assumption "a few days of illness look like hours, a week does not";
    /// Values of this size or more, on average, are hours when none exceeds 24.
    unit_mean_hours = 6 Whole "hours" in 1..=24, Assumption "so few minutes a day, day after day, would be no wear at all";
    /// Values of this size or more, on average, are percent when none exceeds 100.
    unit_mean_percent = 40 Whole "percent" in 1..=100, Assumption "so few minutes a day, day after day, would be no wear at all";
    /// Trays that are taken out more often in a day are unusual.
    most_removals = 20 Whole "removals" in 5..=200, Practice "three meals, snacks, drinks and cleaning come to five to ten";
    /// So many days with minutes missing and no removal are rather days whose removals nobody counted.
    uncounted_days = 7 Whole "days" in 1..=400, Assumption "a tray that is out from one midnight to the next morning has no removal, but not for a week";

    // ---- check-ins and visits ----

    /// A gap between tray and tooth that is wider than this is rather a mistyped one.
    widest_gap_mm = 300 Hundredths "mm" in 50..=2000, Assumption "a third of a crown: such a tray does not stay in";
    /// A tray that leaves a wider gap at a tooth is usually not followed by the next one.
    advance_gap_mm = 100 Hundredths "mm" in 10..=1000, Assumption "four trays of the usual step of 0.25 mm behind";
    /// A tray that leaves no wider gap at any tooth fits.
    fitting_gap_mm = 10 Hundredths "mm" in 0..=200, Assumption "less than can be told from a photograph";
    /// An earlier tray that was decided on goes in within so many days.
    step_back_days = 14 Whole "days" in 1..=100, Practice "an earlier tray is at home, or is made within two weeks";

    // ---- time and state ----

    /// A patient younger than this at the first record is unusual.
    youngest_years = 6 Whole "years" in 0..=18, Practice "aligners start at the earliest in the early mixed dentition";
    /// A patient older than this is unusual.
    oldest_years = 99 Whole "years" in 60..=120, Assumption "a hundred years are rather a mistyped century; from ninety on age_over_89 tells";

    /// Dates with more years than this between them do not belong to one treatment.
    dates_apart_years = 5 Whole "years" in 2..=50, Assumption "a wrong decade is ten years off, less the length of the treatment";
    /// A retention that is planned for longer than this has a wrong end.
    retention_years = 30 Whole "years" in 2..=99, Assumption "an end is set in years; a wrong century is a hundred years off";

    // ---- privacy ----

    /// The greatest age that a year of birth may reveal; those above are told as one group.
    oldest_told_years = 89 Whole "years" in 60..=120, Source "45 CFR 164.514(b)(2)(i)(C): all ages over 89 and all elements of dates (including year) indicative of such age, except that they may be aggregated into a single category of age 90 or older";

    // ---- signals ----

    /// From this gap between tray and tooth on a tooth lags.
    lagging_gap_mm = 50 Hundredths "mm" in 10..=500, Practice "two trays of the usual step of 0.25 mm behind; less is often closed by seating the tray";
    /// A tooth that lags at so many check-ins in a row is told.
    lagging_check_ins = 2 Whole "check-ins" in 1..=50, Practice "one look may have been at a tray that was not seated";
    /// Wear is looked at over so many last days.
    wear_days = 14 Whole "days" in 3..=180, Practice "one or two trays";
    /// Of fewer logged days in that time nothing is said about wear.
    wear_least_days = 5 Whole "days" in 1..=180, Practice "a weekend says little about a patient";
    /// So many logged days in a row under the wear floor are told.
    low_run_days = 3 Whole "days" in 1..=60, Practice "one bad day is caught up, several are not";
    /// A log without an entry for so many days has fallen silent.
    silent_days = 5 Whole "days" in 1..=180, Practice "more than a long weekend";
    /// From this pain on somebody asks.
    pain_from = 4 Whole "of 10" in 1..=10, Memory "on scales from 0 to 10, 1 to 3 is commonly called mild and 4 to 6 moderate";
    /// Pain is expected to settle within so many days of a new tray.
    pain_settles_days = 5 Whole "days" in 1..=60, Memory "pain with trays is highest in the first days and lower within the week";
    /// A tray that stays in for so many days beyond its last is told.
    over_due_days = 4 Whole "days" in 1..=90, Practice "a change that was forgotten or put off over a weekend";
    /// A treatment without an advance for so many days, and at least twice the days of a tray, stands still.
    stalled_days = 35 Whole "days" in 7..=400, Practice "more than two trays of two weeks and a few days";
    /// From so many days more than prescribed on, for all trays of a series so far, its end is told to move.
    slip_days = 21 Whole "days" in 3..=400, Practice "one or two trays";
    /// A check-in may come so many days late.
    check_in_grace_days = 3 Whole "days" in 0..=60, Practice "a photograph is taken at the weekend";
    /// From so many days since the last dental check on, the next one is due.
    dental_check_days = 183 Whole "days" in 30..=800, Practice "six months; the interval is for the dentist and local rules to set";
}
