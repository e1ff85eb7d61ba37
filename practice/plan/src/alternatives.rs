//! Alternatives that are named and not computed, with what is known of them.

use crate::candidates;
use crate::odds::of_hundred;
use crate::report::Alternative;
use answer::World;
use case::Case;
use case::words::{Cracks, Filled, Pulp};
use catalogue::Catalogue;
use catalogue::words::{Construct, Material};
use evidence::{Cell, Directness, Posterior, Setting};

/// What a careful colleague would name beside the computed options.
pub fn alternatives(world: &World, case: &Case, catalogue: &Catalogue, posterior: &Posterior) -> Vec<Alternative> {
    let mut list: Vec<Alternative> = candidates::alternatives(case)
        .iter()
        .map(|&construct| {
            let (mut known, against) = texts(case, construct);
            let mut sources = vec!["common_practice".to_owned()];
            let mut lost = None;
            if construct == Construct::DirectBuildUp {
                let path = [construct.word(), "resin", Material::Composite.word()];
                let prediction = posterior.predict(world, &Setting::of(Cell::new(path)));
                if prediction.directness != Directness::None {
                    let ten = prediction.total_loss.cumulative(10.0).interval();
                    lost = Some(ten.rounded());
                    known.insert(
                        0,
                        format!(
                            "about {} are lost by ten years ({:.0} to {:.0}), from {} study arms",
                            of_hundred(ten.mean),
                            100.0 * ten.low,
                            100.0 * ten.high,
                            prediction.arms
                        ),
                    );
                    sources.extend(prediction.sources.ids.iter().cloned());
                }
            }
            Alternative { construct, title: construct.label().to_owned(), lost, known, against, sources }
        })
        .collect();
    list.extend(not_computed_here(case, catalogue));
    list
}

/// Constructs of the same purpose that the case gave no teeth for.
fn not_computed_here(case: &Case, catalogue: &Catalogue) -> Vec<Alternative> {
    let computed = candidates::constructs(case);
    let purpose = if case.is_gap() { catalogue::words::Gap::Missing } else { catalogue::words::Gap::Tooth };
    Construct::ALL
        .iter()
        .filter(|c| c.treats() == purpose && c.is_indirect() && !computed.contains(c))
        .filter(|c| {
            catalogue.material_class(Material::LithiumDisilicate).is_some_and(|m| m.constructs.contains(c))
                || **c == Construct::ImplantCrown
        })
        .map(|&construct| Alternative {
            construct,
            title: construct.label().to_owned(),
            lost: None,
            known: vec![format!("not computed here: {}", why_not(construct))],
            against: Vec::new(),
            sources: vec!["common_practice".to_owned()],
        })
        .collect()
}

fn why_not(construct: Construct) -> &'static str {
    match construct {
        Construct::Bridge | Construct::TwoWings => "it takes a standing tooth on both sides; name them in the case",
        Construct::OneWing => "it takes one missing tooth and a standing neighbour; name it in the case",
        Construct::CantileverBridge => "it takes one or two missing teeth, all beyond the same side of standing ones",
        Construct::ImplantCrown => "more than one tooth is missing",
        Construct::Endocrown => "it takes a root-filled back tooth",
        Construct::Veneer => "it is for front teeth",
        Construct::PartialCrown => "it is for back teeth",
        _ => "it does not fit this case",
    }
}

/// What is known, and what speaks against it here (common practice, no source).
fn texts(case: &Case, construct: Construct) -> (Vec<String>, Vec<String>) {
    let own = |text: &str| text.to_owned();
    let abutments = || case.standing().into_iter().filter_map(|t| case.abutment(t));
    let heavily = abutments().any(|a| a.filled == Some(Filled::Heavily));
    let cracked = abutments().any(|a| matches!(a.cracks, Some(Cracks::Dentine | Cracks::Symptomatic | Cracks::Split)));
    let root_filled = abutments().any(|a| a.pulp == Some(Pulp::RootFilled));
    let mut against = Vec::new();
    let known = match construct {
        Construct::LeaveAndWatch => {
            if cracked {
                against.push(own("a crack goes on with every bite"));
            }
            if root_filled && heavily {
                against.push(own("a root-filled, heavily filled back tooth without cusp cover breaks more often"));
            }
            vec![own("costs no tooth; look again in six to twelve months, with a photograph")]
        }
        Construct::PolishOrRepair => {
            if case.old.is_none() {
                against.push(own("there is no earlier restoration to repair, as far as was told"));
            }
            vec![own("an edge polished or a chip repaired keeps what is there; most small chips need no more")]
        }
        Construct::DirectBuildUp => {
            if cracked {
                against.push(own("with a crack it must cover the cusps"));
            }
            vec![own("one visit, least tooth, repairable; does not mask a dark tooth as a crown can")]
        }
        Construct::LeaveGap => {
            let seen = case.region() == catalogue::words::Region::Anterior;
            if seen {
                against.push(own("the gap is seen"));
            }
            vec![own("costs no tooth; neighbours may tilt and the opposing tooth may grow, more in the young")]
        }
        Construct::CloseGap => {
            against.extend(case.mouth.age.filter(|a| a.years().0 >= 60.0).map(|_| own("takes long at this age")));
            vec![own("keeps all teeth uncut; takes one to two years and a retainer for good")]
        }
        Construct::Removable => {
            vec![own("cheapest way to close several gaps; covers gum, moves a little, asks for care every day")]
        }
        _ => Vec::new(),
    };
    (known, against)
}
