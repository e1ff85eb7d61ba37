//! What must hold of the smallest connector and the thinnest wall, whatever the facts are: risk falls with size, a lower risk asks for more, a harder
//! bite asks for more, the size found keeps the level and a hundredth less does not.

#![allow(clippy::unwrap_used)] // helpers of tests

use answer::World;
use case::Case;
use case::words::Grinding;
use catalogue::Catalogue;
use plan::{SmallestAsked, SmallestFound, Varied, shipped_posterior, smallest};

fn found(text: &str, varied: Varied, level: f64, edit: impl Fn(&mut Case)) -> Vec<SmallestFound> {
    let (mut case, _) = Case::parse("case", text).unwrap();
    edit(&mut case);
    let asked = SmallestAsked { varied, level, year: 10.0 };
    let world = World::with_draws(1, 64);
    smallest(&world, &case, &Catalogue::shipped().unwrap(), &shipped_posterior().unwrap(), &asked)
}

fn bridge(level: f64, edit: impl Fn(&mut Case)) -> Vec<SmallestFound> {
    found(include_str!("../../../examples/bridge-45-47.toml"), Varied::ConnectorHeight, level, edit)
}

fn sizes(found: &[SmallestFound]) -> Vec<(String, f64)> {
    found.iter().filter(|f| !f.below_ladder).filter_map(|f| Some((f.id.clone(), f.smallest?))).collect()
}

#[test]
fn risk_falls_with_the_connector_and_a_lower_risk_asks_for_more() {
    let (strict, loose) = (bridge(0.02, |_| {}), bridge(0.05, |_| {}));
    assert!(strict.iter().any(|f| f.risk.is_some()), "{strict:?}");
    for f in strict.iter().filter(|f| f.not_known.is_none()) {
        assert!(f.ladder.windows(2).all(|w| w[1].1.mean <= w[0].1.mean + 1e-9), "{}", f.id);
    }
    for (id, size) in sizes(&strict) {
        if let Some((_, other)) = sizes(&loose).iter().find(|l| l.0 == id) {
            assert!(*other <= size, "{id}: {other} {size}");
        }
    }
}

#[test]
fn a_harder_bite_asks_for_more() {
    let calm = bridge(0.03, |c| c.mouth.grinding = Some(Grinding::Nothing));
    let hard = bridge(0.03, |c| c.mouth.grinding = Some(Grinding::Evident));
    let mut compared = 0;
    for (id, size) in sizes(&hard) {
        if let Some((_, other)) = sizes(&calm).iter().find(|l| l.0 == id) {
            assert!(*other <= size + 0.011, "{id}: {other} {size}");
            compared += 1;
        }
    }
    assert!(compared > 0, "nothing to compare");
}

#[test]
fn height_counts_before_width_and_round_embrasures_help() {
    for f in bridge(0.03, |_| {}).iter().filter(|f| f.risk.is_some()) {
        let worth = |what: &str| f.worth.iter().find(|w| w.0.starts_with(what)).unwrap().1;
        assert!(worth("a tenth higher") <= worth("as planned") + 1e-12, "{}", f.id);
        assert!(worth("0.3 mm more") <= worth("as planned") && worth("as planned") <= worth("0.3 mm less"), "{}", f.id);
        assert!(worth("embrasures of 0.60") <= worth("embrasures of 0.25"), "{}", f.id);
        assert!(worth("a guard") <= worth("no guard") + 1e-12, "{}", f.id);
        assert!(f.drivers.iter().all(|d| d.low <= d.high + 1e-12), "{:?}", f.drivers);
    }
}

#[test]
fn a_thicker_wall_breaks_less_and_what_patients_never_showed_has_no_number() {
    let text = include_str!("../../../examples/cracked-molar.toml");
    let all = found(text, Varied::ChewingWall, 0.02, |_| {});
    assert!(all.iter().any(|f| f.risk.is_some()));
    for f in &all {
        assert_eq!(f.not_known.is_some(), f.risk.is_none(), "{}", f.id);
        assert!(f.ladder.windows(2).all(|w| w[1].1.mean <= w[0].1.mean + 1e-9), "{}: {:?}", f.id, f.ladder);
    }
}

#[test]
fn a_measured_bite_takes_its_part_of_what_is_not_known() {
    let share = |found: &[SmallestFound]| {
        let known: Vec<&SmallestFound> = found.iter().filter(|f| !f.drivers.is_empty()).collect();
        assert!(!known.is_empty());
        for f in &known {
            let sum: f64 = f.drivers.iter().map(|d| d.share).sum();
            // Printed to six figures.
            assert!((sum - 1.0).abs() < 1e-5 && f.drivers.iter().all(|d| d.share >= 0.0), "{}: {:?}", f.id, f.drivers);
        }
        let of = |f: &SmallestFound| f.drivers.iter().find(|d| d.what.contains("bite")).unwrap().share;
        known.iter().map(|f| of(f)).sum::<f64>() / known.len() as f64
    };
    let (guessed, measured) =
        (share(&bridge(0.03, |_| {})), share(&bridge(0.03, |c| c.mouth.bite_force_n = Some(400.0))));
    assert!(measured < guessed, "{measured} {guessed}");
}

/// Common practice (no source): three contacts on a molar, two on a premolar; front teeth are bitten on their edges.
#[test]
fn a_bite_on_slopes_is_told_for_back_teeth_and_moves_no_odds() {
    let molar = include_str!("../../../examples/cracked-molar.toml");
    let premolar = molar.replace("46", "45");
    let incisor = include_str!("../../../examples/dark-incisor-cast-post.toml");
    let wall = |text: &str| found(text, Varied::ChewingWall, 0.05, |_| {});
    for (text, contacts) in [(molar, 3), (premolar.as_str(), 2)] {
        let known: Vec<SmallestFound> = wall(text).into_iter().filter(|f| f.not_known.is_none()).collect();
        let told = known.iter().filter_map(|f| f.spread_bite);
        assert!(told.clone().count() > 0);
        for spread in told {
            let [low, high] = spread.times;
            assert_eq!(spread.contacts, contacts);
            // Superposition: n contacts bear at most n times what one of them bears, which is less than one of the area of all.
            assert!(low < high && high > 1.0 && low < contacts as f64, "{spread:?}");
        }
        assert!(known.iter().all(|f| f.spread_bite.is_none() || !f.id.contains(".layered")));
    }
    assert!(wall(incisor).iter().all(|f| f.spread_bite.is_none()));
    // Thinner than anything solved: nothing is told of it, nor of a wall thinner still.
    let thin = wall(&molar.replace("planned_mm = 1.5", "planned_mm = 0.0"));
    assert!(thin.iter().any(|f| f.planned < 0.4 && f.not_known.is_none()), "{thin:?}");
    for f in thin.iter().filter(|f| f.planned < 0.4) {
        assert!(f.spread_bite.is_none() && f.worth.iter().all(|w| w.0 != "0.3 mm less"), "{f:?}");
    }
}
