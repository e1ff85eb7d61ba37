//! Pictures of what the leading options take, for the dossier: a cut to scale before and after, and depth seen from four sides.

use super::show::wrong;
use crate::failure::Failure;
use ::anatomy::{Cutting, Design, Part, Preparation, Shown, ToothForm, ToothParts, retainer};
use ::case::Case;
use ::catalogue::Catalogue;
use ::plan::{LeastOption, Report, ShownTeeth};
use answer::World;
use papers::tissue::{CutPicture, DepthSide, Tissue, cut_scene, depth_scene};
use picture::Scene;
use std::collections::BTreeMap;
use std::sync::Arc;

/// Lattice of the pictures, mm.
const CELL: f64 = 0.3;
/// Options drawn.
const LEADING: usize = 3;

/// Scenes by option. An option that takes nothing has none.
pub fn scenes(
    case: &Case,
    catalogue: &Catalogue,
    report: &Report,
    shown: &ShownTeeth,
) -> Result<BTreeMap<String, Vec<Scene>>, Failure> {
    let (rows, _) = ::plan::least(&World::with_draws(report.seed, 64), case, catalogue, shown);
    let leading: Vec<&str> =
        report.options.iter().filter(|o| o.asked && !o.stopped).take(LEADING).map(|o| o.id.as_str()).collect();
    let mut teeth: BTreeMap<u8, ToothParts> = BTreeMap::new();
    let mut drawn: BTreeMap<String, Vec<Scene>> = BTreeMap::new();
    for row in rows.iter().filter(|r| leading.contains(&r.id.as_str()) && !r.reduction.depths.is_empty()) {
        let code = row.tooth.code();
        if let std::collections::btree_map::Entry::Vacant(slot) = teeth.entry(code) {
            let form = match shown.get(&row.tooth) {
                Some((form, _)) => form.clone(),
                None => ToothForm::of(catalogue, row.tooth).map_err(wrong)?,
            };
            let age = case.mouth.age.map(::case::Age::years).map_or(45.0, |(young, old)| 0.5 * (young + old));
            slot.insert(ToothParts::new(&form, age, CELL).map_err(wrong)?);
        }
        drawn.entry(row.id.clone()).or_default().extend(of_row(
            row,
            &teeth[&code],
            shown.get(&row.tooth).map(|(_, seen)| seen),
        )?);
    }
    Ok(drawn)
}

fn of_row(row: &LeastOption, parts: &ToothParts, seen: Option<&Shown>) -> Result<[Scene; 2], Failure> {
    let design = Design { needs: row.needs, ..Design::default() };
    let form: Part = parts.outer.clone();
    let (present, wanted) = seen.map_or((&form, &form), |seen| (&seen.present, &seen.wanted));
    let made = Preparation::within(parts, present.clone(), wanted.clone(), &design, CELL).map_err(wrong)?;
    let share = row.reduction.volume_share.interval();
    let plane = Cutting::facio_lingual(0.0);
    let core: Part = Arc::new(shape::Intersection::new(made.stump.clone(), parts.core.clone()).map_err(wrong)?);
    let mut layers: Vec<(Tissue, Part)> = Vec::new();
    layers.extend(retainer(&made, parts, 0.06).ok().map(|r| (Tissue::Restoration, r)));
    layers.push((Tissue::Enamel, made.stump.clone()));
    layers.push((Tissue::Dentine, core));
    layers.push((Tissue::Pulp, parts.pulp.clone()));
    layers.push((Tissue::Before, made.present.clone()));
    let outlines = layers.iter().map(|(tissue, part)| (*tissue, plane.outlines(part, 0.12))).collect();
    let depths =
        row.reduction.depths.iter().map(|(s, d)| (s.label().to_owned(), format!("{} mm", d.interval().in_words())));
    let code = row.tooth.code();
    let cut = cut_scene(&CutPicture {
        title: format!(
            "{code}: {:.0} % of the crown makes room ({:.0} to {:.0} %).",
            100.0 * share.mean,
            100.0 * share.low,
            100.0 * share.high
        ),
        plane: "cut from lip or cheek (right) to tongue (left)".to_owned(),
        outlines,
        data: depths.collect(),
    })
    .map_err(wrong)?;
    let sides = [
        ("lip or cheek", [-1.0, 0.0, 0.0], [0.0, 0.0, 1.0]),
        ("tongue", [1.0, 0.0, 0.0], [0.0, 0.0, 1.0]),
        ("mesial", [0.0, 1.0, 0.0], [0.0, 0.0, 1.0]),
        ("chewing surface", [1.0, 0.0, 0.0], [0.0, 1.0, 0.0]),
    ];
    let maps: Vec<DepthSide> = sides
        .into_iter()
        .map(|(side, right, up)| {
            let map = Cutting { at: [0.0; 3], right, up }.depth_map(&*made.present, &*made.stump, 0.25);
            DepthSide { side: format!("from {side}"), cell: map.cell, columns: map.columns, values: map.values }
        })
        .collect();
    let least = row.reduction.dentine_over_pulp.interval();
    let depth =
        depth_scene(&format!("{code}: least dentine over the pulp {} mm.", least.in_words()), &maps).map_err(wrong)?;
    Ok([cut, depth])
}
