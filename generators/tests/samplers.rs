//! The samplers against the distribution functions of another library (statrs).

use oar_generators::maths::{exp, normal_quantile, normal_share};
use oar_generators::random::{RandomLayer, RandomStream};
use statrs::distribution::{Beta, ContinuousCDF, DiscreteCDF, Exp, Gamma, LogNormal, Normal, Poisson};

/// Numbers drawn for each comparison.
const COUNT: usize = 50_000;
/// A greatest distance of √n × D that one comparison in ten thousand exceeds by chance (Kolmogorov); seeds are fixed, so that
/// a test that passes once passes always.
const FAR: f64 = 2.23;

fn stream(index: u64) -> RandomStream {
    RandomStream::new(1, index, RandomLayer::Population)
}

/// √n times the greatest distance between the drawn numbers and a distribution function.
fn distance(index: u64, mut draw: impl FnMut(&mut RandomStream) -> f64, share: impl Fn(f64) -> f64) -> f64 {
    let mut stream = stream(index);
    let mut drawn: Vec<f64> = (0..COUNT).map(|_| draw(&mut stream)).collect();
    drawn.sort_by(f64::total_cmp);
    let count = f64::from(COUNT as u32);
    let worst = drawn.iter().zip(0u32..).map(|(x, place)| {
        let (below, through) = (f64::from(place) / count, f64::from(place + 1) / count);
        (share(*x) - below).abs().max((share(*x) - through).abs())
    });
    worst.fold(0.0, f64::max) * count.sqrt()
}

#[test]
fn continuous_samplers_follow_their_distributions() {
    let normal = Normal::new(3.0, 2.0).unwrap();
    assert!(distance(1, |s| s.normal_of(3.0, 2.0), |x| normal.cdf(x)) < FAR);
    let log_normal = LogNormal::new(0.7, 0.4).unwrap();
    assert!(distance(2, |s| s.log_normal(exp(0.7), 0.4), |x| log_normal.cdf(x)) < FAR);
    let exponential = Exp::new(0.25).unwrap();
    assert!(distance(3, |s| s.exponential(4.0), |x| exponential.cdf(x)) < FAR);
    for (index, shape) in [(4, 0.3), (5, 1.0), (6, 2.7), (7, 40.0)] {
        let gamma = Gamma::new(shape, 1.0).unwrap();
        assert!(distance(index, |s| s.gamma(shape), |x| gamma.cdf(x)) < FAR, "gamma {shape}");
    }
    for (index, (alpha, beta)) in [(8, (2.7, 1.5)), (9, (0.4, 0.9)), (10, (1.0, 1.0))] {
        let share = Beta::new(alpha, beta).unwrap();
        assert!(distance(index, |s| s.beta(alpha, beta), |x| share.cdf(x)) < FAR, "beta {alpha} {beta}");
    }
    assert!(distance(11, |s| s.between(2.0, 5.0), |x| (x - 2.0) / 3.0) < FAR);
}

#[test]
fn the_comparison_notices_another_distribution() {
    let normal = Normal::new(3.05, 2.0).unwrap();
    assert!(distance(1, |s| s.normal_of(3.0, 2.0), |x| normal.cdf(x)) > FAR);
}

#[test]
fn counts_follow_their_distributions() {
    for (index, mean) in [(20, 0.4), (21, 5.0), (22, 75.0)] {
        let poisson = Poisson::new(mean).unwrap();
        let mut stream = stream(index);
        let mut drawn: Vec<i32> = (0..COUNT).map(|_| stream.poisson(mean)).collect();
        drawn.sort_unstable();
        let (count, last) = (f64::from(COUNT as u32), drawn[COUNT - 1]);
        for value in 0..=last {
            let below = f64::from(drawn.partition_point(|drawn| *drawn <= value) as u32) / count;
            assert!((below - poisson.cdf(value as u64)).abs() * count.sqrt() < FAR, "mean {mean}, value {value}");
        }
    }
}

#[test]
fn choices_and_whole_numbers_keep_to_their_shares() {
    let mut stream = stream(30);
    let mut counts = [0u32; 3];
    let mut faces = [0u32; 6];
    for _ in 0..COUNT {
        counts[stream.choice(&[1.0, 2.0, 5.0])] += 1;
        faces[(stream.whole(-2, 3) + 2) as usize] += 1;
    }
    for (count, share) in counts.into_iter().zip([0.125, 0.25, 0.625]) {
        assert!((f64::from(count) / f64::from(COUNT as u32) - share).abs() < 0.01, "{counts:?}");
    }
    assert!(
        faces.iter().all(|face| (f64::from(*face) / f64::from(COUNT as u32) - 1.0 / 6.0).abs() < 0.01),
        "{faces:?}"
    );
}

#[test]
fn the_normal_quantile_and_share_agree_with_another_library() {
    let normal = Normal::standard();
    for thousandth in 1..1000 {
        let share = f64::from(thousandth) / 1000.0;
        assert!((normal_quantile(share) - normal.inverse_cdf(share)).abs() < 1e-9, "{share}");
        let back = normal_share(normal_quantile(share));
        assert!((back - share).abs() < 1e-12, "{share} {back}");
    }
    for exponent in 4..300 {
        let share: f64 = format!("1e-{exponent}").parse().unwrap();
        let back = normal_share(normal_quantile(share));
        assert!((back / share - 1.0).abs() < 1e-9, "1e-{exponent}: {back}");
    }
}

#[test]
fn streams_of_layers_and_patients_differ_and_return() {
    let first = |seed, index, layer| RandomStream::new(seed, index, layer).bits();
    let one = first(7, 3, RandomLayer::Wear);
    assert_eq!(one, first(7, 3, RandomLayer::Wear));
    for other in [first(8, 3, RandomLayer::Wear), first(7, 4, RandomLayer::Wear), first(7, 3, RandomLayer::Plan)] {
        assert_ne!(one, other);
    }
}
