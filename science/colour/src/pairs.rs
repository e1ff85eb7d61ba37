//! CIEDE2000 of many pairs at once: blocks of eight, without angles.
//!
//! The formula of [`crate::ciede2000_parts`] with hue kept as a unit vector: the mean hue is the bisector of the two, multiples of
//! it follow from the double-angle formulas, dH' = 2 sqrt(C1' C2') sin(dh'/2) = (a1' b2' - a2' b1) / sqrt((C1' C2' + dot)/2). One arc
//! tangent remains, for the rotation term. Agrees with the plain form to 1e-9; pairs whose hues are opposite or undefined (grey)
//! go through the plain form, where its conventions decide.

use crate::difference::TWENTY_FIVE_7;
use crate::{Lab, ciede2000, lanes};

/// Pairs in one block.
const WIDTH: usize = 8;
/// Share of C1' C2' below which two hues count as opposite.
const OPPOSITE: f64 = 1e-9;

/// CIEDE2000 of each pair; as many results as the shorter of the two lists.
pub fn ciede2000_pairs(first: &[Lab], second: &[Lab]) -> Vec<f64> {
    let n = first.len().min(second.len());
    let mut out = vec![0.0; n];
    ciede2000_into(&first[..n], &second[..n], &mut out);
    out
}

/// The same, written into `out`; stops at the shortest of the three lists.
pub fn ciede2000_into(first: &[Lab], second: &[Lab], out: &mut [f64]) {
    // The widest vector units the machine has; no sum is reordered: the same bytes on every machine of a kind.
    simd::Arch::new().dispatch(Pairs { first, second, out });
}

struct Pairs<'a> {
    first: &'a [Lab],
    second: &'a [Lab],
    out: &'a mut [f64],
}

impl simd::WithSimd for Pairs<'_> {
    type Output = ();

    #[inline(always)]
    fn with_simd<S: simd::Simd>(self, _: S) {
        if S::IS_SCALAR {
            all::<false>(self.first, self.second, self.out);
        } else {
            all::<true>(self.first, self.second, self.out);
        }
    }
}

#[inline(always)]
fn all<const FUSED: bool>(first: &[Lab], second: &[Lab], out: &mut [f64]) {
    let n = first.len().min(second.len()).min(out.len());
    let (one, one_rest) = first[..n].as_chunks::<WIDTH>();
    let (other, other_rest) = second[..n].as_chunks::<WIDTH>();
    let (slots, slots_rest) = out[..n].as_chunks_mut::<WIDTH>();
    for ((one, other), slots) in one.iter().zip(other).zip(slots) {
        *slots = block::<FUSED>(one, other);
    }
    if !one_rest.is_empty() {
        let (mut one, mut other) = ([Lab::new(0.0, 0.0, 0.0); WIDTH], [Lab::new(0.0, 0.0, 0.0); WIDTH]);
        one[..one_rest.len()].copy_from_slice(one_rest);
        other[..one_rest.len()].copy_from_slice(other_rest);
        slots_rest.copy_from_slice(&block::<FUSED>(&one, &other)[..one_rest.len()]);
    }
}

/// Totals of a block.
#[inline(always)]
fn block<const FUSED: bool>(one: &[Lab; WIDTH], other: &[Lab; WIDTH]) -> [f64; WIDTH] {
    let (mut totals, mut plain) = ([0.0; WIDTH], [false; WIDTH]);
    for i in 0..WIDTH {
        let (p, q) = (one[i], other[i]);
        (totals[i], plain[i]) = pair::<FUSED>(p.l, p.a, p.b, q.l, q.a, q.b);
    }
    if plain.contains(&true) {
        for i in (0..WIDTH).filter(|i| plain[*i]) {
            totals[i] = ciede2000(one[i], other[i]);
        }
    }
    totals
}

#[inline(always)]
fn chroma_share(c: f64) -> f64 {
    let c2 = c * c;
    let c7 = c2 * c2 * c2 * c;
    (c7 / (c7 + TWENTY_FIVE_7)).sqrt()
}

#[inline(always)]
fn pair<const FUSED: bool>(l1: f64, a1: f64, b1: f64, l2: f64, a2: f64, b2: f64) -> (f64, bool) {
    let mul_add = lanes::mul_add::<FUSED>;
    let mean_chroma = 0.5 * (mul_add(a1, a1, b1 * b1).sqrt() + mul_add(a2, a2, b2 * b2).sqrt());
    let stretch = 1.5 - 0.5 * chroma_share(mean_chroma);
    let (a1, a2) = (a1 * stretch, a2 * stretch);
    let (c1, c2) = (mul_add(a1, a1, b1 * b1).sqrt(), mul_add(a2, a2, b2 * b2).sqrt());
    let product = c1 * c2;
    // Not fused: equal colours have a cross product of nought.
    let (dot, cross) = (a1 * a2 + b1 * b2, a1 * b2 - a2 * b1);
    let (mx, my) = (mul_add(a1, c2, a2 * c1), mul_add(b1, c2, b2 * c1));
    let length = 1.0 / mul_add(mx, mx, my * my).sqrt();
    let (c, s) = (mx * length, my * length);
    // The bisector is 2 sqrt(C1' C2') times the root of dH' long. Near opposite hues it loses digits: the other half-angle formula serves.
    let near = dot >= 0.0;
    let root = (if near { product } else { 2.0 * (product - dot) }).abs().sqrt();
    let d_h = if near { 2.0 * cross * root * length } else { root.copysign(cross) };

    let (cos2, sin2) = (2.0 * c * c - 1.0, 2.0 * s * c);
    let (cos3, sin3) = (mul_add(c, cos2, -s * sin2), mul_add(s, cos2, c * sin2));
    let (cos4, sin4) = (2.0 * cos2 * cos2 - 1.0, 2.0 * sin2 * cos2);
    let t = 1.0 - 0.17 * (COS_30 * c + SIN_30 * s) + 0.24 * cos2 + 0.32 * (COS_6 * cos3 - SIN_6 * sin3)
        - 0.20 * (COS_63 * cos4 + SIN_63 * sin4);

    let (l_mean, c_mean) = (0.5 * (l1 + l2), 0.5 * (c1 + c2));
    let l50 = (l_mean - 50.0) * (l_mean - 50.0);
    // S_L = 1 + 0.015 l50 / q, kept as a fraction.
    let q = (20.0 + l50).sqrt();
    let s_l = mul_add(0.015, l50, q);
    let s_c = 1.0 + 0.045 * c_mean;
    let s_h = 1.0 + 0.015 * c_mean * t;
    let rotation = -2.0 * chroma_share(c_mean) * lanes::sin::<FUSED>(std::f64::consts::FRAC_PI_3 * bell::<FUSED>(c, s));

    // One division for three.
    let all = 1.0 / (s_l * s_c * s_h);
    let (lightness, chroma, hue) =
        ((l2 - l1) * q * (all * s_c * s_h), (c2 - c1) * (all * s_l * s_h), d_h * (all * s_l * s_c));
    let square = lightness * lightness + chroma * chroma + hue * hue + rotation * chroma * hue;
    // What is not a number goes the plain way too.
    let together = product + dot;
    (square.max(0.0).sqrt(), together.is_nan() | (together <= OPPOSITE * product))
}

/// exp(-((h - 275)/25)^2) of the hue whose cosine and sine are given; h in 0..360 degrees as the formula counts it.
#[inline(always)]
fn bell<const FUSED: bool>(c: f64, s: f64) -> f64 {
    let (cos_d, sin_d) = (c * COS_275 + s * SIN_275, s * COS_275 - c * SIN_275);
    let (up, along) = (sin_d.abs(), 1.0 + cos_d);
    // tan(d/2) or its inverse, whichever lies within 0..1.
    let steep = up > along;
    let (least, most) = if steep { (along, up) } else { (up, along) };
    let half = lanes::atan::<FUSED>(least / most);
    let half = if steep { std::f64::consts::FRAC_PI_2 - half } else { half };
    let x = half * (2.0 * 180.0 / (25.0 * std::f64::consts::PI));
    // Hues from 0 to 90 lie 185 to 275 degrees away, not 85 to 175 round the back.
    let away = s >= 0.0 && c > 0.0;
    if away { 0.0 } else { lanes::exp::<FUSED>(-x * x) }
}

const COS_30: f64 = 0.866_025_403_784_438_6;
const SIN_30: f64 = 0.5;
const COS_6: f64 = 0.994_521_895_368_273_3;
const SIN_6: f64 = 0.104_528_463_267_653_47;
const COS_63: f64 = 0.453_990_499_739_546_8;
const SIN_63: f64 = 0.891_006_524_188_367_9;
const COS_275: f64 = 0.087_155_742_747_658_17;
const SIN_275: f64 = -0.996_194_698_091_745_5;
