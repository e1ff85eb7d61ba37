//! A practice's own rows shift the odds of its own patients, once; the shipped evidence stays as it is.
#![allow(clippy::unwrap_used)] // a helper of tests fails by panicking

use answer::World;
use catalogue::Catalogue;
use evidence::{Cell, Setting};

/// A catalogue with own study rows of (id, cohort, number, restoration-years, losses), crowns of monolithic zirconia.
fn with(rows: &[(&str, &str, u32, u32, u32)]) -> Catalogue {
    let shipped = Catalogue::shipped().unwrap();
    let columns = |table: &str| -> Vec<String> {
        shipped.table(table).unwrap()[0].0.cells().map(|(c, _)| c.to_owned()).collect()
    };
    let line = |columns: &[String], fields: &[(&str, String)]| {
        let cell = |c: &String| fields.iter().find(|f| f.0 == c).map(|f| f.1.clone()).unwrap_or_default();
        columns.iter().map(cell).collect::<Vec<_>>().join(",") + "\n"
    };
    let studies = columns("studies.csv");
    let mut text = studies.join(",") + "\n";
    for (id, cohort, n, years, lost) in rows {
        let word = |w: &str| w.to_owned();
        let fields = [
            ("id", word(id)),
            ("cohort", word(cohort)),
            ("construct", word("crown")),
            ("material", word("zirconia_3y")),
            ("build", word("monolithic")),
            ("n_restorations", n.to_string()),
            ("exposure_ry", years.to_string()),
            ("exposure_basis", word("reported")),
            ("followup_mean_y", "4".to_owned()),
            ("failures", lost.to_string()),
            ("use", word("yes")),
            ("outcome", word("loss")),
            ("basis", word("own")),
            ("level", word("none")),
            ("source", word("own_register")),
        ];
        text.push_str(&line(&studies, &fields));
    }
    let sources = columns("sources.csv");
    let own = [("id", "own_register".to_owned()), ("citation", "own".to_owned()), ("basis", "own".to_owned())];
    let sources = sources.join(",") + "\n" + &line(&sources, &own);
    Catalogue::with_own(&[("studies.csv".to_owned(), text), ("sources.csv".to_owned(), sources)]).unwrap()
}

fn risk(posterior: &evidence::Posterior, world: &World) -> f64 {
    let cell = Cell::new(["crown", "zirconia", "zirconia_3y", "monolithic"]);
    posterior.predict(world, &Setting::of(cell)).total_loss.cumulative(5.0).interval().median
}

#[test]
fn many_own_losses_raise_the_odds_here_and_few_lower_them() {
    let shipped = plan::shipped_posterior().unwrap();
    let world = World::new(1);
    let before = risk(&shipped, &world);
    let after = |lost: u32| {
        let own = plan::with_own_results(&shipped, &with(&[("O1", "own.north.a", 400, 1600, lost)]), &world).unwrap();
        assert!(own.words.iter().any(|w| w.contains("taken into the pooled evidence")));
        assert!(!own.words.iter().any(|w| w.contains("replace or retire")), "{:?}", own.words);
        assert_eq!(own.laboratories.len(), 1);
        risk(&own.posterior, &world)
    };
    let (few, many) = (after(4), after(80));
    assert!(few < before && before < many, "{few} {before} {many}");
    // 80 of 1600 years: 1 - exp(-0.25) = 0.22, known within 1/sqrt(80).
    assert!((many / 0.22).ln().abs() < 0.25, "{many}");
}

#[test]
fn nothing_own_leaves_everything_as_it_was() {
    let shipped = plan::shipped_posterior().unwrap();
    let own = plan::with_own_results(&shipped, &Catalogue::shipped().unwrap(), &World::new(1)).unwrap();
    assert!(own.words.is_empty() && own.shift.is_none() && !own.needs_refit);
    assert_eq!(own.posterior, shipped);
}

#[test]
fn an_added_study_moves_the_pool_without_making_this_its_clinic_and_no_cohort_counts_twice() {
    let shipped = plan::shipped_posterior().unwrap();
    let world = World::new(1);
    let own = plan::with_own_results(&shipped, &with(&[("S1", "New-2025.a", 400, 1600, 4)]), &world).unwrap();
    assert!(own.shift.is_none() && own.words[0].contains("1 added study arms"));
    // C053 is fitted from this cohort.
    let taken = shipped.arms().iter().find(|a| a.id == "C053").unwrap().cohort.clone();
    assert!(plan::with_own_results(&shipped, &with(&[("S1", &taken, 400, 1600, 4)]), &world).is_err());
}

#[test]
fn results_far_from_all_studies_ask_for_a_fit() {
    let shipped = plan::shipped_posterior().unwrap();
    // Half of 4000 crowns lost within a year: no study comes near.
    let own = plan::with_own_results(&shipped, &with(&[("O1", "own.a", 4000, 4000, 2000)]), &World::new(1)).unwrap();
    let k = own.pareto_k.unwrap();
    assert_eq!(own.needs_refit, k > 0.7);
    assert!(!own.needs_refit || own.words.iter().any(|w| w.contains("evidence refit")), "{k}");
    assert!(k > 0.3, "a result this far strains the weights: {k}");
}

#[test]
fn an_overridden_study_asks_for_a_fit() {
    let shipped = plan::shipped_posterior().unwrap();
    let own = plan::with_own_results(&shipped, &with(&[("C053", "Ortorp-x", 400, 1600, 4)]), &World::new(1)).unwrap();
    assert!(own.needs_refit && own.words[0].contains("replace or retire"));
}
