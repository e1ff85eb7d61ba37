//! The work order: what the laboratory needs, line by line after `data/work_order.csv`, and what is still missing.
//!
//! It is not called complete before the stump is in, nor while a line that makes or breaks the work is open, nor for an option that a
//! stop forbids. Names, addresses and signatures are written by hand; what the laboratory answered is recorded against the order's mark.

mod colour;
mod line;
mod mark;
mod reply;
mod sizes;
mod statement;
mod work;

pub(crate) use colour::wished_colour;

use crate::blocks::{Block, Document, Section, Weight, Words};
use crate::card::sources;
use crate::{Form, Known, Made, NotMade, said};
use case::words::Moment;
use line::{Line, facts};
use plan::PlannedOption;
use reply::Standing;

/// The lines of an order, group by group.
struct Lines {
    material: Vec<Line>,
    colour: Vec<Line>,
    form: Vec<Line>,
    making: Vec<Line>,
    implant: Vec<Line>,
    logistics: Vec<Line>,
}

impl Lines {
    fn of(known: &Known<'_>, option: &PlannedOption) -> Self {
        Self {
            material: work::material(known, option),
            colour: colour::lines(known),
            form: work::form(known, option),
            making: work::making(known, option),
            implant: work::implant(known, option),
            logistics: work::logistics(known),
        }
    }

    fn all(&self) -> impl Iterator<Item = &Line> {
        [&self.material, &self.colour, &self.form, &self.making, &self.implant, &self.logistics].into_iter().flatten()
    }
}

/// The work order.
///
/// # Errors
/// For a way of treating it that no laboratory makes.
pub(crate) fn order(known: &Known<'_>) -> Result<Made, NotMade> {
    let Some(option) = known.chosen.option() else {
        return Err(NotMade(format!("{}: nothing is ordered from a laboratory.", known.chosen.title())));
    };
    let lines = Lines::of(known, option);
    let mut sections = contents(known, option, &lines);
    let mark = mark::mark(texts(&sections).iter().map(String::as_str));
    let missing = missing(known, option, &lines, &mark);

    sections.insert(0, Section::new("identity", "Who and for whom", vec![facts(&statement::identity(known, &mark))]));
    let recorded = reply::recorded(known, &mark);
    if !recorded.is_empty() {
        sections.insert(0, Section::new("answers", "What the laboratory has answered", recorded));
    }
    sections.push(Section::new("answer", "Answer of the laboratory", reply::form(&mark)));
    sections.push(Section::new(
        "statement",
        "Statement on the custom-made device, by the laboratory",
        declaration(known),
    ));
    sections.push(Section::new("sources", "Sources", vec![sources(known.catalogue, used(known, option))]));

    let document = Document {
        title: format!("Work order: {}", option.title),
        opening: opening(known, &missing, &mark),
        sections,
        closing: vec![
            Block::Paragraph(said::LIMITS_OF_USE.into()),
            Block::Paragraph(
                format!("Case {}; {}; by {}.", known.report.case, known.date, known.report.program).into(),
            ),
        ],
        form: Form::default(),
    };
    Ok(Made { document, missing })
}

/// Complete or not, first.
fn opening(known: &Known<'_>, missing: &[String], mark: &str) -> Vec<Block> {
    let mut blocks = Vec::new();
    if missing.is_empty() {
        let settled =
            if reply::standing(known, mark) == Standing::Accepted { " The laboratory has accepted it." } else { "" };
        blocks.push(Block::Lead(format!("This order is complete.{settled}").into()));
    } else {
        blocks.push(Block::Lead(Words::default().strong("This order is not complete: do not begin from it.")));
        blocks.push(Block::List(missing.iter().map(|m| Words::from(m.clone())).collect()));
    }
    if known.case.invented == Some(true) {
        blocks.push(Block::Note(Weight::Remark, "this case is invented; nothing is to be made of it.".into()));
    }
    blocks
}

/// What the laboratory works from; the mark is made of these.
fn contents(known: &Known<'_>, option: &PlannedOption, lines: &Lines) -> Vec<Section> {
    let mut what = vec![Block::Table(work::units(known, option))];
    if let Some(arch) = known.facts.arch_of(known.report, Some(option)) {
        what.extend(crate::arch::arch(&arch).ok().map(Block::Figure));
    }
    what.push(facts(&lines.material));
    let mut sections = vec![Section::new("work", "What is to be made", what)];
    sections.push(Section::new("beneath", "What lies under it", vec![Block::Table(colour::beneath(known))]));
    sections.push(Section::new("colour", "Colour", vec![facts(&lines.colour)]));
    if let Some(table) = sizes::table(known) {
        sections.push(Section::new("sizes", "Thickness and connectors", vec![Block::Table(table)]));
    }
    sections.push(Section::new("form", "Form and bite", vec![facts(&lines.form)]));
    sections.push(Section::new("making", "Making", vec![facts(&lines.making)]));
    if !lines.implant.is_empty() {
        sections.push(Section::new("implant", "Implant", vec![facts(&lines.implant)]));
    }
    sections.push(Section::new("days", "Files and days", vec![facts(&lines.logistics)]));
    sections
}

/// What keeps the order from being complete, the stump first.
fn missing(known: &Known<'_>, option: &PlannedOption, lines: &Lines, mark: &str) -> Vec<String> {
    let mut missing = Vec::new();
    if known.case.moment != Moment::Stump {
        missing.push("The stump is not in: prepare, measure, set moment = \"stump\" and plan again".to_owned());
    }
    if option.stopped {
        let stops: Vec<&str> = option.stops.iter().filter(|s| s.forbids).map(|s| s.text.as_str()).collect();
        missing.push(format!("A stop forbids this option: {}", stops.join("; ")));
    }
    missing.extend(colour::beneath_lacks(known));
    missing.extend(sizes::lacks(known));
    missing.extend(lines.all().filter_map(Line::lacks));
    match reply::standing(known, mark) {
        Standing::Unsettled => missing.push("The laboratory asks or deviates: settle it first".to_owned()),
        Standing::Outdated => missing.push("The laboratory answered an older order: send this one".to_owned()),
        Standing::None | Standing::Accepted => {}
    }
    missing.iter().map(|m| said::sentence(m)).collect()
}

/// The maker's statement, and the duties that come with it in the words of the rows.
fn declaration(known: &Known<'_>) -> Vec<Block> {
    let rows = known.catalogue.order_items();
    let duties = rows.iter().filter(|r| statement::DUTIES.contains(&r.id.as_str())).map(|r| {
        let by = if r.required_by.is_empty() { String::new() } else { format!(" ({})", r.required_by) };
        Words::from(said::sentence(&r.item).trim_end_matches('.').to_owned()).quiet(by)
    });
    vec![
        facts(&statement::maker()),
        Block::Blank("Name, signature, day:".into(), 1),
        Block::Paragraph("To be kept in mind, by the rules that apply where you are:".into()),
        Block::List(duties.collect()),
    ]
}

/// Sources the lines rest on.
fn used<'a>(known: &Known<'a>, option: &'a PlannedOption) -> Vec<&'a str> {
    let dimensions = option.dimensions.iter().flat_map(|d| d.sources.iter().map(String::as_str));
    let duties = known.catalogue.order_items().iter().filter(|r| statement::DUTIES.contains(&r.id.as_str()));
    let items = duties.flat_map(|r| r.provenance.ids.iter().map(String::as_str));
    let steps = ["veneer firing on zirconia", "framework support"]
        .into_iter()
        .flat_map(|phase| known.catalogue.protocol(phase, option.material))
        .filter(|_| option.build != catalogue::words::Build::Monolithic)
        .flat_map(|s| s.provenance.ids.iter().map(String::as_str));
    dimensions.chain(items).chain(steps).collect()
}

/// All texts of some sections, for the mark.
fn texts(sections: &[Section]) -> Vec<String> {
    let mut out = Vec::new();
    for section in sections {
        for block in &section.blocks {
            match block {
                Block::Table(grid) => {
                    out.extend(grid.rows.iter().flat_map(|r| r.cells.iter().map(|c| c.words.text())));
                }
                Block::Facts(list) => out.extend(list.iter().flat_map(|(n, w)| [n.clone(), w.text()])),
                _ => {}
            }
        }
    }
    out
}

#[cfg(test)]
mod tests {
    use super::*;

    /// Rows that no order prints: one is said of orders as a whole, one only warns of a wrong standard, one is every design line together,
    /// one is what the whole order is.
    const OF_THE_WHOLE: [&str; 5] = [
        "iso_20771",
        "overall_adequate_written_instructions",
        "specific_characteristics_of_the_product_as_i",
        "description_of_the_work_with_diagrams_if_ne",
        "fdi_tooth_numbers_surfaces_unit_by_unit_ro",
    ];

    /// Rows answered by the tables of units, of what lies under and of thickness.
    const BY_TABLES: [&str; 2] =
        ["stump_substrate_shade_and_metal_post_or_d", "available_thickness_per_zone_measured_reduc"];

    #[test]
    fn every_row_of_the_list_is_answered_by_a_line() {
        let catalogue = catalogue::Catalogue::shipped().expect("the shipped tables are read by their own tests");
        let source = [include_str!("work.rs"), include_str!("colour.rs"), include_str!("statement.rs")].concat();
        for row in catalogue.order_items() {
            let whole = OF_THE_WHOLE.contains(&row.id.as_str()) || BY_TABLES.contains(&row.id.as_str());
            assert!(whole || source.contains(&format!("\"{}\"", row.id)), "{} is answered nowhere", row.id);
        }
        let known = |id: &&str| catalogue.order_items().iter().any(|r| r.id == **id);
        assert!(OF_THE_WHOLE.iter().chain(&BY_TABLES).chain(&statement::DUTIES).all(known));
    }
}
