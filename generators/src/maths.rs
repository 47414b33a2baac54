//! Real functions that give the same bits on every machine.
//!
//! The standard library asks the platform for these, and platforms differ in the last bits; `libm` is plain arithmetic.
//! Addition, multiplication, division, square roots and rounding are exact everywhere and need no such care.

use oar_schema::number::Hundredths;

/// The nearest hundredth.
pub fn hundredths(value: f64) -> Hundredths {
    Hundredths((value * 100.0).round() as i32)
}

/// e to the power of `x`.
pub fn exp(x: f64) -> f64 {
    libm::exp(x)
}

/// The natural logarithm.
pub fn ln(x: f64) -> f64 {
    libm::log(x)
}

/// `base` to the power of `exponent`.
pub fn pow(base: f64, exponent: f64) -> f64 {
    libm::pow(base, exponent)
}

/// The sine of an angle in degrees.
pub fn sin_deg(degrees: f64) -> f64 {
    libm::sin(degrees.to_radians())
}

/// The share whose log-odds are `x`.
pub fn logistic(x: f64) -> f64 {
    1.0 / (1.0 + exp(-x))
}

/// The log-odds of a share between 0 and 1.
pub fn logit(share: f64) -> f64 {
    ln(share / (1.0 - share))
}

/// The share of a standard normal distribution below `x`.
pub fn normal_share(x: f64) -> f64 {
    0.5 * libm::erfc(-x / std::f64::consts::SQRT_2)
}

/// The quantile of a standard normal distribution for a share between 0 and 1: Wichura 1988, Applied Statistics 37:477-484,
/// algorithm AS 241 (coefficients from memory; a test compares them with another implementation).
pub fn normal_quantile(share: f64) -> f64 {
    let centred = share - 0.5;
    if centred.abs() <= 0.425 {
        let r = 0.180_625 - centred * centred;
        return centred * polynomial(&NEAR[0], r) / polynomial(&NEAR[1], r);
    }
    let r = (-ln(share.min(1.0 - share))).sqrt();
    let size = if r <= 5.0 {
        polynomial(&FAR[0], r - 1.6) / polynomial(&FAR[1], r - 1.6)
    } else {
        polynomial(&FURTHER[0], r - 5.0) / polynomial(&FURTHER[1], r - 5.0)
    };
    if centred < 0.0 { -size } else { size }
}

fn polynomial(coefficients: &[f64; 8], x: f64) -> f64 {
    coefficients.iter().rev().fold(0.0, |sum, coefficient| sum * x + coefficient)
}

/// Numerator and denominator, each from the constant up.
type Rational = [[f64; 8]; 2];

const NEAR: Rational = [
    [
        3.387_132_872_796_366_5,
        1.331_416_678_917_843_8e2,
        1.971_590_950_306_551_3e3,
        1.373_169_376_550_946e4,
        4.592_195_393_154_987e4,
        6.726_577_092_700_87e4,
        3.343_057_558_358_813e4,
        2.509_080_928_730_122_7e3,
    ],
    [
        1.0,
        4.231_333_070_160_091e1,
        6.871_870_074_920_579e2,
        5.394_196_021_424_751e3,
        2.121_379_430_158_659_7e4,
        3.930_789_580_009_271e4,
        2.872_908_573_572_194_3e4,
        5.226_495_278_852_854e3,
    ],
];
const FAR: Rational = [
    [
        1.423_437_110_749_683_5,
        4.630_337_846_156_546,
        5.769_497_221_460_691,
        3.647_848_324_763_204_5,
        1.270_458_252_452_368_4,
        2.417_807_251_774_506e-1,
        2.272_384_498_926_918_4e-2,
        7.745_450_142_783_414e-4,
    ],
    [
        1.0,
        2.053_191_626_637_759,
        1.676_384_830_183_803_8,
        6.897_673_349_851e-1,
        1.481_039_764_274_800_8e-1,
        1.519_866_656_361_645_7e-2,
        5.475_938_084_995_345e-4,
        1.050_750_071_644_416_9e-9,
    ],
];
const FURTHER: Rational = [
    [
        6.657_904_643_501_103,
        5.463_784_911_164_114,
        1.784_826_539_917_291_3,
        2.965_605_718_285_048_7e-1,
        2.653_218_952_657_612_4e-2,
        1.242_660_947_388_078_4e-3,
        2.711_555_568_743_487_6e-5,
        2.010_334_399_292_288_1e-7,
    ],
    [
        1.0,
        5.998_322_065_558_88e-1,
        1.369_298_809_227_358e-1,
        1.487_536_129_085_061_5e-2,
        7.868_691_311_456_133e-4,
        1.846_318_317_510_054_8e-5,
        1.421_511_758_316_446e-7,
        2.044_263_103_389_939_8e-15,
    ],
];
