//! The true minutes of wear of each day, which only a sensor would measure.

use oar_schema::time::Date;

use super::population::{Person, YEAR, day_of_week};
use crate::maths::{exp, ln, logistic, logit, normal_quantile, pow};
use crate::random::RandomStream;
use crate::recipe::{Parameters, WearValues};

/// Days of a tray over which single days even out, for the spread of a tray's mean.
const DAYS_OF_A_TRAY: f64 = 10.0;
/// Ages between which adherence changes.
const CHANGING_AGES: (f64, f64) = (7.0, 18.0);
/// Minutes of a day.
const DAY_MINUTES: f64 = 1440.0;
/// Days without wear: at most some minutes.
const IDLE_DAY_MINUTES: i32 = 120;

/// One patient's way of wearing trays.
#[derive(Clone, Debug)]
pub struct Wearer {
    /// Share of trays that are worn as prescribed.
    pub adherence: f64,
    /// Mean of the logarithm of minutes without trays.
    level: f64,
    idle_chance: f64,
    day_noise: f64,
    tray_noise: f64,
    /// Last day of a holiday or an illness.
    episode_until: Option<Date>,
    /// When the patient was last advised to wear the trays more.
    told: Option<Date>,
    began: Option<Date>,
    stream: RandomStream,
}

impl Wearer {
    /// Draws a patient's way.
    pub fn draw(values: &Parameters, person: &Person, reminded: bool, mut stream: RandomStream) -> Self {
        let wear = &values.wear;
        let share = stream.beta(wear.adherence_alpha, wear.adherence_beta).clamp(0.002, 0.998);
        let years = person.age_years.clamp(CHANGING_AGES.0, CHANGING_AGES.1) - CHANGING_AGES.0;
        let reminders = if reminded { wear.reminders_effect } else { 0.0 };
        let adherence = logistic(logit(share) + reminders - wear.teenage_effect * years).clamp(0.002, 0.998);
        let score = normal_quantile(adherence);
        let goal_out = DAY_MINUTES - f64::from(values.plan.wear_goal_minutes);
        let told_out = goal_out.max(wear.least_out_minutes) / (1.0 - values.report.flattery);
        let spread = tray_spread(wear) * (1.0 + wear.low_stretch * (-score).max(0.0));
        let level = ln(told_out) - wear.day_sigma * wear.day_sigma / 2.0 - usual_more(wear) - spread * score;
        let idle_chance = wear.zero_days_per_year / YEAR * (2.0 * (1.0 - adherence));
        let (day_noise, tray_noise) = (stream.normal(), 0.0);
        Self {
            adherence,
            level,
            idle_chance,
            day_noise,
            tray_noise,
            episode_until: None,
            told: None,
            began: None,
            stream,
        }
    }

    /// A new tray: some fit into the days better than others.
    pub fn new_tray(&mut self, values: &WearValues) {
        self.tray_noise = values.tray_sigma * self.stream.normal();
    }

    /// The patient is advised to wear the trays more.
    pub fn tell(&mut self, today: Date) {
        self.told = Some(today);
    }

    /// True minutes without trays on a day of the usual length. A day with a clock change is as much shorter or longer at
    /// night, when trays are in.
    pub fn minutes_out(&mut self, values: &WearValues, today: Date) -> i32 {
        let began = *self.began.get_or_insert(today);
        let keep = values.day_correlation;
        self.day_noise = keep * self.day_noise + (1.0 - keep * keep).sqrt() * self.stream.normal();
        let happens = self.stream.unit();
        if happens < self.idle_chance {
            return DAY_MINUTES as i32 - self.stream.whole(0, IDLE_DAY_MINUTES);
        }
        self.episodes(values, today, happens - self.idle_chance);
        let mut out = self.level + self.tray_noise + values.day_sigma * self.day_noise;
        out += values.decline_per_year * f64::from(today.days_since(began)) / YEAR;
        out += if day_of_week(today) >= 5 { values.weekend_effect } else { 0.0 };
        out += if self.episode_until.is_some() { values.episode_effect } else { 0.0 };
        if let Some(told) = self.told {
            out -= values.told_effect * pow(0.5, f64::from(today.days_since(told)) / values.told_half_days);
        }
        exp(out).clamp(values.least_out_minutes, DAY_MINUTES) as i32
    }

    fn episodes(&mut self, values: &WearValues, today: Date, happens: f64) {
        self.episode_until = self.episode_until.filter(|until| *until >= today);
        if self.episode_until.is_none() && happens < values.episodes_per_year / YEAR {
            let days = self.stream.exponential(values.episode_days) as i32;
            self.episode_until = Some(today.plus_days(days.min(60)));
        }
    }
}

/// What weekends, episodes and the first year add to the logarithm of time without trays, on average.
fn usual_more(values: &WearValues) -> f64 {
    let episodes = values.episodes_per_year * values.episode_days / YEAR * values.episode_effect;
    values.weekend_effect * 2.0 / 7.0 + episodes + values.decline_per_year / 2.0
}

/// Spread of the logarithm of a tray's mean time without it.
fn tray_spread(values: &WearValues) -> f64 {
    let keep = values.day_correlation;
    let evened = values.day_sigma * values.day_sigma * (1.0 + keep) / (1.0 - keep) / DAYS_OF_A_TRAY;
    (values.tray_sigma * values.tray_sigma + evened).sqrt()
}
