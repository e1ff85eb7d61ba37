//! Priorities from trade-offs in plain units: how many years of a restoration's life one would give for something else.
//!
//! Swing weights over fixed anchors: if going from the worst to the best anchor of a criterion is worth `y` restoration-years, and the
//! anchors of harm lie `Y` restoration-years apart (`data/values.toml`), then w = w_harm y / Y (trade-off method; Keeney, Raiffa 1976,
//! Decisions with Multiple Objectives, from memory). Weights so found carry the tolerance of weights that were given.

use case::parts::Weights;
use case::words::Matter;
use catalogue::Catalogue;

/// One answer: years given for a criterion's whole way from worst to best.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Trade {
    /// What is bought.
    pub matter: Matter,
    /// Restoration-years that would be given for it.
    pub years: f64,
}

/// Weights that agree with the trades; a criterion without an answer keeps its usual weight against harm.
pub fn weights_from_trades(trades: &[Trade], catalogue: &Catalogue) -> Option<Weights> {
    let criterion = |id: &str| catalogue.values().criterion(id);
    let harm = criterion("harm")?;
    let range = (harm.worst - harm.best).abs();
    let weight = |matter: Matter| {
        let usual = criterion(matter.word()).map_or(0.0, |c| c.swing / harm.swing);
        trades.iter().rev().find(|t| t.matter == matter).map_or(usual, |t| t.years.max(0.0) / range)
    };
    Some(Weights {
        harm: 100.0,
        looks: 100.0 * weight(Matter::Looks),
        tissue: 100.0 * weight(Matter::Tissue),
        money: 100.0 * weight(Matter::Money),
    })
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    #[allow(clippy::unwrap_used)]
    fn all_the_years_between_the_anchors_weigh_as_much_as_harm_itself() {
        let catalogue = Catalogue::shipped().unwrap();
        let years = catalogue.values().criterion("harm").unwrap().worst;
        let w = weights_from_trades(&[Trade { matter: Matter::Looks, years }], &catalogue).unwrap();
        assert!((w.looks - w.harm).abs() < 1e-12);
        let none = weights_from_trades(&[Trade { matter: Matter::Looks, years: 0.0 }], &catalogue).unwrap();
        assert_eq!(none.looks, 0.0);
        // Not asked: the usual swing weights of the shipped values, 50 and 30 against 100.
        assert_eq!((none.tissue, none.money), (50.0, 30.0));
    }
}
