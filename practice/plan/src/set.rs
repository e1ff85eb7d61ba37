//! Several restorations planned as a set that must match.
//!
//! Every way of taking one option for each case is itself an option of the set and is ranked like any other (`rank`): harm, tissue and
//! money are the means of its members' values; looks is the worst, draw by draw, of what its members would be remade for and of what
//! would be refused for a difference between two of them, weighted by the less visible place. All cases share the draws, so
//! laboratory, observer and media are the same ones in each draw. Weights are those of the first case.
//!
//! Limits: the leading options of each case are combined, as many as give at most 128 sets; a difference between members is judged in
//! daylight, each against each, however far apart they stand.

use crate::criteria::{Amounts, CRITERIA, active, valued, weighing};
use crate::odds::of_hundred;
use crate::rank::{Scale, Valued, rank};
use crate::report::{SetAnswer, SetChoice};
use crate::sentence::capital;
use crate::shared::{Computed, Shared};
use crate::show::{SmileMatch, beside};
use answer::{Draws, six_figures};

/// Sets looked at, at most.
const MOST: f64 = 128.0;
/// Sets printed.
const PRINTED: usize = 6;

/// One case of the set, its options computed and ordered.
pub(crate) struct Member<'s> {
    pub(crate) name: &'s str,
    pub(crate) shared: &'s Shared<'s>,
    pub(crate) computed: &'s [Computed],
    pub(crate) order: &'s [usize],
}

/// Ranks the sets; `None` for fewer than two members or where a member has nothing to be weighed.
pub(crate) fn set(members: &[Member<'_>]) -> Option<SetAnswer> {
    let first = members.first().filter(|_| members.len() > 1)?.shared;
    let most = (MOST.powf(1.0 / members.len() as f64).floor() as usize).max(2);
    let leading: Vec<Vec<usize>> = members.iter().map(|m| m.leading(most)).collect();
    if leading.iter().any(Vec::is_empty) {
        return None;
    }
    let sets = product(&leading);
    let amounts: Vec<&Amounts> =
        members.iter().zip(&leading).flat_map(|(m, list)| list.iter().map(|&i| &m.computed[i].amounts)).collect();
    let active = active(&amounts);
    let values: Vec<Vec<(usize, Vec<Draws>)>> = members.iter().zip(&leading).map(|(m, l)| m.values(l)).collect();
    let differences: Vec<(Vec<SmileMatch>, Option<Draws>)> = sets.iter().map(|s| between(members, s)).collect();
    let looks = looks_scale(first);
    let valued: Vec<Valued> = sets
        .iter()
        .zip(&differences)
        .map(|(set, (_, refused))| {
            let own = |m: usize| values[m].iter().find(|(i, _)| *i == set[m]).map(|(_, v)| v);
            let mean = |j: usize| {
                let all: Vec<&Draws> = (0..set.len()).filter_map(|m| own(m).map(|v| &v[j])).collect();
                all[1..].iter().fold(all[0].clone(), |sum, v| sum.plus(v)).scaled(1.0 / all.len() as f64)
            };
            let worst = worst_looks(members, set, refused.as_ref()).map(|d| d.map(|x| looks.value(x)));
            let values = (0..CRITERIA.len())
                .map(|j| if j == 1 { worst.clone().unwrap_or_else(|| mean(j)) } else { mean(j) })
                .collect();
            Valued { id: ids(members, set).join(" + "), values }
        })
        .collect();
    let (weights, priorities) = weighing(first.case, first.catalogue);
    let result = rank(&first.world, &valued, &active, &weights);
    let mut order: Vec<usize> = (0..sets.len()).collect();
    let first_share = |i: usize| result.shares[i][0];
    order.sort_by(|&a, &b| {
        first_share(b).total_cmp(&first_share(a)).then(result.regret[a].total_cmp(&result.regret[b])).then(a.cmp(&b))
    });
    let choice = |i: usize| SetChoice {
        options: ids(members, &sets[i]),
        titles: sets[i].iter().zip(members).map(|(&o, m)| m.computed[o].candidate.title()).collect(),
        first_share: six_figures(first_share(i)),
        regret: six_figures(result.regret[i]),
        each_alone: sets[i].iter().zip(&leading).all(|(o, list)| *o == list[0]),
        beside: differences[i].0.clone(),
    };
    let mut choices: Vec<SetChoice> = order.iter().take(PRINTED).map(|&i| choice(i)).collect();
    // What each case would take by itself stands in the list, that its price may be seen.
    if let Some(&alone) = order.iter().find(|&&i| choice(i).each_alone)
        && !choices.iter().any(|c| c.each_alone)
    {
        choices.push(choice(alone));
    }
    let too_close = choices.len() > 1
        && choices[0].first_share - choices[1].first_share < first.catalogue.values().too_close_below();
    let names: Vec<String> = members.iter().map(|m| m.name.to_owned()).collect();
    Some(SetAnswer {
        verdict: verdict(&names, &choices, too_close),
        members: names,
        choices,
        too_close,
        priorities,
        tried: sets.len(),
    })
}

impl Member<'_> {
    /// The option the dentist chose, where it can be weighed; else the leading ones.
    fn leading(&self, most: usize) -> Vec<usize> {
        let open = |&&i: &&usize| self.computed[i].is_weighed() && self.shared.asked(&self.computed[i]);
        let list: Vec<usize> = self.order.iter().filter(open).copied().collect();
        let chosen = self.shared.case.chosen.as_ref().and_then(|c| {
            list.iter().copied().find(|&i| {
                let one = &self.computed[i].candidate;
                one.construct == c.construct
                    && c.material.is_none_or(|m| m == one.material)
                    && c.build.is_none_or(|b| b == one.build)
            })
        });
        chosen.map_or_else(|| list.into_iter().take(most).collect(), |i| vec![i])
    }

    fn values(&self, list: &[usize]) -> Vec<(usize, Vec<Draws>)> {
        list.iter()
            .map(|&i| {
                let one = &self.computed[i];
                let id = format!("{}/{}", self.name, one.candidate.id());
                (i, valued(&self.shared.world, &id, &one.amounts, self.shared.catalogue))
            })
            .collect()
    }
}

/// Every way of taking one of each list.
fn product(lists: &[Vec<usize>]) -> Vec<Vec<usize>> {
    lists.iter().fold(vec![Vec::new()], |sets, list| {
        sets.iter().flat_map(|set| list.iter().map(|&i| [set.as_slice(), &[i]].concat())).collect()
    })
}

/// Likeness of every two members, and the worst of what would be refused for a difference, per draw.
fn between(members: &[Member<'_>], set: &[usize]) -> (Vec<SmileMatch>, Option<Draws>) {
    let (mut list, mut worst): (_, Option<Draws>) = (Vec::new(), None);
    for (a, one) in members.iter().enumerate() {
        for (b, other) in members.iter().enumerate().skip(a + 1) {
            let (Some(x), Some(y)) = (&one.computed[set[a]].shown, &other.computed[set[b]].shown) else { continue };
            let (likeness, refused) = beside(&one.shared.scene, (one.name, x), (other.name, y));
            list.extend(likeness);
            if let Some(refused) = refused {
                worst = Some(worst.map_or(refused.clone(), |w| w.zip(&refused, f64::max)));
            }
        }
    }
    (list, worst)
}

/// The worst, per draw, of the members' own looks and of a difference between them; `None` where a member's looks are not known.
fn worst_looks(members: &[Member<'_>], set: &[usize], refused: Option<&Draws>) -> Option<Draws> {
    let own: Vec<&Draws> =
        set.iter().zip(members).map(|(&i, m)| m.computed[i].amounts.looks.as_ref()).collect::<Option<_>>()?;
    let worst = own[1..].iter().fold(own[0].clone(), |worst, d| worst.zip(d, f64::max));
    Some(refused.map_or(worst.clone(), |r| worst.zip(r, f64::max)))
}

fn looks_scale(shared: &Shared<'_>) -> Scale {
    let criterion = shared.catalogue.values().criterion(CRITERIA[1]);
    criterion.map_or(Scale { worst: 1.0, best: 0.0 }, |c| Scale { worst: c.worst, best: c.best })
}

fn ids(members: &[Member<'_>], set: &[usize]) -> Vec<String> {
    set.iter().zip(members).map(|(&i, m)| m.computed[i].candidate.id()).collect()
}

fn verdict(names: &[String], choices: &[SetChoice], too_close: bool) -> String {
    let worst = |c: &SetChoice| c.beside.iter().map(|m| m.seen).fold(0.0, f64::max);
    let list =
        |c: &SetChoice| names.iter().zip(&c.titles).map(|(n, t)| format!("{n}: {t}")).collect::<Vec<_>>().join("; ");
    let Some(best) = choices.first() else { return String::new() };
    let close = if too_close { "Too close to call between the leading sets. " } else { "" };
    let mut words = format!(
        "{close}{} come first together in {} ways of weighing the set; a difference between them would be seen in {}.",
        capital(&list(best)),
        of_hundred(best.first_share),
        of_hundred(worst(best))
    );
    if let Some(alone) = choices.iter().find(|c| c.each_alone).filter(|_| !best.each_alone) {
        words.push_str(&format!(
            " What each would take by itself ({}) would be seen to differ in {}.",
            list(alone),
            of_hundred(worst(alone))
        ));
    }
    words
}

#[cfg(test)]
mod tests {
    use super::product;

    #[test]
    fn every_way_of_taking_one_of_each_list_stands_once() {
        assert_eq!(product(&[vec![1, 2], vec![3], vec![4, 5]]), [[1, 3, 4], [1, 3, 5], [2, 3, 4], [2, 3, 5]]);
    }
}
