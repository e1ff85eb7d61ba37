//! The preparation card: colour before anything dries, index, how deep on each surface and why, finish line, the stump's photograph.

use super::places::{BEFORE, of_cutting};
use super::{Steps, closing, sources, steps, teeth};
use crate::blocks::{Block, Cell, Document, Grid, Row, Section, Weight, Words};
use crate::{Form, Known, Made, NotMade, said};
use answer::Unit;
use catalogue::words::{Construct, Surface};
use picture::axis::figure;
use plan::{PlannedOption, PreparationAnswer, odds};

/// The card of the day of preparation.
///
/// # Errors
/// For a way of treating it that is not made by a laboratory.
pub(crate) fn preparation(known: &Known<'_>) -> Result<Made, NotMade> {
    let Some(option) = known.chosen.option() else {
        return Err(NotMade(format!("{}: nothing is prepared for a laboratory.", known.chosen.title())));
    };
    let construct = option.construct;
    let material = |_: &super::Place| vec![Some(option.material)];
    let before = steps(known, construct, material, &BEFORE);
    let cutting = steps(known, construct, material, &of_cutting(construct));
    let Steps { grid, rows } = cutting;
    let ids: Vec<&str> = before
        .rows
        .iter()
        .chain(&rows)
        .flat_map(|s| s.provenance.ids.iter())
        .chain(option.dimensions.iter().filter(|d| d.surface.is_some()).flat_map(|d| d.sources.iter()))
        .map(String::as_str)
        .collect();
    let mut missing = Vec::new();
    let mut depths = Vec::new();
    if construct == Construct::ImplantCrown {
        depths.push(Block::Paragraph("Nothing is cut: the crown stands on the implant.".into()));
    } else if option.preparation.is_empty() {
        missing.push("How deep it goes is not known for this way.".to_owned());
        depths.push(Block::Note(Weight::Remark, "how deep it goes is not known here; cut to the index. ____".into()));
    }
    for one in &option.preparation {
        depths.push(Block::Paragraph(pulp(one)));
        depths.push(Block::Table(depth_table(known, option, one)));
    }
    let mut sections = vec![Section::new("before", "Before the bur", vec![Block::Table(before.grid)])];
    sections.push(Section::new("depths", "How deep, and why", depths));
    sections.push(Section::new("cutting", "While cutting and after", vec![Block::Table(grid)]));
    if construct != Construct::ImplantCrown {
        sections.push(Section::new("measured", "Measured at the stump", vec![
            Block::Paragraph("Give these to the case and plan again with moment = \"stump\": only then can an order be complete.".into()),
            Block::Table(measured(known, construct)),
        ]));
    }
    sections.push(Section::new("sources", "Sources", vec![sources(known.catalogue, ids)]));
    let opening = vec![
        Block::Lead("Colour first, then the index, then the bur.".into()),
        Block::Facts(vec![
            ("Work".to_owned(), format!("{}: {}", teeth(known), option.title).into()),
            ("Wished colour".to_owned(), crate::order::wished_colour(known).unwrap_or_else(|| "not told: ____".into())),
            ("Grade".to_owned(), option.grade.map_or("____", |g| g.label()).into()),
        ]),
    ];
    let title = format!("Preparation card: {}, {}", teeth(known), option.title);
    Ok(Made {
        document: Document { title, opening, sections, closing: closing(known), form: Form::default() },
        missing,
    })
}

/// How much goes from each surface of one tooth, and which thickness asks for it.
fn depth_table(known: &Known<'_>, option: &PlannedOption, one: &PreparationAnswer) -> Grid {
    // What needs its thickness and is not cut: the room is there.
    let spared =
        option.dimensions.iter().filter_map(|d| d.surface).filter(|s| !one.depths.iter().any(|(cut, _)| cut == s));
    let none = answer::Interval { mean: 0.0, median: 0.0, low: 0.0, high: 0.0 };
    let spared: Vec<(Surface, answer::Interval)> = spared.map(|s| (s, none)).collect();
    let rows = spared.iter().chain(&one.depths).map(|(surface, depth)| {
        let (middle, range) = said::value(Unit::Millimetres, depth);
        let cut = if depth.mean <= 0.0 { "nothing more".to_owned() } else { middle };
        let need = option.dimensions.iter().find(|d| d.surface == Some(*surface));
        let why = need.map_or_else(
            || Words::from("as little as the path of placement asks"),
            |n| {
                let room = n.available.map_or(String::new(), |a| format!("; room {} mm", figure(a, 1)));
                Words::from(format!(
                    "working thickness {} mm, least tested {} mm{room}",
                    figure(n.working, 2),
                    figure(n.tested_minimum, 2)
                ))
            },
        );
        let from = need.map_or(Words::default(), |n| {
            let provenance = answer::Provenance { ids: n.sources.iter().cloned().collect(), weakest: Some(n.basis) };
            super::origin(known.catalogue, &provenance)
        });
        let words = Words::default().strong(cut);
        let words = if range.is_empty() { words } else { words.quiet(format!(" ({range})")) };
        Row { cells: vec![surface.label().into(), words.into(), why.into(), from.into(), "____".into()], dimmed: false }
    });
    Grid {
        caption: format!("{}: depth by surface", one.tooth),
        heads: ["Surface", "Cut", "Why", "From", "Done"].map(str::to_owned).into(),
        rows: rows.collect(),
    }
}

/// What is then left over the pulp.
fn pulp(one: &PreparationAnswer) -> Words {
    let Some(left) = &one.dentine_left else {
        return "How much dentine is left over the pulp is not known: radiograph before every deep cut.".into();
    };
    let (middle, range) = said::value(Unit::Millimetres, left);
    let range = if range.is_empty() { range } else { format!(" ({range})") };
    let mut words =
        Words::default().strong(format!("Least dentine left over the pulp of {}: {middle}{range}", one.tooth));
    for (chance, limit) in [(one.chance_below_2, "2.0"), (one.chance_below_1, "1.0")] {
        if let Some(chance) = chance {
            words = words.plain(format!("; below {limit} mm in {}", odds::of_hundred(chance)));
        }
    }
    words.plain(".")
}

/// Blank places for what only the stump tells.
fn measured(known: &Known<'_>, construct: Construct) -> Grid {
    let wing = matches!(construct, Construct::OneWing | Construct::TwoWings);
    let columns: &[&str] = if wing {
        &["lingual", "enamel left, of 100"]
    } else {
        &[Surface::Occlusal.label(), Surface::Facial.label(), "finish line", "wall height", "stump colour"]
    };
    let rows = known.carriers().into_iter().map(|tooth| {
        let blanks = columns.iter().map(|c| if *c == "stump colour" { "L* ____ a* ____ b* ____" } else { "____" });
        let cells = std::iter::once(Cell::from(tooth.to_string())).chain(blanks.map(Cell::from));
        Row { cells: cells.collect(), dimmed: false }
    });
    let heads = std::iter::once("Tooth").chain(columns.iter().copied()).map(str::to_owned);
    Grid { caption: "In millimetres; colour in CIELAB".to_owned(), heads: heads.collect(), rows: rows.collect() }
}
