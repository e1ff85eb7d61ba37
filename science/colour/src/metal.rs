//! A bare metal under something clear: it reflects less than in air, since the boundary it makes is weaker.
//!
//! Fresnel at normal incidence with the complex index n + i k: R(m) = ((n - m)^2 + k^2)/((n + m)^2 + k^2), m the index of what
//! touches it. From R in air alone n and k cannot both be told; with a = (1 + R)/(1 - R), q = k/n must obey q^2 <= a^2 - 1, and
//! n = (a + sqrt(a^2 - 1 - q^2))/(1 + q^2). `absorbing` is q^2 as a share of its greatest value: 0.1 to 0.5 for titanium, cobalt
//! alloys, gold, platinum metals in the visible (optical constants of Johnson, Christy 1972, Phys Rev B 6:4370-4379, and 1974, Phys Rev
//! B 9:5056-5070: from memory).
//!
//! Limits: one angle, a smooth face; a blasted face traps light, so that its reading lies below that of the metal and its fall is
//! overstated somewhat.

/// Share of q^2 for metals and alloys, low and high.
pub const ABSORBING: (f64, f64) = (0.1, 0.5);

/// Reflectance under a medium of index `m` of a metal that reflects `in_air` in air.
pub fn under(in_air: f64, absorbing: f64, m: f64) -> f64 {
    let r = in_air.clamp(0.0, 0.999);
    let a = (1.0 + r) / (1.0 - r);
    let q2 = absorbing * (a * a - 1.0);
    let n = (a + (a * a - 1.0 - q2).max(0.0).sqrt()) / (1.0 + q2);
    let k2 = q2 * n * n;
    ((n - m).powi(2) + k2) / ((n + m).powi(2) + k2)
}

#[cfg(test)]
mod tests {
    use super::*;
    use proptest::prelude::*;

    fn fresnel(n: f64, k: f64, m: f64) -> f64 {
        ((n - m).powi(2) + k * k) / ((n + m).powi(2) + k * k)
    }

    #[test]
    fn a_metal_of_known_constants_is_found_again() {
        // Titanium 2.0 + 2.9 i, cobalt 2.2 + 3.7 i, gold in the red 0.25 + 3.0 i and in the blue 1.5 + 1.9 i (memory).
        for (n, k) in [(2.0, 2.9), (2.2, 3.7), (0.25, 3.0), (1.5, 1.9)] {
            let air = fresnel(n, k, 1.0);
            let a: f64 = (1.0 + air) / (1.0 - air);
            let share = (k / n).powi(2) / (a * a - 1.0);
            // The other root of n belongs to a metal whose n is below 1/a of this; gold in the red is of that kind.
            if n * (1.0 + (k / n).powi(2)) >= a {
                assert!((under(air, share, 1.5) - fresnel(n, k, 1.5)).abs() < 1e-12, "{n} {k}");
            }
            let [low, high] = [ABSORBING.0, ABSORBING.1].map(|t| under(air, t, 1.5));
            let wanted = fresnel(n, k, 1.5);
            // Within the drawn range, or a few hundredths of it.
            assert!(
                wanted > low.min(high) - 0.04 && wanted < low.max(high) + 0.04,
                "{n} {k}: {wanted}, {low} to {high}"
            );
        }
    }

    proptest! {
        #[test]
        fn nothing_changes_in_air_and_every_clear_medium_darkens_a_metal(r in 0.2f64..0.98, t in 0.1f64..0.5) {
            prop_assert!((under(r, t, 1.0) - r).abs() < 1e-9);
            let film = under(r, t, 1.5);
            prop_assert!(film < r && film > 0.0, "{film} of {r}");
        }
    }
}
