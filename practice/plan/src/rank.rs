//! Ranking of options on a few criteria when neither values nor weights are certain.
//!
//! Stochastic multicriteria acceptability analysis (SMAA-2; Lahdelma, Salminen 2001, Oper Res 49:444-454, doi
//! 10.1287/opre.49.3.444.11220): with partial values v_j of criterion j in draw k and weights w, U = sum w_j v_j; the share of
//! (draw, weight) pairs in which an option has the b-th largest U is its acceptability for rank b.
//!
//! Value scales are linear between fixed anchors and never scaled to the option set, so the order of two options does not
//! depend on a third (asserted as a property). Weights are swing weights over those anchors: uniform on the simplex, cut to the
//! order of importance given. Values beyond an anchor are not clipped, so that a difference never vanishes there.
//!
//! Departure: the same weight vectors serve every draw block (a fixed number of vectors a draw), which keeps comparisons within
//! a draw and the result reproducible at any thread count.

use answer::{Draws, World};

/// Weight vectors tried in every draw.
pub const WEIGHTS_PER_DRAW: usize = 8;

/// What is known of the weights of the criteria.
#[derive(Debug, Clone, PartialEq)]
pub enum Weighing {
    /// Uniform on the simplex, cut to an order of importance: ranks from 0, equal ranks are not ordered between them, `None` leaves a
    /// criterion free.
    Ordered(Vec<Option<usize>>),
    /// Each between two swing weights, then made to sum to 1.
    Between(Vec<(f64, f64)>),
    /// Fixed; only their ratios count.
    Fixed(Vec<f64>),
}

/// A linear value scale between two anchors: 0 at `worst`, 1 at `best`.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Scale {
    /// Natural value worth 0.
    pub worst: f64,
    /// Natural value worth 1.
    pub best: f64,
}

impl Scale {
    /// Value of a natural amount, not clipped.
    pub fn value(self, natural: f64) -> f64 {
        (natural - self.worst) / (self.best - self.worst)
    }
}

/// One option's values: per criterion, per draw.
#[derive(Debug, Clone, PartialEq)]
pub struct Valued {
    /// Key of the option.
    pub id: String,
    /// Value per criterion (same order for all options).
    pub values: Vec<Draws>,
}

/// Acceptabilities of all options, in the order given.
#[derive(Debug, Clone, PartialEq)]
pub struct Acceptability {
    /// `shares[i][b]`: share of the ways of weighing in which option i has rank b.
    pub shares: Vec<Vec<f64>>,
    /// Mean weight of each criterion.
    pub mean_weights: Vec<f64>,
    /// For each option, the mean weights of the ways in which it comes first: whose wish it meets; `None` where it never does.
    pub central_weights: Vec<Option<Vec<f64>>>,
    /// For each option, the index of one that is at least as good in every draw on every weighted criterion and better in one.
    pub dominated_by: Vec<Option<usize>>,
    /// Mean over the ways of (best U - own U): what choosing it costs on the value scale.
    pub regret: Vec<f64>,
    /// Number of ways.
    pub ways: usize,
}

/// Ranks options under uncertain values and weights. Criteria with `active[j] == false` take no part.
pub fn rank(world: &World, options: &[Valued], active: &[bool], weighing: &Weighing) -> Acceptability {
    let criteria = active.len();
    let weights = WeightField::new(world, active, weighing);
    let mut counts = vec![vec![0u64; options.len()]; options.len()];
    let mut regret = vec![0.0; options.len()];
    let mut weight_sum = vec![0.0; criteria];
    let mut first_sum = vec![vec![0.0; criteria]; options.len()];
    let mut order: Vec<usize> = (0..options.len()).collect();
    let mut utility = vec![0.0; options.len()];
    let ways = world.draws() * WEIGHTS_PER_DRAW;
    for k in 0..world.draws() {
        for replicate in 0..WEIGHTS_PER_DRAW {
            let w = weights.at(replicate, k);
            for (sum, w) in weight_sum.iter_mut().zip(&w) {
                *sum += w;
            }
            for (u, option) in utility.iter_mut().zip(options) {
                *u = (0..criteria).filter(|&j| active[j]).map(|j| w[j] * option.values[j].get(k)).sum();
            }
            order.sort_by(|&a, &b| utility[b].total_cmp(&utility[a]).then(options[a].id.cmp(&options[b].id)));
            if let Some(&first) = order.first() {
                first_sum[first].iter_mut().zip(&w).for_each(|(sum, w)| *sum += w);
            }
            for (place, &i) in order.iter().enumerate() {
                counts[i][place] += 1;
                regret[i] += utility[order[0]] - utility[i];
            }
        }
    }
    let share = |c: &u64| *c as f64 / ways as f64;
    Acceptability {
        shares: counts.iter().map(|row| row.iter().map(share).collect()).collect(),
        central_weights: first_sum
            .iter()
            .zip(&counts)
            .map(|(sum, row)| (row[0] > 0).then(|| sum.iter().map(|s| s / row[0] as f64).collect()))
            .collect(),
        mean_weights: weight_sum.iter().map(|s| s / ways as f64).collect(),
        dominated_by: (0..options.len()).map(|i| dominator(options, active, i)).collect(),
        regret: regret.iter().map(|r| r / ways as f64).collect(),
        ways,
    }
}

/// The first option that is worse in no draw on no criterion, and better somewhere.
fn dominator(options: &[Valued], active: &[bool], i: usize) -> Option<usize> {
    (0..options.len()).find(|&other| {
        let mut better = false;
        other != i
            && active.iter().enumerate().filter(|(_, on)| **on).all(|(j, _)| {
                options[other].values[j].iter().zip(options[i].values[j].iter()).all(|(a, b)| {
                    better |= a > b;
                    a >= b
                })
            })
            && better
    })
}

/// Weight vectors by replicate and draw.
struct WeightField {
    uniforms: Vec<Vec<Draws>>,
    active: Vec<bool>,
    weighing: Weighing,
}

impl WeightField {
    fn new(world: &World, active: &[bool], weighing: &Weighing) -> Self {
        let uniforms = (0..WEIGHTS_PER_DRAW)
            .map(|r| (0..active.len()).map(|j| world.uniform(&format!("plan/weight/{r}/{j}"))).collect())
            .collect();
        Self { uniforms, active: active.to_vec(), weighing: weighing.clone() }
    }

    fn at(&self, replicate: usize, k: usize) -> Vec<f64> {
        let uniform = |j: usize| self.uniforms[replicate][j].get(k);
        let mut w: Vec<f64> = (0..self.active.len())
            .map(|j| match &self.weighing {
                _ if !self.active[j] => 0.0,
                // Exponential spacings, made to sum to 1, are uniform on the simplex.
                Weighing::Ordered(_) => -(-uniform(j)).ln_1p(),
                Weighing::Between(ranges) => ranges.get(j).map_or(0.0, |(low, high)| low + (high - low) * uniform(j)),
                Weighing::Fixed(weights) => weights.get(j).copied().unwrap_or(0.0),
            })
            .collect();
        if let Weighing::Ordered(ranks) = &self.weighing {
            put_in_order(&mut w, ranks, &self.active);
        }
        let total: f64 = w.iter().sum();
        if total > 0.0 {
            w.iter_mut().for_each(|w| *w /= total);
        }
        w
    }
}

/// Hands the largest weights to the criteria ranked first; between equal ranks the larger value stays where it was drawn.
fn put_in_order(w: &mut [f64], ranks: &[Option<usize>], active: &[bool]) {
    let rank = |j: usize| ranks.get(j).copied().flatten();
    let mut ranked: Vec<usize> = (0..w.len()).filter(|&j| active[j] && rank(j).is_some()).collect();
    let mut values: Vec<f64> = ranked.iter().map(|&j| w[j]).collect();
    values.sort_by(|a, b| b.total_cmp(a));
    ranked.sort_by(|&a, &b| rank(a).cmp(&rank(b)).then(w[b].total_cmp(&w[a])));
    for (j, value) in ranked.into_iter().zip(values) {
        w[j] = value;
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use proptest::prelude::*;

    fn free(n: usize) -> Weighing {
        Weighing::Ordered(vec![None; n])
    }

    fn options(world: &World, means: &[(f64, f64)]) -> Vec<Valued> {
        means
            .iter()
            .enumerate()
            .map(|(i, &(a, b))| Valued {
                id: format!("o{i}"),
                values: vec![world.normal(&format!("a{i}"), a, 0.1), world.normal(&format!("b{i}"), b, 0.1)],
            })
            .collect()
    }

    proptest! {
        #![proptest_config(ProptestConfig::with_cases(24))]

        #[test]
        fn adding_an_option_never_reverses_two_others(m in prop::collection::vec((0.0f64..1.0, 0.0f64..1.0), 3..5)) {
            let world = World::with_draws(1, 128);
            let all = options(&world, &m);
            let two = rank(&world, &all[..2], &[true, true], &free(2));
            let many = rank(&world, &all, &[true, true], &free(2));
            // Pairwise wins of 0 over 1 do not depend on the third: expected ranks among the two are those of the pair.
            let pair_first = two.shares[0][0];
            let regret_gap = two.regret[1] - two.regret[0];
            prop_assert!((many.regret[1] - many.regret[0] - regret_gap).abs() < 1e-9);
            prop_assert!((0.0..=1.0).contains(&pair_first));
        }

        /// A third option that is everywhere far behind, or everywhere far ahead, leaves the two others' places among themselves as they were,
        /// way by way.
        #[test]
        fn a_third_option_far_off_shifts_the_others_together(m in prop::collection::vec((0.0f64..1.0, 0.0f64..1.0), 2), ahead in any::<bool>()) {
            let world = World::with_draws(4, 128);
            let mut all = options(&world, &m);
            let two = rank(&world, &all, &[true, true], &free(2));
            let level = if ahead { 1000.0 } else { -1000.0 };
            all.push(Valued { id: "far".into(), values: vec![Draws::constant(128, level), Draws::constant(128, level)] });
            let three = rank(&world, &all, &[true, true], &free(2));
            let shift = usize::from(ahead);
            for i in 0..2 {
                for place in 0..2 {
                    prop_assert_eq!(two.shares[i][place], three.shares[i][place + shift]);
                }
            }
        }

        #[test]
        fn a_criterion_without_weight_changes_nothing(m in prop::collection::vec((0.0f64..1.0, 0.0f64..1.0), 2..5)) {
            let world = World::with_draws(2, 64);
            let mut all = options(&world, &m);
            let before = rank(&world, &all, &[true, false], &free(2));
            for (i, option) in all.iter_mut().enumerate() {
                option.values[1] = Draws::constant(64, i as f64 * 100.0);
            }
            prop_assert_eq!(before, rank(&world, &all, &[true, false], &free(2)));
        }

        #[test]
        fn worse_in_every_draw_never_comes_first(a in 0.0f64..1.0, b in 0.0f64..1.0, less in 0.001f64..0.5) {
            let world = World::with_draws(3, 128);
            let good = Valued { id: "good".into(), values: vec![world.normal("x", a, 0.2), world.normal("y", b, 0.2)] };
            let worse = Valued { id: "a worse".into(), values: good.values.iter().map(|v| v.map(|v| v - less)).collect() };
            let result = rank(&world, &[worse, good], &[true, true], &free(2));
            prop_assert_eq!(result.shares[0][0], 0.0);
            prop_assert_eq!(result.dominated_by[0], Some(1));
            prop_assert_eq!(result.dominated_by[1], None);
        }
    }
}
