//! What would mask a dark substrate: per grade the least thickness of the core, then an opaque cement, then blocking the core out first.
//!
//! Hidden means: on the bench half as strict or stricter observers (drawn) would not refuse the difference to the same stack over
//! ordinary dentine. A way counts as enough when it hides in 8 of 10 draws. 64 draws: chances to about 0.05.

use super::beneath::Beneath;
use super::detail::Masking;
use super::stack::{Named, ensemble, ratio_of};
use super::{NoColour, ORDINARY, Scene, mean_lab};
use crate::candidates::Candidate;
use crate::dimensions::Dimensions;
use answer::{Draws, World, six_figures};
use catalogue::Catalogue;
use catalogue::words::Grade;
use colour::{Goal, LeastThickness, Metric, Reference, ciede2000, difference, least_thickness};

/// Difference of a substrate to ordinary dentine from which masking is a question.
const DARK: f64 = 4.0;
/// Greatest thickness looked at, mm.
const THICKEST: f64 = 3.0;
/// Chance that counts as enough.
const ENOUGH: f64 = 0.8;
/// Draws of the search.
const DRAWS: usize = 64;
/// Thicknesses of the core at which the difference is drawn, mm.
const COURSE: [f64; 9] = [0.3, 0.5, 0.7, 0.9, 1.1, 1.4, 1.7, 2.0, 2.5];
/// Film of an opaque cement, mm.
const CEMENT_MM: f64 = 0.1;
/// Coat of a block-out, mm.
const COAT_MM: f64 = 0.3;

impl Scene {
    /// Ways of masking for a candidate over one tooth, clearest grade first; empty where nothing dark lies beneath.
    pub(super) fn masking(
        &self,
        candidate: &Candidate,
        dimensions: &Dimensions,
        beneath: &Beneath,
        catalogue: &Catalogue,
    ) -> Result<Vec<Masking>, NoColour> {
        if candidate.material.has_alloy() || ciede2000(mean_lab(&beneath.lab), ORDINARY) <= DARK {
            return Ok(Vec::new());
        }
        let mut ways = Vec::new();
        let mut densest = None;
        for row in catalogue.grades(candidate.material) {
            let stack = self.layers(candidate, dimensions, row.grade, row.fact.figure, catalogue)?;
            let Some(room) = stack.last().map(|core| core.1) else { continue };
            let least = self.hides(&stack, beneath)?;
            ways.push(Masking {
                way: format!("{} grade", row.grade.word()),
                grade: row.grade,
                least_mm: least.for_chance(0.9).map(six_figures),
                room_mm: six_figures(room),
                chance: six_figures(least.chance_at(room)),
                course: self.course(&stack, beneath)?,
            });
            densest = Some((row.grade, stack, room));
        }
        if ways.iter().any(|w| w.chance >= ENOUGH) {
            return Ok(ways);
        }
        let Some((grade, stack, room)) = densest else { return Ok(ways) };
        for (way, medium, mm) in [
            ("with an opaque cement", "opaque_cement", CEMENT_MM),
            ("over a core blocked out first", "block_out_resin", COAT_MM),
        ] {
            let (ratio, at) = ratio_of(catalogue, medium)?;
            let optics = self.medium(medium, ratio, at, false)?;
            let mut helped = stack.clone();
            helped.push((medium.replace('_', " "), mm, self.layer(&optics, mm)));
            ways.push(Masking {
                way: format!("{} grade {way}", grade.word()),
                grade,
                least_mm: None,
                room_mm: six_figures(room),
                chance: six_figures(self.hidden_as_it_is(&helped, beneath)?),
                course: Vec::new(),
            });
        }
        Ok(ways)
    }

    /// Least thickness of the core that hides, per draw.
    fn hides(&self, stack: &[Named], beneath: &Beneath) -> Result<LeastThickness, NoColour> {
        self.search(stack, beneath, (0.2, THICKEST))
    }

    /// Chance that a stack hides at the thickness it has: a search over that thickness alone.
    fn hidden_as_it_is(&self, stack: &[Named], beneath: &Beneath) -> Result<f64, NoColour> {
        let mm = stack.last().map_or(0.0, |last| last.1);
        Ok(self.search(stack, beneath, (mm, mm))?.chance_at(mm))
    }

    /// Difference over the real and over ordinary dentine at rising thickness of the core.
    fn course(&self, stack: &[Named], beneath: &Beneath) -> Result<Vec<[f64; 4]>, NoColour> {
        let few = World::with_draws(self.world.seed(), DRAWS.min(self.world.draws()));
        let seen = |mm: f64, backing| {
            let mut one = ensemble(stack, backing);
            if let Some(core) = one.layers.last_mut() {
                core.thickness_mm = Draws::constant(few.draws(), mm);
            }
            one.predict(&few, &self.viewing).map_err(|e| NoColour(e.to_string()))
        };
        COURSE
            .iter()
            .map(|mm| {
                let (real, ordinary) = (seen(*mm, &beneath.backing)?, seen(*mm, &self.ordinary)?);
                let at = difference(&real, &ordinary, Metric::Ciede2000).interval();
                Ok([*mm, at.low, at.median, at.high].map(six_figures))
            })
            .collect()
    }

    fn search(&self, stack: &[Named], beneath: &Beneath, range: (f64, f64)) -> Result<LeastThickness, NoColour> {
        let few = World::with_draws(self.world.seed(), DRAWS.min(self.world.draws()));
        let limit = self.judge.bench.unacceptable(&few);
        let goal = Goal { reference: Reference::Over(&self.ordinary), metric: Metric::Ciede2000, limit: &limit };
        let ensemble = ensemble(stack, &beneath.backing);
        let core = stack.len().saturating_sub(1);
        least_thickness(&ensemble, core, range, goal, &few, &self.viewing).map_err(|e| NoColour(e.to_string()))
    }
}

/// What would mask, in a sentence; empty where nothing needs to be.
pub(super) fn in_words(ways: &[Masking], chosen: Option<Grade>, measured: bool) -> String {
    if ways.is_empty() {
        return String::new();
    }
    let first = ways.iter().find(|w| w.chance >= ENOUGH);
    let mut words = match first {
        Some(way) if Some(way.grade) == chosen && way.least_mm.is_some() => {
            format!("{} of {} mm masks it", way.way, two(way.room_mm))
        }
        Some(way) => format!("{} masks it in the {} mm there are", way.way, two(way.room_mm)),
        None => {
            let thinnest = ways.iter().filter_map(|w| w.least_mm.map(|mm| (mm, w))).min_by(|a, b| a.0.total_cmp(&b.0));
            let instead =
                thinnest.map_or(String::new(), |(mm, w)| format!(", or make room for {} mm of the {}", two(mm), w.way));
            format!("nothing masks at this space: opaque the core first{instead}")
        }
    };
    if !measured {
        words.push_str("; measure the stump");
    }
    words
}

fn two(mm: f64) -> String {
    format!("{mm:.2}")
}
