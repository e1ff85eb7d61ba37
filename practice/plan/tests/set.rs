//! Restorations planned as a set that must match: one option for each case, ranked together.
#![allow(clippy::unwrap_used, clippy::panic)]

use case::Case;
use case::words::Matter;
use catalogue::Catalogue;
use catalogue::words::Material;
use plan::{Fidelity, Report, Settings, plan, plan_together, shipped_posterior};

fn settings(name: &str) -> Settings {
    Settings {
        seed: 1,
        fidelity: Fidelity::Instant,
        today: "2026-11".to_owned(),
        name: name.to_owned(),
        program: "test".to_owned(),
        warnings: Vec::new(),
        changes: false,
        shown: Default::default(),
    }
}

/// Two upper incisors, one over dentine, one over a dark cast post, colour as the neighbour.
fn incisors() -> [Case; 2] {
    [("11", "dentine"), ("21", "cast_post")].map(|(tooth, beneath)| {
        let text = format!(
            "schema = 1\nmoment = \"plan\"\n[restoration]\nteeth = [{tooth}]\nkind = \"crown\"\n[[abutment]]\ntooth = {tooth}\nsubstrate = \
             \"{beneath}\"\n[mouth]\nvisible = \"high_smile_line\"\n[wish]\ncolour_as_neighbour = []\n"
        );
        Case::parse(tooth, &text).unwrap_or_else(|i| panic!("{}", i[0])).0
    })
}

fn together(cases: &[Case; 2]) -> Vec<Report> {
    let (catalogue, posterior) = (Catalogue::shipped().unwrap(), shipped_posterior().unwrap());
    let both = [settings("eleven"), settings("twenty-one")];
    let members = [(&cases[0], &both[0]), (&cases[1], &both[1])];
    plan_together(&members, &catalogue, &posterior, &answer::NoProgress).unwrap()
}

#[test]
fn a_case_is_planned_alike_alone_and_in_a_set() {
    let cases = incisors();
    let reports = together(&cases);
    let (catalogue, posterior) = (Catalogue::shipped().unwrap(), shipped_posterior().unwrap());
    let alone = plan(&cases[0], &catalogue, &posterior, &settings("eleven"), &answer::NoProgress).unwrap();
    assert!(alone.set.is_none());
    assert_eq!(Report { set: None, ..reports[0].clone() }, alone);
    assert_eq!(reports[0].set, reports[1].set);
}

#[test]
fn the_set_names_an_option_a_case_and_how_alike_they_look() {
    let set = together(&incisors()).swap_remove(0).set.unwrap();
    assert_eq!(set.members, ["eleven", "twenty-one"]);
    assert!(set.choices.iter().any(|c| c.each_alone));
    assert!(set.choices.windows(2).all(|c| c[0].first_share >= c[1].first_share || c[1].each_alone));
    for choice in &set.choices {
        assert_eq!((choice.options.len(), choice.beside.len()), (2, 1), "{choice:?}");
        assert!(choice.beside[0].difference.low >= 0.0 && (0.0..=1.0).contains(&choice.beside[0].seen));
    }
    let total: f64 = set.choices.iter().map(|c| c.first_share).sum();
    assert!(total <= 1.0 + 1e-9, "{total}");
    assert!(set.verdict.contains("would be seen in"), "{}", set.verdict);
}

#[test]
fn where_only_looks_count_the_first_set_differs_no_more_than_what_each_would_take_alone() {
    let cases = incisors().map(|mut case| {
        case.wish.order = vec![Matter::Looks];
        case
    });
    let set = together(&cases).swap_remove(0).set.unwrap();
    let alone = set.choices.iter().find(|c| c.each_alone).unwrap();
    // Two draws in a hundred of an eighth of the draws.
    assert!(set.choices[0].beside[0].seen <= alone.beside[0].seen + 0.02, "{set:?}");
}

#[test]
fn a_choice_of_the_dentist_stands_in_every_set() {
    let mut cases = incisors();
    cases[0].chosen = Some(case::Chosen {
        construct: catalogue::words::Construct::Crown,
        material: Some(Material::MetalCeramic),
        build: Some(catalogue::words::Build::Layered),
        reason: None,
    });
    let reports = together(&cases);
    let taken = reports[0].options.iter().find(|o| o.material == Material::MetalCeramic && !o.stopped).unwrap();
    let set = reports[0].set.as_ref().unwrap();
    assert!(set.choices.iter().all(|c| c.options[0] == taken.id), "{set:?}");
}
