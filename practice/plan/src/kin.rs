//! The level of mechanics for a class that nobody was followed with: from the classes of the same construct that were.
//!
//! The level delta of a class (`strength::anchor`) is a part that all classes of a construct share (the bite, the form, the support) and a part of its own (its strength as it comes from the furnace), each
//! with half of the variance of the prior N(0, 0.35^2) (common practice, no source). Levels of J kin found in patients, with mean d, leave for another class
//! N(d J/(J+1), 0.35^2/2 (1 + 1/(J+1))): the prior itself where J = 0. Draw by draw, so that what is not known of the kin is carried. Kin of what is veneered
//! all over are veneered all over, where patients had any: what mechanics leaves out of a veneered wall (firing, chips that run into the core) they share. Limits: classes of one construct only; two kin
//! that disagree widen nothing.

use answer::Draws;

/// Level of a class without patients: `own` a draw of the prior, `kin` the levels of its kin.
pub(crate) fn level(kin: &[Draws], own: &Draws) -> Draws {
    let j = kin.len() as f64;
    let spread = (0.5 * (1.0 + 1.0 / (j + 1.0))).sqrt();
    kin.iter().fold(own.scaled(spread), |sum, kin| sum.plus(&kin.scaled(1.0 / (j + 1.0))))
}

#[cfg(test)]
mod tests {
    use super::*;
    use answer::World;

    fn sd(d: &Draws) -> f64 {
        let mean = d.mean();
        d.map(|x| (x - mean).powi(2)).mean().sqrt()
    }

    /// Of a normal pair with half the variance in common: the mean given the other, and what is left (Anderson 1958, memory).
    #[test]
    fn kin_draw_the_level_and_never_widen_it() {
        let world = World::with_draws(3, 20_000);
        let own = world.normal("own", 0.0, strength::anchor::PRIOR_SD);
        assert_eq!(level(&[], &own).mean(), own.mean());
        let kin = Draws::constant(20_000, -0.8);
        let one = level(std::slice::from_ref(&kin), &own);
        assert!(
            (one.mean() + 0.4).abs() < 0.01 && (sd(&one) / strength::anchor::PRIOR_SD - 0.75f64.sqrt()).abs() < 0.01
        );
        let many = level(&vec![kin; 9], &own);
        assert!((many.mean() + 0.72).abs() < 0.01 && sd(&many) < sd(&one));
    }

    #[test]
    fn what_is_not_known_of_the_kin_is_carried() {
        let world = World::with_draws(3, 20_000);
        let own = world.normal("own", 0.0, strength::anchor::PRIOR_SD);
        let (sure, unsure) = (Draws::constant(20_000, 0.3), world.normal("kin", 0.3, 0.5));
        assert!(sd(&level(&[unsure], &own)) > sd(&level(&[sure], &own)));
    }
}
