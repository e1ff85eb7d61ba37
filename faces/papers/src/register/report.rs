//! The yearly report of a practice from its register.

use super::{audit as said, pictures, watch as watched};
use crate::Form;
use crate::blocks::{Block, Document, Section, Words};
use ::register::counting::{ArmCount, Endpoint, Question};
use ::register::words::Grouping;
use ::register::{Counting, Day, GroupAudit, audit, funnel, watch};
use picture::Undrawable;
use picture::forms::FanYear;

/// Months after which a restoration has dropped out here.
const MONTHS: i32 = 24;
/// Try-ins to a false alarm here.
const FALSE_ALARM: f64 = 1000.0;

/// The yearly report. `expected` gives what pooled studies expect of a mix of cells over so many years.
///
/// # Errors
/// When the register cannot be read, something cannot be drawn, or is not to be had of `expected`.
pub fn report<C: Counting, E: From<C::Error> + From<Undrawable>>(
    place: &mut C,
    today: Day,
    expected: impl Fn(&[ArmCount], usize) -> Result<Vec<FanYear>, E>,
) -> Result<Document, E> {
    let seen_since = today.plus(-MONTHS * 30);
    let question = |endpoint, by| Question { endpoint, by, only: Vec::new(), seen_since };
    let totals = place.totals()?;
    let survival = question(Endpoint::Survival, Grouping::All);
    let all = audit(place, &survival)?;
    let success = audit(place, &question(Endpoint::Success, Grouping::All))?;
    let mut sections = vec![Section::new("all", "All together", together(place, &survival, &all, &success, expected)?)];
    for by in [
        Grouping::Material,
        Grouping::Construct,
        Grouping::Laboratory,
        Grouping::Operator,
        Grouping::Cement,
        Grouping::Year,
    ] {
        let groups = audit(place, &question(Endpoint::Survival, by))?;
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
    sections.push(Section::new("watch", "What is changing", watching::<C, E>(place, today)?));
    let (due, overdue) = place.due(seen_since, 20)?;
    let overdue_words = said::lines(&[], &[], Endpoint::Survival, &due, overdue, MONTHS);
    sections.push(Section::new(
        "overdue",
        "Overdue",
        vec![Block::List(overdue_words.into_iter().skip(1).map(Words::from).collect())],
    ));
    Ok(Document {
        title: format!("Practice report of {}", today.year()),
        opening: vec![
            Block::Lead(Words::from(
                all.first().map_or("Nothing was placed yet.".to_owned(), |g| said::sentence(g, Endpoint::Survival)),
            )),
            Block::Paragraph(Words::from(format!(
                "The register holds {} patients under pseudonyms, {} restorations, {} try-ins, {} recalls and {} events, as of {}.",
                totals.patients, totals.restorations, totals.try_ins, totals.recalls, totals.events, today
            ))),
        ],
        sections,
        closing: vec![Block::Paragraph(Words::from(
            "Survival: in place, with or without modification. Success: in place and free of every complication. Intervals hold the truth nine times in ten \
             if restorations fail alike; what nobody looked at is not counted as standing. A difference is no proof of its cause. \
             Decision support for licensed professionals; not a certified medical device. Guard this page: pseudonyms stand under `Overdue`.",
        ))],
        form: Form::default(),
    })
}

fn together<C: Counting, E: From<C::Error> + From<Undrawable>>(
    place: &mut C,
    question: &Question,
    all: &[GroupAudit],
    success: &[GroupAudit],
    expected: impl Fn(&[ArmCount], usize) -> Result<Vec<FanYear>, E>,
) -> Result<Vec<Block>, E> {
    let mut blocks = Vec::new();
    for group in all {
        let (arms, _) = place.arm_counts()?;
        let years = group.curve.last().map_or(0, |c| c.years as usize);
        let pooled = expected(&question.mix_of(&arms), years)?;
        let title = "Own results upon what pooled studies expect of the same mix";
        blocks.extend(pictures::own_on_pooled(group, &pooled, title)?.map(Block::Figure));
        blocks.extend(pictures::causes(group, "What restorations were lost to")?.map(Block::Figure));
    }
    let words = said::lines(all, &[], Endpoint::Survival, &[], 0, MONTHS)
        .into_iter()
        .chain(success.iter().map(|g| said::sentence(g, Endpoint::Success)));
    blocks.push(Block::List(words.map(Words::from).collect()));
    Ok(blocks)
}

fn watching<C: Counting, E: From<C::Error> + From<Undrawable>>(place: &mut C, today: Day) -> Result<Vec<Block>, E> {
    let found = watch::watch(place, FALSE_ALARM, today)?;
    let mut blocks = vec![Block::List(watched::lines(&found).into_iter().map(Words::from).collect())];
    for chart in found.charts.iter().filter(|c| !c.alerts.is_empty()).take(4) {
        blocks.extend(pictures::chart(chart)?.map(Block::Figure));
    }
    Ok(blocks)
}
