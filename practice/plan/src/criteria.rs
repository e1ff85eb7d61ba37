//! The four criteria of the ranking, none containing another: harm, looks, tissue, money.

use crate::cost::Cost;
use crate::curve::YEARS;
use crate::lose::Lost;
use crate::rank::{Scale, Weighing};
use crate::report::CriterionValue;
use crate::risks::Risks;
use crate::show::Shown;
use crate::trades::{self, weights_from_trades};
use answer::{Draws, World};
use case::Case;
use case::parts::Weights;
use case::words::Matter;
use catalogue::Catalogue;
use catalogue::words::{Cause, Consequence, Construct, Process};

/// Criteria in the order of the ranking.
pub const CRITERIA: [&str; 4] = ["harm", "looks", "tissue", "money"];

/// Natural amounts of one option; `None` where it is not known.
#[derive(Debug, Clone)]
pub struct Amounts {
    /// Restoration-years lost plus weighted complications in 15 years.
    pub harm: Option<Draws>,
    /// Chance of being remade for its looks, weighted by visibility.
    pub looks: Option<Draws>,
    /// Share of crown removed, and the weight of thin dentine.
    pub tissue: Option<Draws>,
    /// Multiple of the practice's single crown.
    pub money: Option<Draws>,
}

impl Amounts {
    /// From the answers.
    pub fn of(
        world: &World,
        construct: Construct,
        risks: &Risks,
        shown: Option<&Shown>,
        lost: &Lost,
        cost: Option<&Cost>,
        catalogue: &Catalogue,
    ) -> Self {
        let thin = lost.thin.scaled(catalogue.values().thin_dentine_weight());
        Self {
            // Where patients tell nothing of a material's fracture, its harm is not known: mechanics alone sets no level.
            harm: (!risks.fracture_not_known()).then(|| harm(construct, risks, catalogue)),
            looks: shown.map(|s| s.looks.clone()),
            tissue: Some(lost.share.plus(&thin)),
            money: cost.and_then(|c| c.of_a_crown).map(|x| Draws::constant(world.draws(), x)),
        }
    }

    fn by_index(&self, j: usize) -> Option<&Draws> {
        [&self.harm, &self.looks, &self.tissue, &self.money][j].as_ref()
    }
}

/// Expected restoration-years lost in 15 years, a lost tooth counted by its weight, plus complications by what follows them.
fn harm(construct: Construct, risks: &Risks, catalogue: &Catalogue) -> Draws {
    let horizon = YEARS[YEARS.len() - 1];
    let mut total = Draws::constant(risks.loss().0[0].len(), 0.0);
    let years_lost = risks.loss().years_lost();
    let all = risks.loss().by(horizon).clone();
    for cause in Cause::ALL {
        let weight = |process| weight(construct, *cause, process, catalogue);
        // A loss costs the years the restoration would still have served: its part of the area under the loss curve.
        let part =
            risks.crude(*cause, Process::Loss, horizon).zip(&all, |own, all| if all > 0.0 { own / all } else { 0.0 });
        total = total.plus(&part.times(&years_lost).scaled(weight(Process::Loss)));
        if let Some(events) = risks.expected(*cause, Process::Complication, horizon) {
            // An event halfway through costs its share of the years then left.
            total = total.plus(&events.scaled(weight(Process::Complication) * 0.5 * horizon));
        }
    }
    total
}

/// Mean harm of one event of a cause, as a share of a restoration lost.
fn weight(construct: Construct, cause: Cause, process: Process, catalogue: &Catalogue) -> f64 {
    let values = catalogue.values();
    let shares = match catalogue.consequence(construct, cause) {
        Some(row) => row.shares,
        None => return if process == Process::Loss { 1.0 } else { values.consequence(Consequence::Repaired) },
    };
    let ends = |c: &Consequence| matches!(c, Consequence::Remade | Consequence::ToothLost);
    let mut sum = 0.0;
    let mut all = 0.0;
    for (share, consequence) in shares.iter().zip(Consequence::ALL) {
        if ends(consequence) == (process == Process::Loss) {
            sum += share * values.consequence(*consequence);
            all += share;
        }
    }
    match (all > 0.0, process) {
        (true, _) => sum / all,
        (false, Process::Loss) => 1.0,
        (false, Process::Complication) => values.consequence(Consequence::Repaired),
    }
}

/// Which criteria take part: one that no option has an amount for does not, nor does money while a fee is missing.
pub fn active(all: &[&Amounts]) -> [bool; 4] {
    std::array::from_fn(|j| {
        let known = all.iter().filter(|a| a.by_index(j).is_some()).count();
        if j == 3 { known == all.len() && known > 0 } else { known > 0 }
    })
}

/// Values of one option on the four scales; what is not known takes every value in turn.
pub fn valued(world: &World, id: &str, amounts: &Amounts, catalogue: &Catalogue) -> Vec<Draws> {
    (0..4)
        .map(|j| match amounts.by_index(j) {
            Some(amount) => {
                let scale = scale(catalogue, j);
                amount.map(|x| scale.value(x))
            }
            None => world.uniform(&format!("plan/not_known/{}/{id}", CRITERIA[j])),
        })
        .collect()
}

fn scale(catalogue: &Catalogue, j: usize) -> Scale {
    let criterion = catalogue.values().criterion(CRITERIA[j]);
    criterion.map_or(Scale { worst: 0.0, best: 1.0 }, |c| Scale { worst: c.worst, best: c.best })
}

/// As printed.
pub fn printed(amounts: &Amounts, catalogue: &Catalogue) -> Vec<CriterionValue> {
    (0..4)
        .map(|j| {
            let scale = scale(catalogue, j);
            let amount = amounts.by_index(j);
            CriterionValue {
                criterion: CRITERIA[j].to_owned(),
                natural: amount.map(|a| a.interval().rounded()),
                scale: catalogue.values().criterion(CRITERIA[j]).map_or(String::new(), |c| c.what.clone()),
                value: amount.map(|a| a.map(|x| scale.value(x)).interval().rounded()),
            }
        })
        .collect()
}

/// How the case weighs the criteria, and in words.
pub fn weighing(case: &Case, catalogue: &Catalogue) -> (Weighing, Vec<String>) {
    let tolerance = catalogue.values().weight_tolerance();
    let between = |w: Weights| {
        let around = |w: f64| (w * (1.0 - tolerance), w * (1.0 + tolerance));
        Weighing::Between([w.harm, w.looks, w.tissue, w.money].map(around).to_vec())
    };
    let weights = |w: Weights| {
        format!(
            "harm {:.0}, looks {:.0}, tissue {:.0}, money {:.0}, each taken as {:.0} % more or less",
            w.harm,
            w.looks,
            w.tissue,
            w.money,
            100.0 * tolerance
        )
    };
    if let Some(w) = case.wish.weights {
        return (between(w), vec![format!("weights given: {}", weights(w))]);
    }
    if let Some(trades) = case.wish.trades
        && let Some(w) = weights_from_trades(&trades, catalogue)
    {
        let mut words = trades::in_words(&trades);
        words.push(format!("which are weights of {}", weights(w)));
        return (between(w), words);
    }
    if case.wish.order.is_empty() {
        let ranges = CRITERIA
            .iter()
            .map(|id| catalogue.values().criterion(id).map_or((0.0, 1.0), |c| (c.swing_low, c.swing_high)))
            .collect();
        return (Weighing::Between(ranges), vec!["what matters was not asked: the usual range of weights".to_owned()]);
    }
    let place =
        |matter: Matter| Some(case.wish.order.iter().position(|&m| m == matter).unwrap_or(case.wish.order.len()));
    let ranks = [Matter::Harm, Matter::Looks, Matter::Tissue, Matter::Money].map(place);
    (Weighing::Ordered(ranks.to_vec()), case.wish.order.iter().map(|m| m.label().to_owned()).collect())
}
