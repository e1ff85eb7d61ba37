//! The same restoration by the light of a lamp.
//!
//! The laboratory matches the wish in daylight; tooth and restoration keep different spectra behind the one colour. Both are drawn as
//! smooth reflectances of the wished colour with shifts of their own (`colour::smooth_reflectance`, fields `colour/wish/...` and
//! `colour/made/...`), so that by the lamp they part: metamerism. What the substrate shifts there is added as in daylight. A metal is
//! its own spectrum; metal-ceramic, covered by its opaquer, shifts by nothing and keeps the metamerism.
//!
//! Limits: smooth spectra, no fluorescence; the size of the shifts is that of the media's own families (common practice, no source).

use answer::World;
use colour::{Lab, Viewing, smooth_reflectance};

/// Wish and restoration by one lamp.
pub(super) struct Lamp {
    pub viewing: Viewing,
    /// The wished tooth by the lamp.
    pub wish: Vec<Lab>,
    /// A restoration that hits the wish in daylight, by the lamp.
    pub made: Vec<Lab>,
}

impl Lamp {
    /// From the wish in daylight.
    pub fn of(viewing: Viewing, wish: &[Lab], world: &World, daylight: &Viewing) -> Self {
        let by_lamp = |field: &str| by(wish, field, world, daylight, &viewing);
        let (wish, made) = (by_lamp("colour/wish"), by_lamp("colour/made"));
        Self { viewing, wish, made }
    }

    /// Colours known in daylight alone, by the lamp.
    pub fn shows(&self, labs: &[Lab], field: &str, world: &World, daylight: &Viewing) -> Vec<Lab> {
        by(labs, field, world, daylight, &self.viewing)
    }
}

/// A colour no smooth body can have keeps its coordinates.
fn by(labs: &[Lab], field: &str, world: &World, daylight: &Viewing, lamp: &Viewing) -> Vec<Lab> {
    let shift = |name: &str| world.normal(&format!("{field}/{name}"), 0.0, 0.1);
    let (first, second) = (shift("shift_1"), shift("shift_2"));
    labs.iter()
        .enumerate()
        .map(|(k, lab)| {
            smooth_reflectance(*lab, [first.get(k), second.get(k)], daylight)
                .or_else(|_| smooth_reflectance(*lab, [0.0; 2], daylight))
                .map_or(*lab, |spectrum| lamp.lab(&spectrum))
        })
        .collect()
}
