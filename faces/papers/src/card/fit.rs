//! The fit card, and the repair card in its place where a chip is mended: the dangers of acids first.

use super::places::{OF_REPAIR, Place, of_fit};
use super::{Steps, closing, origin, plain, sources, steps, teeth};
use crate::blocks::{Block, Document, Section, Weight, Words};
use crate::{Chosen, Form, Known, Made, NotMade, said};
use case::words::Treated;
use catalogue::ProtocolStep;
use catalogue::words::{Build, Construct, Material, Question};

/// The card of the day it is placed; for a repair, of the day it is mended.
///
/// # Errors
/// Where nothing is placed and nothing mended.
pub(crate) fn fit(known: &Known<'_>) -> Result<Made, NotMade> {
    let (construct, material) = match known.chosen {
        Chosen::Option(option) => (option.construct, Some(option.material)),
        Chosen::Alternative(a) if a.construct == Construct::PolishOrRepair => {
            (a.construct, known.case.old.as_ref().and_then(|old| old.material))
        }
        _ => return Err(NotMade(format!("{}: nothing comes from a laboratory to be placed.", known.chosen.title()))),
    };
    let repair = construct == Construct::PolishOrRepair;
    let mut missing = Vec::new();
    let fixing = known.case.implant.as_ref().and_then(|i| i.fixing);
    if construct == Construct::ImplantCrown && fixing.is_none() {
        missing.push("Screw or cement was not told: both ways are printed.".to_owned());
    }
    if repair && material.is_none() {
        missing.push(
            "What the broken restoration is made of was not told: find out before anything is conditioned.".to_owned(),
        );
    }
    let acids = known.catalogue.card_steps("acid", construct, material);
    let places = if repair { OF_REPAIR.to_vec() } else { of_fit(construct, fixing, known.case.mouth.grinding) };
    let Steps { grid, rows } = steps(known, construct, |place| bare(known, material, place), &places);
    let ids: Vec<&str> = acids.iter().chain(&rows).flat_map(|s| s.provenance.ids.iter().map(String::as_str)).collect();

    let mut opening = dangers(known, &acids);
    opening.push(Block::Facts(work(known, material)));
    let gaps = missing.iter().map(|m| Block::Note(Weight::Remark, said::continued(m).into()));
    opening.extend(gaps);
    let sections = vec![
        Section::new("steps", if repair { "Mending" } else { "Placing" }, vec![Block::Table(grid)]),
        Section::new("sources", "Sources of the steps", vec![sources(known.catalogue, ids)]),
    ];
    let title = format!("{} card: {}, {}", if repair { "Repair" } else { "Fit" }, teeth(known), known.chosen.title());
    let document = Document { title, opening, sections, closing: closing(known), form: Form::default() };
    Ok(Made { document, missing })
}

/// The materials whose rows speak at a place: what is etched or abraded is the core, what is ground and polished the outermost layer.
/// Where nobody told what a broken restoration is made of, every kind of surface is told.
fn bare(known: &Known<'_>, material: Option<Material>, place: &Place) -> Vec<Option<Material>> {
    let outermost = ["adjust", "polish"].contains(&place.word);
    let layered = known.chosen.option().is_some_and(|o| o.build == Build::Layered && o.material.is_zirconia());
    match (known.chosen, material) {
        (Chosen::Option(_), Some(_)) if outermost && layered => vec![Some(Material::Feldspathic)],
        (Chosen::Option(_), _) | (_, Some(_)) => vec![material],
        _ => [Material::Feldspathic, Material::Zirconia3y, Material::MetalCeramic].map(Some).into(),
    }
}

/// The acids first, one note each; then what the laboratory told of the fitting surface.
fn dangers(known: &Known<'_>, acids: &[&ProtocolStep]) -> Vec<Block> {
    let mut blocks: Vec<Block> = acids
        .iter()
        .map(|step| {
            let words = Words::from(format!("{} ", said::continued(&plain(&step.instruction))));
            Block::Note(Weight::Caution, words.followed_by(origin(known.catalogue, &step.provenance)))
        })
        .collect();
    let told = known.case.replies.last().and_then(|r| r.fitting_surface.map(|t| (t, r.date.as_deref())));
    if let Some((treated, date)) = told.filter(|_| matches!(known.chosen, Chosen::Option(_))) {
        let on = date.map_or(String::new(), |d| format!(" of {d}"));
        let then = match treated {
            Treated::Etched => "Clean it; do not etch it again.",
            Treated::Abraded => "After try-in clean it, or abrade it once more.",
            Treated::Nothing => "It is left to you.",
        };
        let words = format!("the laboratory's answer{on} says of the fitting surface: {}. {then}", treated.label());
        blocks.push(Block::Note(Weight::Remark, words.into()));
    }
    blocks
}

/// What is placed, over what, and how it is meant to hold.
fn work(known: &Known<'_>, material: Option<Material>) -> Vec<(String, Words)> {
    let mut facts = vec![("Work".to_owned(), Words::from(format!("{}: {}", teeth(known), known.chosen.title())))];
    if let Some(option) = known.chosen.option() {
        let hold = option.answers.iter().find(|a| a.question == Question::Hold);
        facts.extend(
            hold.map(|a| ("Hold".to_owned(), said::marks(said::sentence(&a.words).into(), &a.caveats, a.basis))),
        );
        if let Some(cement) = known.case.order.cement {
            let colour = known.case.order.cement_colour.as_ref().map_or(String::new(), |c| format!(", {c}"));
            facts.push(("Cement ordered for".to_owned(), format!("{}{colour}", cement.label()).into()));
        }
    } else if let Some(material) = material {
        facts.push(("Broken restoration".to_owned(), material.label().into()));
    }
    let allergies = match &known.case.mouth.allergies {
        None => "not asked: ask for methacrylates before a resin cement or composite is opened".to_owned(),
        Some(list) if list.is_empty() => "asked, none".to_owned(),
        Some(list) => list.iter().map(|a| a.label()).collect::<Vec<_>>().join(", "),
    };
    facts.push(("Allergies".to_owned(), allergies.into()));
    facts.push(("Product and lot".to_owned(), "cement ____ primer ____ acid ____".into()));
    facts
}
