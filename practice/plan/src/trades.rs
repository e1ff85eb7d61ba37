//! Priorities from trade-offs in plain units: how many years of a restoration's life one would give for something else.
//!
//! Swing weights over fixed anchors: if going from the worst to the best anchor of a criterion is worth `y` restoration-years, and the
//! anchors of harm lie `Y` restoration-years apart (`data/values.toml`), then w = w_harm y / Y (trade-off method; Keeney, Raiffa 1976,
//! Decisions with Multiple Objectives, from memory). Weights so found carry the tolerance of weights that were given.

use crate::criteria::CRITERIA;
use case::parts::{Trades, Weights};
use catalogue::Catalogue;

/// Weights that agree with the trades; a criterion without an answer keeps its usual weight against harm. `None` when the data hold no
/// anchors of harm.
pub fn weights_from_trades(trades: &Trades, catalogue: &Catalogue) -> Option<Weights> {
    let criterion = |j: usize| catalogue.values().criterion(CRITERIA[j]);
    let harm = criterion(0)?;
    let years_between = (harm.worst - harm.best).abs();
    let weight = |j: usize, years: Option<f64>| {
        let usual = criterion(j).map_or(0.0, |c| c.swing / harm.swing);
        100.0 * years.map_or(usual, |y| y.max(0.0) / years_between)
    };
    Some(Weights {
        harm: 100.0,
        looks: weight(1, trades.looks),
        tissue: weight(2, trades.tissue),
        money: weight(3, trades.money),
    })
}

/// The trades as they were given, a line each.
pub fn in_words(trades: &Trades) -> Vec<String> {
    [
        (trades.looks, "so that nobody sees it"),
        (trades.tissue, "so that hardly any tooth is cut"),
        (trades.money, "so that it costs little"),
    ]
    .into_iter()
    .filter_map(|(years, what)| {
        let years = years?;
        let unit = if years == 1.0 { "year" } else { "years" };
        Some(format!("{years} {unit} of its expected life would be given {what}"))
    })
    .collect()
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    #[allow(clippy::unwrap_used)]
    fn all_the_years_between_the_anchors_weigh_as_much_as_harm_itself() {
        let catalogue = Catalogue::shipped().unwrap();
        let years = catalogue.values().criterion("harm").unwrap().worst;
        let looks = |years| Trades { looks: Some(years), ..Trades::default() };
        let w = weights_from_trades(&looks(years), &catalogue).unwrap();
        assert!((w.looks - w.harm).abs() < 1e-12);
        let none = weights_from_trades(&looks(0.0), &catalogue).unwrap();
        assert_eq!(none.looks, 0.0);
        // Not asked: the usual swing weights of the shipped values, 50 and 30 against 100.
        assert_eq!((none.tissue, none.money), (50.0, 30.0));
        assert_eq!(in_words(&looks(2.0)), ["2 years of its expected life would be given so that nobody sees it"]);
    }
}
