//! Statistics against examples that others published or that a hand can compute.

use open_aligner_record::statistics::{
    FittedLine, Outcome, Pooled, Share, Survival, Tally, normal_quantile, student_quantile,
};

use super::near;

fn tally(values: &[i64]) -> Tally {
    let mut tally = Tally::default();
    values.iter().for_each(|value| tally.add(*value));
    tally
}

#[test]
fn quantiles_of_distributions_are_those_of_tables() {
    near(normal_quantile(0.975), 1.959_964, 1e-6);
    near(student_quantile(0.975, 4.0), 2.776_445, 1e-6);
    near(student_quantile(0.975, 30.0), 2.042_272, 1e-6);
    assert_eq!(student_quantile(0.975, 0.0), f64::INFINITY);
}

/// Table I of Newcombe 1998, Statistics in Medicine 17:857-872, method 3.
#[test]
fn wilson_intervals_are_those_of_newcombe() {
    for (yes, of, low, high) in
        [(81, 263, 0.2553, 0.3662), (15, 148, 0.0624, 0.1605), (0, 20, 0.0, 0.1611), (1, 29, 0.0061, 0.1718)]
    {
        let (from, to) = Share { yes, of }.percent().unwrap().interval.unwrap();
        near(from / 100.0, low, 5e-5);
        near(to / 100.0, high, 5e-5);
    }
    assert_eq!(Share::default().percent(), None);
}

#[test]
fn ratios_of_shares_by_hand() {
    let (one, other) = (Share { yes: 10, of: 100 }, Share { yes: 20, of: 100 });
    let ratio = one.ratio(other).unwrap();
    near(ratio.value, 0.5, 1e-12);
    // exp(± 1.96 √(0.1 - 0.01 + 0.05 - 0.01)) about 0.5
    near(ratio.interval.unwrap().0, 0.246_641, 1e-6);
    near(ratio.interval.unwrap().1, 1.013_620, 1e-6);
    near(one.odds_ratio(other).unwrap().value, 10.0 * 80.0 / (20.0 * 90.0), 1e-12);
    assert_eq!(one.ratio(Share { yes: 0, of: 9 }), None);
    assert_eq!(one.odds_ratio(Share { yes: 9, of: 9 }), None);
}

#[test]
fn quantiles_lie_between_neighbours_by_straight_line() {
    let four = tally(&[100, 400, 200, 300]);
    assert_eq!(four.quantile(0.25), Some(1.75));
    assert_eq!(four.quantile(0.5), Some(2.5));
    assert_eq!(four.quantile(1.0), Some(4.0));
    assert_eq!(tally(&[700]).quantile(0.9), Some(7.0));
    assert_eq!(Tally::default().quantile(0.5), None);
}

#[test]
fn the_interval_of_a_median_lies_between_order_statistics() {
    // Of 10 values the 2nd and the 9th hold the median with 97.9 % (tables of the sign test).
    let ten = tally(&[100, 200, 300, 400, 500, 600, 700, 800, 900, 1000]);
    let median = ten.quantile_estimate(0.5).unwrap();
    assert_eq!((median.value, median.interval), (5.5, Some((2.0, 9.0))));
}

#[test]
fn mean_and_spread_by_hand() {
    let five = tally(&[200, 400, 400, 400, 600]);
    assert_eq!(five.mean(), Some(4.0));
    near(five.sd().unwrap(), 2.0_f64.sqrt(), 1e-12);
    let mean = five.mean_estimate().unwrap();
    near(mean.interval.unwrap().1, 4.0 + 2.776_445 * (2.0_f64 / 5.0).sqrt(), 1e-5);
    assert_eq!(tally(&[5]).mean_estimate().unwrap().interval, None);
}

/// The four sets of Anscombe 1973, American Statistician 27:17-21, have one line: y = 3 + 0.5 x.
#[test]
fn the_slope_of_anscombes_first_set_is_a_half() {
    let points = [
        (10, 804),
        (8, 695),
        (13, 758),
        (9, 881),
        (11, 833),
        (14, 996),
        (6, 724),
        (4, 426),
        (12, 1084),
        (7, 482),
        (5, 568),
    ];
    let mut line = FittedLine::default();
    points.iter().for_each(|(x, y)| line.add(&[(100 * x, *y)]));
    near(line.slope().unwrap().value, 0.500_1, 5e-5);
    let mut upright = FittedLine::default();
    (0..5).for_each(|y| upright.add(&[(100, y)]));
    assert_eq!(upright.slope(), None);
}

#[test]
fn a_pooled_ratio_has_patients_as_clusters() {
    let mut pooled = Pooled::default();
    for (above, below) in [(1, 2), (2, 2), (3, 4)] {
        pooled.add(above, below);
    }
    let ratio = pooled.estimate().unwrap();
    assert_eq!(ratio.value, 0.75);
    // Residuals -0.5, 0.5, 0: √(0.5 × 3/2) / 8 × t(2)
    near(ratio.interval.unwrap().1, 0.75 + 4.302_653 * 0.75_f64.sqrt() / 8.0, 1e-5);
}

/// Weeks of remission with 6-mercaptopurine (Freireich 1963, Blood 21:699-716), and the Kaplan–Meier estimates that
/// textbooks of survival analysis give for them.
#[test]
fn kaplan_and_meier_on_the_remissions_of_freireich() {
    let relapsed = [6, 6, 6, 7, 10, 13, 16, 22, 23];
    let in_remission = [6, 9, 10, 11, 17, 19, 20, 25, 32, 32, 34, 35];
    let mut survival = Survival::default();
    relapsed.iter().for_each(|week| survival.add(*week, Outcome::Event));
    in_remission.iter().for_each(|week| survival.add(*week, Outcome::Cut));
    let curve = survival.curve();
    let known = [(6, 0.8571), (7, 0.8067), (10, 0.7529), (13, 0.6902), (16, 0.6275), (22, 0.5378), (23, 0.4482)];
    assert_eq!(curve.steps.len(), known.len());
    for (step, (week, without)) in curve.steps.iter().zip(known) {
        assert_eq!(step.day, week);
        near(step.without, without, 5e-5);
        near(step.with, 1.0 - step.without, 1e-12);
    }
    assert_eq!(curve.median().unwrap().0, 23);
    // The interval on the scale of log(-log) at week 6, as in Collett's textbook: 0.620 to 0.952.
    let (low, high) = curve.steps[0].interval.unwrap();
    near(low, 0.620, 5e-4);
    near(high, 0.952, 5e-4);
}

#[test]
fn another_end_is_cut_off_for_one_curve_and_an_end_for_the_other() {
    let mut survival = Survival::default();
    for (day, outcome) in [(1, Outcome::Event), (2, Outcome::Other), (3, Outcome::Event), (4, Outcome::Cut)] {
        survival.add(day, outcome);
    }
    let curve = survival.curve();
    let last = curve.steps.last().unwrap();
    near(last.without, 0.75 * 0.5, 1e-12);
    near(last.with, 0.25 + 0.5 * 0.5, 1e-12);
    assert_eq!(curve.ended, [2, 1, 1]);
    assert!(curve.percent_by(5).is_none(), "nobody is known for so long");
    near(curve.percent_by(2).unwrap().value, 25.0, 1e-12);
}

#[test]
fn parts_add_up_to_the_whole_in_any_order() {
    let (one, other) = (tally(&[1, 2, 2]), tally(&[2, 9]));
    let (mut a, mut b) = (one.clone(), other.clone());
    a.merge(&other);
    b.merge(&one);
    assert_eq!(a, b);
    assert_eq!(a, tally(&[9, 2, 1, 2, 2]));
}
