//! The leading options ranked again for a case that is otherwise: open questions answered in every way, and what would change the
//! answer.

use crate::candidates::Candidate;
use crate::changes::otherwise;
use crate::plan::PlanError;
use crate::probes::probes;
use crate::report::{Change, Changes, OpenQuestion};
use crate::shared::{Computed, Shared};
use answer::{Progress, World, six_figures};
use case::Case;
use catalogue::words::Grade;
use evidence::Posterior;
use rayon::prelude::*;

/// The leading options of a plan, with the thinned draws they are ranked again with.
pub(crate) struct Again<'a> {
    shared: &'a Shared<'a>,
    leaders: Vec<Candidate>,
    world: World,
    few: Posterior,
}

impl<'a> Again<'a> {
    /// The first `leading` options in order, with `draws` draws.
    pub(crate) fn of(
        shared: &'a Shared<'a>,
        computed: &[Computed],
        order: &[usize],
        leading: usize,
        draws: usize,
    ) -> Self {
        Self {
            shared,
            leaders: order.iter().take(leading).map(|&i| computed[i].candidate.clone()).collect(),
            world: World::with_draws(shared.world.seed(), draws),
            few: shared.posterior.thinned(draws),
        }
    }

    /// Titles and first shares of the leading options in a case, the best first.
    fn ranked(&self, case: &Case, only: Option<Grade>) -> Result<Vec<(String, f64)>, PlanError> {
        let shared = self.shared;
        let mut again = Shared::of(self.world, case, shared.catalogue, &self.few, shared.kept.clone())?;
        again.only = only;
        let computed: Vec<Computed> = self.leaders.iter().map(|c| again.compute(c.clone())).collect();
        let (order, shares, _) = again.order(&computed);
        Ok(order.into_iter().map(|i| (computed[i].candidate.title(), shares.first(i))).collect())
    }

    /// Every open question answered in every way; the one that could change the choice most first.
    pub(crate) fn open_questions(&self, progress: &dyn Progress) -> Result<Vec<OpenQuestion>, PlanError> {
        if self.leaders.len() < 2 {
            return Ok(Vec::new());
        }
        let now = self.ranked(self.shared.case, None)?;
        let first = &now[0];
        let open = probes(self.shared.case);
        progress.check(0, open.len() + 1)?;
        let mut list: Vec<OpenQuestion> = open
            .par_iter()
            .map(|probe| {
                let mut outcomes = Vec::new();
                let mut swing: f64 = 0.0;
                for (answer, with) in &probe.answers {
                    let then = self.ranked(with, None)?;
                    let share = then.iter().find(|(title, _)| *title == first.0).map_or(0.0, |(_, s)| *s);
                    swing = swing.max((share - first.1).abs());
                    outcomes.push((answer.clone(), then[0].0.clone()));
                }
                Ok(OpenQuestion {
                    field: probe.field.clone(),
                    question: probe.question.clone(),
                    flips: outcomes.iter().any(|(_, title)| *title != first.0),
                    outcomes,
                    swing: six_figures(swing),
                })
            })
            .collect::<Result<_, PlanError>>()?;
        list.sort_by(|a, b| b.flips.cmp(&a.flips).then(b.swing.total_cmp(&a.swing)).then(a.field.cmp(&b.field)));
        Ok(list)
    }

    /// Every change that puts another option first, smallest first.
    pub(crate) fn changes(&self, progress: &dyn Progress) -> Result<Changes, PlanError> {
        let draws = self.world.draws();
        if self.leaders.len() < 2 {
            return Ok(Changes { found: Vec::new(), tried: 0, draws });
        }
        let first = self.ranked(self.shared.case, None)?.swap_remove(0).0;
        let list = otherwise(self.shared.case);
        progress.check(0, list.len() + 1)?;
        let found: Vec<Option<Change>> = list
            .par_iter()
            .map(|o| {
                let (title, share) = self.ranked(&o.case, o.only)?.swap_remove(0);
                Ok((title != first).then(|| Change {
                    kind: o.kind.to_owned(),
                    what: o.what.clone(),
                    size: six_figures(o.size),
                    first: title,
                    share: six_figures(share),
                }))
            })
            .collect::<Result<_, PlanError>>()?;
        Ok(Changes { found: found.into_iter().flatten().collect(), tried: list.len(), draws })
    }
}
