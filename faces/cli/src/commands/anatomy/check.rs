//! `bisque anatomy check`: planned against achieved.

use super::scans;
use super::show::{File, Values, all_sides, wrong};
use super::{as_json, in_words, needs, path, the_tooth};
use crate::args::CheckArgs;
use crate::commands::shape::read_surface;
use crate::commands::{print_json, say};
use crate::failure::Failure;
use crate::{complaint, files};
use ::anatomy::{Allowed, Checked, Design, Preparation, allows, check};
use ::case::Case;
use ::catalogue::Catalogue;
use answer::{World, six_figures};
use picture::Steps;
use shape::Surface;

const CELL: f64 = 0.25;

pub fn run(args: &CheckArgs, catalogue: &Catalogue) -> Result<(), Failure> {
    let tooth = the_tooth(args.tooth)?;
    let given = scans::given(&args.scans, tooth, None, 40.0, CELL, catalogue)?;
    let mut remarks = given.remarks.clone();
    let scan = read_surface(&args.achieved)?;
    let achieved = match scans::achieved(&scan, &given, tooth, catalogue) {
        Ok(surface) => surface,
        Err(why) => {
            say(&format!("{}: {why}.", scans::name(&args.achieved)));
            say("Without the achieved preparation there is nothing to check; the plan stands as it was.");
            return Err(Failure::Usage(format!("{} was not used", scans::name(&args.achieved))));
        }
    };
    let needs = needs(&args.needs)?;
    let design = Design { needs, path: path(&args.path)?, ..Design::default() };
    let planned =
        Preparation::within(&given.parts, given.shown.present.clone(), given.shown.wanted.clone(), &design, CELL)
            .map_err(wrong)?;
    let found = check(&planned, &given.parts, &achieved).map_err(wrong)?;
    let clearance = given.antagonist.as_ref().map(|a| super::preparation::clearance(&achieved, a, &given));
    let allowed = allowed(args, &found, catalogue, &mut remarks)?;
    if let Some(out) = &args.out {
        files::write_all(out, &drawn(args, &achieved, &found)?)?;
    }
    if args.json {
        return print_json(&serde_json::json!({
            "tooth": args.tooth, "achieved": as_json(&found.achieved), "clearance_mm": clearance.map(six_figures),
            "by_surface": found.surfaces.iter().map(|s| serde_json::json!({
                "surface": s.zone.word(), "planned_mm": six_figures(s.planned), "achieved_mm": six_figures(s.achieved), "least_mm": six_figures(s.least),
                "short_mm2": six_figures(s.short_area), "verdict": s.words(),
            })).collect::<Vec<_>>(),
            "block_out_mm2": six_figures(found.block_out[0]), "block_out_depth_mm": six_figures(found.block_out[1]),
            "allowed": allowed.iter().map(|a| serde_json::json!({"option": a.0, "words": a.1.to_string(), "allowed": a.1.is_allowed()})).collect::<Vec<_>>(),
            "remarks": remarks,
        }));
    }
    say(&in_words(&found.achieved));
    for s in &found.surfaces {
        say(&format!(
            "  {:<20} planned {:.2} mm, achieved {:.2} mm: {}",
            s.zone.label(),
            s.planned,
            s.achieved,
            s.words()
        ));
    }
    if found.block_out[0] > 0.5 && found.block_out[1] > 0.1 {
        say(&format!(
            "Block out {:.1} mm² of undercut, up to {:.2} mm deep, or take the wall back.",
            found.block_out[0], found.block_out[1]
        ));
    }
    if let Some(least) = clearance {
        say(&format!("Least way to the opposing teeth: {least:.2} mm."));
    }
    for (title, verdict) in &allowed {
        say(&format!("  {title}: {verdict}"));
    }
    remarks.iter().for_each(|r| say(&format!("Note: {r}.")));
    Ok(())
}

fn allowed(
    args: &CheckArgs,
    found: &Checked,
    catalogue: &Catalogue,
    remarks: &mut Vec<String>,
) -> Result<Vec<(String, Allowed)>, Failure> {
    let Some(file) = &args.case else { return Ok(Vec::new()) };
    let text = files::read(file)?;
    let (case, warnings) =
        Case::parse(&scans::name(file), &text).map_err(|issues| Failure::Input { issues, text: Some(text.clone()) })?;
    complaint::print_warnings(&warnings, &text);
    let (rows, why) = ::plan::least(&World::with_draws(1, 64), &case, catalogue, &::plan::ShownTeeth::new());
    remarks.extend(why);
    let mine = rows.into_iter().filter(|r| r.tooth.code() == args.tooth);
    Ok(mine.map(|r| (r.title.clone(), allows(found, &r.needs))).collect())
}

fn drawn(args: &CheckArgs, achieved: &Surface, found: &Checked) -> Result<Vec<File>, Failure> {
    let reach = found.off.iter().flatten().fold(0.2f64, |m, v| m.max(v.abs())).min(2.0);
    let values = Values {
        at_points: Some(&found.off),
        quantity: "deeper (+) or shallower (-) than planned",
        unit: "mm",
        steps: Some(Steps::either_side([-reach, reach], 10)),
        both_ways: true,
        spots: Vec::new(),
    };
    all_sides(&format!("check-{}", args.tooth), achieved, &values)
}
