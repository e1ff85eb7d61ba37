//! Teeth that were made already: a case that is looked at again with another answer mostly asks for the same ones, and making and cutting
//! them is the dearest part of a plan.

use crate::lose::{ShownTeeth, Teeth};
use answer::World;
use case::Case;
use catalogue::Catalogue;
use catalogue::words::Tooth;
use std::sync::{Arc, Mutex};

/// What the standing teeth of a case depend on; the catalogue and what was scanned stay the same within one plan.
#[derive(Debug, PartialEq)]
struct Inputs {
    seed: u64,
    draws: usize,
    age: Option<(f64, f64)>,
    missing: Vec<Tooth>,
    /// Tooth, clinical crown, dentine over the pulp, lean.
    standing: Vec<(Tooth, [Option<f64>; 3])>,
}

impl Inputs {
    fn of(world: &World, case: &Case) -> Self {
        let seen = |tooth: Tooth| {
            let abutment = case.abutment(tooth);
            let [crown, dentine, tilt] = [
                abutment.and_then(|a| a.crown_mm),
                abutment.and_then(|a| a.dentine_mm),
                abutment.and_then(|a| a.tilt_degrees),
            ];
            (tooth, [crown, dentine, tilt])
        };
        Self {
            seed: world.seed(),
            draws: world.draws(),
            age: case.mouth.age.map(case::Age::years),
            missing: case.missing(),
            standing: case.standing().into_iter().map(seen).collect(),
        }
    }
}

/// Teeth by what they depend on.
#[derive(Default)]
pub(crate) struct MadeTeeth(Mutex<Vec<(Inputs, Arc<Teeth>)>>);

impl MadeTeeth {
    /// The teeth of a case, made unless they were.
    pub(crate) fn of(&self, world: &World, case: &Case, catalogue: &Catalogue, shown: &ShownTeeth) -> Arc<Teeth> {
        let inputs = Inputs::of(world, case);
        // A poisoned lock means another worker stopped: make them without the store.
        let known = self
            .0
            .lock()
            .ok()
            .and_then(|made| made.iter().find(|(known, _)| *known == inputs).map(|(_, teeth)| teeth.clone()));
        known.unwrap_or_else(|| {
            let teeth = Arc::new(Teeth::shown(world, case, catalogue, shown));
            if let Ok(mut made) = self.0.lock() {
                made.push((inputs, teeth.clone()));
            }
            teeth
        })
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    #[allow(clippy::unwrap_used)]
    fn teeth_are_made_again_only_for_what_they_depend_on() {
        let text = include_str!("../../../examples/bridge-45-47.toml");
        let case = Case::parse("bridge", text).unwrap().0;
        let (catalogue, world, shown) = (Catalogue::shipped().unwrap(), World::with_draws(1, 64), ShownTeeth::new());
        let made = MadeTeeth::default();
        let first = made.of(&world, &case, &catalogue, &shown);
        let mut other = case.clone();
        other.wish.order.clear();
        other.mouth.grinding = None;
        assert!(Arc::ptr_eq(&first, &made.of(&world, &other, &catalogue, &shown)));
        for change in [
            |c: &mut Case| c.abutments[0].dentine_mm = Some(1.1),
            |c: &mut Case| c.abutments[0].tilt_degrees = Some(31.0),
            |c: &mut Case| c.abutments[0].crown_mm = Some(3.3),
            |c: &mut Case| c.mouth.age = None,
        ] {
            let mut other = case.clone();
            change(&mut other);
            assert!(!Arc::ptr_eq(&first, &made.of(&world, &other, &catalogue, &shown)));
        }
        let fewer = World::with_draws(1, 32);
        assert!(!Arc::ptr_eq(&first, &made.of(&fewer, &case, &catalogue, &shown)));
    }
}
