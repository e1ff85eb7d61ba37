//! Elementary functions without branches, so that loops over bands and pairs run in vector units; only sums, products, quotients
//! and roots stand in them, so that the bits are the same on every machine of a kind.
//!
//! exp: x = n ln 2 + r, |r| <= ln 2 / 2, Taylor to r^12 (remainder below 2e-16); relative error below 1e-15 for -700..700.
//! atan on 0..1: polynomial of degree 25 through Chebyshev nodes, error below 1e-11. sin on 0..1.1: Taylor to x^15, below 1e-13.

/// e^x for -700..700; smaller x give e^-700, greater ones e^700.
#[inline(always)]
pub(crate) fn exp<const FUSED: bool>(x: f64) -> f64 {
    // Adding 1.5 x 2^52 leaves the rounded quotient in the low bits.
    const SHIFT: f64 = 6_755_399_441_055_744.0;
    const LN2_HIGH: f64 = 6.931_471_803_691_238e-1;
    const LN2_LOW: f64 = 1.908_214_929_270_587_7e-10;
    let x = x.clamp(-700.0, 700.0);
    let shifted = x * std::f64::consts::LOG2_E + SHIFT;
    let n = shifted - SHIFT;
    let r = (x - n * LN2_HIGH) - n * LN2_LOW;
    let mut p = 1.0 / 479_001_600.0;
    for c in TAYLOR {
        p = mul_add::<FUSED>(p, r, c);
    }
    let power = f64::from_bits((shifted.to_bits() << 52).wrapping_add(1f64.to_bits()));
    p * power
}

/// 1/11!, 1/10! ... 1/1!, 1.
const TAYLOR: [f64; 12] = [
    1.0 / 39_916_800.0,
    1.0 / 3_628_800.0,
    1.0 / 362_880.0,
    1.0 / 40_320.0,
    1.0 / 5_040.0,
    1.0 / 720.0,
    1.0 / 120.0,
    1.0 / 24.0,
    1.0 / 6.0,
    0.5,
    1.0,
    1.0,
];

/// a b + c, in one rounding where `FUSED` (machines that have it in vector units), in two elsewhere.
#[inline(always)]
pub(crate) fn mul_add<const FUSED: bool>(a: f64, b: f64, c: f64) -> f64 {
    if FUSED { a.mul_add(b, c) } else { a * b + c }
}

/// Arc tangent for 0..1.
#[inline(always)]
pub(crate) fn atan<const FUSED: bool>(u: f64) -> f64 {
    let v = u * u;
    let mut p = ATAN[0];
    for c in &ATAN[1..] {
        p = mul_add::<FUSED>(p, v, *c);
    }
    p * u
}

/// Coefficients of atan(u)/u in u^2, highest first.
const ATAN: [f64; 13] = [
    4.301_647_655_865_876e-4,
    -3.261_485_922_848_808e-3,
    1.160_232_310_357_967_9e-2,
    -2.627_157_437_109_419e-2,
    4.390_286_869_793_273_6e-2,
    -6.038_548_468_201_840e-2,
    7.502_231_384_156_917e-2,
    -9.051_137_259_566_355e-2,
    1.110_565_619_188_611e-1,
    -1.428_526_249_283_281_1e-1,
    1.999_998_035_371_514_7e-1,
    -3.333_333_299_505_202e-1,
    9.999_999_999_902_914e-1,
];

/// Sine for 0..1.1.
#[inline(always)]
pub(crate) fn sin<const FUSED: bool>(x: f64) -> f64 {
    let v = x * x;
    let mut p = -1.0 / 1_307_674_368_000.0;
    for c in [1.0 / 6_227_020_800.0, -1.0 / 39_916_800.0, 1.0 / 362_880.0, -1.0 / 5_040.0, 1.0 / 120.0, -1.0 / 6.0, 1.0]
    {
        p = mul_add::<FUSED>(p, v, c);
    }
    p * x
}

#[cfg(test)]
mod tests {
    #[test]
    fn they_agree_with_the_library() {
        for i in -60_000..=60_000 {
            let x = f64::from(i) * 0.011;
            let wanted = x.exp();
            assert!((super::exp::<false>(x) - wanted).abs() <= 2e-15 * wanted, "exp {x}");
        }
        for i in 0..=10_000 {
            let x = f64::from(i) * 1e-4;
            assert!((super::atan::<true>(x) - x.atan()).abs() < 1e-11, "atan {x}");
            assert!((super::sin::<true>(1.1 * x) - (1.1 * x).sin()).abs() < 1e-13, "sin {x}");
        }
        assert_eq!(super::exp::<true>(0.0), 1.0);
    }
}
