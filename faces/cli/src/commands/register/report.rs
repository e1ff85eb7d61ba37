//! `bisque register report`: the yearly report of the practice as one HTML file.

use super::super::{facts, say};
use super::{Desk, audit as said, pictures, pooled, watch as watched};
use crate::failure::Failure;
use crate::files;
use ::register::counting::{Endpoint, Question};
use ::register::words::Grouping;
use ::register::{Counting, GroupAudit, audit, funnel, watch};
use papers::blocks::{Block, Document, Section, Words};
use std::path::Path;

/// Months after which a restoration has dropped out here.
const MONTHS: i32 = 24;
/// Try-ins to a false alarm here.
const FALSE_ALARM: f64 = 1000.0;

/// Writes the report.
pub fn run(desk: &Desk, out: &Path, data: Option<&Path>) -> Result<(), Failure> {
    let mut keeper = desk.open()?;
    let seen_since = desk.today.plus(-MONTHS * 30);
    let question = |endpoint, by| Question { endpoint, by, only: Vec::new(), seen_since };
    let totals = keeper.totals()?;
    let survival = question(Endpoint::Survival, Grouping::All);
    let all = audit(&mut keeper, &survival)?;
    let success = audit(&mut keeper, &question(Endpoint::Success, Grouping::All))?;
    let mut sections =
        vec![Section::new("all", "All together", together(&mut keeper, &survival, &all, &success, data)?)];
    for by in [
        Grouping::Material,
        Grouping::Construct,
        Grouping::Laboratory,
        Grouping::Operator,
        Grouping::Cement,
        Grouping::Year,
    ] {
        let groups = audit(&mut keeper, &question(Endpoint::Survival, by))?;
        let mut blocks =
            vec![Block::List(groups.iter().map(|g| Words::from(said::sentence(g, Endpoint::Survival))).collect())];
        blocks.extend(pictures::groups(&groups, &format!("Lost over the years by {}", by.label()))?.map(Block::Figure));
        if matches!(by, Grouping::Laboratory | Grouping::Operator) {
            let units = funnel(&groups);
            blocks.extend(
                pictures::units(&units, &format!("Each {} beside all together", by.label()))?.map(Block::Figure),
            );
            blocks.push(Block::List(
                units
                    .iter()
                    .map(|u| Words::from(format!("{}: {:.2} times as many as expected: {}", u.unit, u.ratio, u.words)))
                    .collect(),
            ));
        }
        sections.push(Section::new(by.word(), format!("By {}", by.label()), blocks));
    }
    sections.push(Section::new("watch", "What is changing", watching(desk, &mut keeper)?));
    let (due, overdue) = keeper.due(seen_since, 20)?;
    let overdue_words = said::lines(&[], &[], Endpoint::Survival, &due, overdue, MONTHS);
    sections.push(Section::new(
        "overdue",
        "Overdue",
        vec![Block::List(overdue_words.into_iter().skip(1).map(Words::from).collect())],
    ));
    let document = Document {
        title: format!("Practice report of {}", desk.today.year()),
        opening: vec![
            Block::Lead(Words::from(
                all.first().map_or("Nothing was placed yet.".to_owned(), |g| said::sentence(g, Endpoint::Survival)),
            )),
            Block::Paragraph(Words::from(format!(
                "The register holds {} patients under pseudonyms, {} restorations, {} try-ins, {} recalls and {} events, as of {}.",
                totals.patients, totals.restorations, totals.try_ins, totals.recalls, totals.events, desk.today
            ))),
        ],
        sections,
        closing: vec![Block::Paragraph(Words::from(
            "Survival: in place, with or without modification. Success: in place and free of every complication. Intervals hold the truth nine times in ten \
             if restorations fail alike; what nobody looked at is not counted as standing. A difference is no proof of its cause. \
             Decision support for licensed professionals; not a certified medical device. Guard this page: pseudonyms stand under `Overdue`.",
        ))],
        form: papers::Form::default(),
    };
    let folder = out.parent().filter(|p| !p.as_os_str().is_empty()).unwrap_or(Path::new("."));
    let file = out.file_name().map(|n| n.to_string_lossy().into_owned()).unwrap_or_default();
    files::write_all(folder, &[(file, papers::html::page(&document).into_bytes())])?;
    say(&format!("{} written", out.display()));
    Ok(())
}

fn together(
    keeper: &mut store::Keeper,
    question: &Question,
    all: &[GroupAudit],
    success: &[GroupAudit],
    data: Option<&Path>,
) -> Result<Vec<Block>, Failure> {
    let mut blocks = Vec::new();
    for group in all {
        let (arms, _) = keeper.arm_counts()?;
        let years = group.curve.last().map_or(0, |c| c.years as usize);
        let expected = pooled::expected(&facts(data)?, data, &said::mix(&arms, question), years)?;
        let title = "Own results upon what pooled studies expect of the same mix";
        blocks.extend(pictures::own_on_pooled(group, &expected, title)?.map(Block::Figure));
        blocks.extend(pictures::causes(group, "What restorations were lost to")?.map(Block::Figure));
    }
    let words = said::lines(all, &[], Endpoint::Survival, &[], 0, MONTHS)
        .into_iter()
        .chain(success.iter().map(|g| said::sentence(g, Endpoint::Success)));
    blocks.push(Block::List(words.map(Words::from).collect()));
    Ok(blocks)
}

fn watching(desk: &Desk, keeper: &mut store::Keeper) -> Result<Vec<Block>, Failure> {
    let found = watch::watch(keeper, FALSE_ALARM, desk.today)?;
    let mut blocks = vec![Block::List(watched::lines(&found).into_iter().map(Words::from).collect())];
    for chart in found.charts.iter().filter(|c| !c.alerts.is_empty()).take(4) {
        blocks.extend(pictures::chart(chart)?.map(Block::Figure));
    }
    Ok(blocks)
}
