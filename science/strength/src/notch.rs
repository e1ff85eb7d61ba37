//! Notch factor of a fillet in bending: root stress over the net-section bending stress.
//!
//! Neuber's blend K = 1 + (Ks-1)(Kd-1)/sqrt((Ks-1)^2 + (Kd-1)^2) of the shallow limit Ks = 1 + 2 sqrt(t/r) and the deep hyperbolic limit Kd
//! (half height a, root radius r, depth t), for a groove around a round bar and for two grooves in a flat bar. Neuber 1958,
//! Kerbspannungslehre, 2nd ed., Springer (formulas from memory; the round Kd agrees with an independent evaluation to 5 digits).
//!
//! Limits: against finite elements of a grooved round bar (nu 0.3, a/r 1.7 to 33) it is 1 to 8 % low, most at sharp roots; against a
//! handbook fit for the flat bar 7 % low. Not corrected for that: the table in `tests/notch.rs` states each miss.

/// Groove around a round bar of net radius `a`, depth `t` (may be infinite), root radius `r`, Poisson ratio `nu`.
pub fn round_bar(a: f64, t: f64, r: f64, nu: f64) -> f64 {
    let x = a / r;
    let s = (x + 1.0).sqrt();
    let n = 3.0 * (x + 1.0) + (1.0 + 4.0 * nu) * s + (1.0 + nu) / (1.0 + s);
    let deep = 0.75 * (s + 1.0) * (3.0 * x - (1.0 - 2.0 * nu) * s + 4.0 + nu) / n;
    blend(t / r, deep)
}

/// Two opposite grooves in a flat bar of net height 2`a`, depth `t` (may be infinite), root radius `r`, bent in its plane.
pub fn flat_bar(a: f64, t: f64, r: f64) -> f64 {
    let x = a / r;
    let s = x.sqrt();
    let deep = 4.0 * x * s / (3.0 * (s + (x - 1.0) * s.atan()));
    blend(t / r, deep)
}

fn blend(depth_ratio: f64, deep: f64) -> f64 {
    let shallow = 2.0 * depth_ratio.sqrt();
    let deep = (deep - 1.0).max(0.0);
    if shallow == 0.0 || deep == 0.0 {
        return 1.0;
    }
    if shallow.is_infinite() {
        return 1.0 + deep;
    }
    1.0 + shallow * deep / shallow.hypot(deep)
}
