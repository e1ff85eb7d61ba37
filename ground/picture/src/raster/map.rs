//! Colour maps whose equal steps look equal.
//!
//! A map is a smooth path through CIELAB (CIE 15:2018, D65) walked at constant speed: equal shares of the range are equal distances of
//! colour (CIE 1976 difference). The one-way map rises in lightness all along, so that it stays ordered in a grey print and for readers with
//! any colour-vision deficiency; the two-way map is light in its middle and darkens equally to either side, blue to orange.

use crate::palette::Rgb;
use crate::screen_colour;

/// A colour map.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum ColourMap {
    /// Dark blue over green to light yellow: for what runs from little to much.
    OneWay,
    /// Blue over light grey to orange: for what lies either side of a middle.
    TwoWay,
}

type Lab = [f64; 3];

const ONE_WAY: [Lab; 5] =
    [[24.0, 16.0, -38.0], [42.0, -10.0, -28.0], [58.0, -32.0, 4.0], [75.0, -34.0, 44.0], [92.0, -8.0, 60.0]];
const COLD: [Lab; 3] = [[34.0, 12.0, -47.0], [62.0, -6.0, -30.0], [91.0, 0.0, 0.0]];
const WARM: [Lab; 3] = [[34.0, 34.0, 34.0], [62.0, 26.0, 30.0], [91.0, 0.0, 0.0]];

impl ColourMap {
    /// Colour at a share of the range, 0 to 1 (clamped).
    pub fn at(self, share: f64) -> Rgb {
        screen_colour(self.lab(share))
    }

    /// CIELAB at a share of the range.
    pub fn lab(self, share: f64) -> [f64; 3] {
        let t = if share.is_nan() { 0.0 } else { share.clamp(0.0, 1.0) };
        match self {
            Self::OneWay => walk(&ONE_WAY, t),
            Self::TwoWay if t < 0.5 => walk(&COLD, 2.0 * t),
            Self::TwoWay => walk(&WARM, 2.0 * (1.0 - t)),
        }
    }
}

/// A place on a path at a share of its length.
fn walk(path: &[Lab], share: f64) -> Lab {
    const PIECES: usize = 256;
    let spans = path.len() - 1;
    let at = |u: f64| -> Lab {
        let s = (u as usize).min(spans - 1);
        let t = u - s as f64;
        let knot = |k: isize| path[(s as isize + k).clamp(0, spans as isize) as usize];
        let (a, b, c, d) = (knot(-1), knot(0), knot(1), knot(2));
        std::array::from_fn(|i| {
            let (m0, m1) = (0.5 * (c[i] - a[i]), 0.5 * (d[i] - b[i]));
            let (t2, t3) = (t * t, t * t * t);
            (2.0 * t3 - 3.0 * t2 + 1.0) * b[i]
                + (t3 - 2.0 * t2 + t) * m0
                + (3.0 * t2 - 2.0 * t3) * c[i]
                + (t3 - t2) * m1
        })
    };
    let place = |k: usize| at(spans as f64 * k as f64 / PIECES as f64);
    let step = |k: usize| {
        let (p, q) = (place(k), place(k + 1));
        (0..3).map(|i| (q[i] - p[i]).powi(2)).sum::<f64>().sqrt()
    };
    let steps: Vec<f64> = (0..PIECES).map(step).collect();
    let mut rest = share * steps.iter().sum::<f64>();
    for (k, length) in steps.iter().enumerate() {
        if rest <= *length || k + 1 == PIECES {
            let t = if *length > 0.0 { (rest / length).min(1.0) } else { 0.0 };
            return at(spans as f64 * (k as f64 + t) / PIECES as f64);
        }
        rest -= length;
    }
    path[spans]
}

#[cfg(test)]
mod tests {
    use super::*;

    fn apart(p: Lab, q: Lab) -> f64 {
        (0..3).map(|i| (q[i] - p[i]).powi(2)).sum::<f64>().sqrt()
    }

    /// CIELAB of a screen colour, by the forward formulas.
    fn lab_of(c: Rgb) -> Lab {
        let [r, g, b] = [c.0, c.1, c.2].map(|v| {
            let s = f64::from(v) / 255.0;
            if s <= 0.04045 { s / 12.92 } else { ((s + 0.055) / 1.055).powf(2.4) }
        });
        let f = |t: f64| {
            if t > (6.0f64 / 29.0).powi(3) { t.cbrt() } else { t / (3.0 * (6.0f64 / 29.0).powi(2)) + 4.0 / 29.0 }
        };
        let x = f((0.4124564 * r + 0.3575761 * g + 0.1804375 * b) / 0.95047);
        let y = f(0.2126729 * r + 0.7151522 * g + 0.0721750 * b);
        let z = f((0.0193339 * r + 0.1191920 * g + 0.9503041 * b) / 1.08883);
        [116.0 * y - 16.0, 500.0 * (x - y), 200.0 * (y - z)]
    }

    #[test]
    fn equal_steps_are_equal_distances_of_colour_and_screens_can_show_them() {
        for map in [ColourMap::OneWay, ColourMap::TwoWay] {
            let steps: Vec<f64> =
                (0..20).map(|k| apart(map.lab(f64::from(k) / 20.0), map.lab(f64::from(k + 1) / 20.0))).collect();
            let (low, high) =
                (steps.iter().copied().fold(f64::INFINITY, f64::min), steps.iter().copied().fold(0.0, f64::max));
            assert!(high / low < 1.06, "{map:?}: steps from {low} to {high}");
            for k in 0..=50 {
                let t = f64::from(k) / 50.0;
                let off = apart(lab_of(map.at(t)), map.lab(t));
                assert!(off < 2.0, "{map:?} at {t}: out of the screen's colours by {off}");
            }
        }
    }

    #[test]
    fn lightness_rises_one_way_and_mirrors_the_other() {
        for k in 0..50 {
            let (a, b) = (f64::from(k) / 50.0, f64::from(k + 1) / 50.0);
            assert!(ColourMap::OneWay.lab(b)[0] > ColourMap::OneWay.lab(a)[0]);
            assert!((ColourMap::TwoWay.lab(a)[0] - ColourMap::TwoWay.lab(1.0 - a)[0]).abs() < 7.0);
        }
    }
}
