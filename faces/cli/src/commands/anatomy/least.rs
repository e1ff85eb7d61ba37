//! `bisque anatomy least`.

use super::scans::{self, CELL};
use super::show::wrong;
use super::{age, form, length, needs, the_tooth};
use crate::args::LeastArgs;
use crate::commands::{print_json, say};
use crate::failure::Failure;
use crate::{complaint, files};
use ::anatomy::{Needs, Reduction, Seen, Shown, StandingTooth};
use ::case::Case;
use ::catalogue::Catalogue;
use ::plan::LeastOption;
use answer::{Draws, World, six_figures};
use std::path::Path;

pub fn run(args: &LeastArgs, catalogue: &Catalogue) -> Result<(), Failure> {
    if !(8..=4096).contains(&args.draws) {
        return Err(Failure::Usage(format!("{} draws: expected 8 to 4096", args.draws)));
    }
    let world = World::with_draws(args.seed, args.draws);
    match (&args.case, args.tooth) {
        (Some(file), _) => of_case(args, file, &world, catalogue),
        (None, Some(tooth)) => of_tooth(args, tooth, &world, catalogue),
        (None, None) => Err(Failure::Usage("give a tooth, or a case file with --case".to_owned())),
    }
}

fn of_tooth(args: &LeastArgs, code: u8, world: &World, catalogue: &Catalogue) -> Result<(), Failure> {
    length("the space", args.space, 0.0, 5.0)?;
    if let Some(crown) = args.crown {
        length("the crown", crown, 1.0, 16.0)?;
    }
    age(args.age)?;
    let needs = needs(&args.needs)?.with_space(Some(args.space));
    // Beside a measured neighbour the crown's height is in the form as it stands.
    let clinical_crown = args.crown.filter(|_| args.scans.neighbour.is_none());
    let seen = Seen { clinical_crown, age: args.age.map(|a| (a, a)), occlusal_to_pulp: None };
    let mut remarks = Vec::new();
    let scans = &args.scans;
    let (standing, without) = if scans.present.is_none() && scans.wax_up.is_none() && scans.neighbour.is_none() {
        (StandingTooth::new(world, &form(code, catalogue)?, &seen).map_err(wrong)?, None)
    } else {
        let tooth = the_tooth(code)?;
        let given = scans::given(scans, tooth, args.crown, args.age.unwrap_or(40.0), CELL, catalogue)?;
        remarks = given.remarks;
        let made = |shown: &Shown| StandingTooth::shown(world, &given.parts.form, &seen, shown).map_err(wrong);
        let as_it_stands = Shown { wanted: given.shown.present.clone(), ..given.shown.clone() };
        let wished = scans.wax_up.is_some() || scans.neighbour.is_some();
        (made(&given.shown)?, wished.then(|| made(&as_it_stands)).transpose()?)
    };
    let cut = standing.reduction(&needs);
    let spared = without.map(|t| t.reduction(&needs).volume_share.zip(&cut.volume_share, |a, b| a - b));
    if args.json {
        let mut json = as_json(&cut);
        if let Some(map) = json.as_object_mut() {
            map.insert("tooth".into(), code.into());
            map.insert("draws".into(), args.draws.into());
            map.insert("seed".into(), args.seed.into());
            map.insert("spared_by_the_form".into(), spared.as_ref().map(interval).into());
            map.insert("remarks".into(), remarks.into());
            map.insert("sources".into(), cut.provenance.ids.iter().cloned().collect::<Vec<_>>().into());
        }
        return print_json(&json);
    }
    let words = |d: &Draws| d.interval().in_words();
    say(&format!(
        "{} of the crown is removed (share; mean, 5 to 95 %).\nDentine over the pulp {} mm; less than 1 mm in {:.0} of 100, less than 2 mm in {:.0}.\n\
         Walls {} mm high; {} of the prepared surface stays in enamel.",
        words(&cut.volume_share),
        words(&cut.dentine_over_pulp),
        100.0 * cut.chance_below(1.0),
        100.0 * cut.chance_below(2.0),
        words(&cut.wall_height),
        words(&cut.enamel_left)
    ));
    for (surface, depth) in &cut.depths {
        say(&format!("  {:<9} {} mm", surface.word(), words(depth)));
    }
    if let Some(spared) = spared {
        say(&format!(
            "{} spares {} of the crown (share) against cutting from the tooth as it stands.",
            if scans.wax_up.is_some() { "The wax-up" } else { "The form scaled to the neighbour" },
            words(&spared)
        ));
    }
    remarks.iter().for_each(|r| say(&format!("Note: {r}.")));
    say("A radiograph decides how near the pulp lies. Nothing here is a shape to cut to.");
    Ok(())
}

/// All options of a case side by side.
fn of_case(args: &LeastArgs, file: &Path, world: &World, catalogue: &Catalogue) -> Result<(), Failure> {
    let text = files::read(file)?;
    let (case, warnings) =
        Case::parse(&scans::name(file), &text).map_err(|issues| Failure::Input { issues, text: Some(text.clone()) })?;
    complaint::print_warnings(&warnings, &text);
    let (mut shown, mut remarks) = scans::of_case(&case, file, catalogue)?;
    if args.scans.present.is_some() || args.scans.wax_up.is_some() || args.scans.neighbour.is_some() {
        let Some(tooth) = case.standing().first().copied() else {
            return Err(Failure::Usage("the case has no standing tooth that a scan could show".to_owned()));
        };
        let given = scans::given(&args.scans, tooth, args.crown, args.age.unwrap_or(40.0), CELL, catalogue)?;
        remarks.extend(given.remarks);
        shown.insert(tooth, (given.parts.form.clone(), given.shown));
    }
    let (rows, no_common_path) = ::plan::least(world, &case, catalogue, &shown);
    remarks.extend(no_common_path);
    if args.json {
        return print_json(&serde_json::json!({
            "draws": args.draws, "seed": args.seed, "remarks": remarks,
            "options": rows.iter().map(|r| {
                let mut json = as_json(&r.reduction);
                if let Some(map) = json.as_object_mut() {
                    map.insert("option".into(), r.id.clone().into());
                    map.insert("tooth".into(), r.tooth.code().into());
                    map.insert("needs_mm".into(), needs_json(&r.needs));
                }
                json
            }).collect::<Vec<_>>(),
        }));
    }
    table(&rows);
    remarks.iter().for_each(|r| say(&format!("Note: {r}.")));
    say("Shares and depths of average teeth as far as they were seen; nothing here is a shape to cut to.");
    Ok(())
}

fn table(rows: &[LeastOption]) {
    let mut sorted: Vec<&LeastOption> = rows.iter().collect();
    sorted.sort_by(|a, b| a.reduction.volume_share.mean().total_cmp(&b.reduction.volume_share.mean()));
    let wide = sorted.iter().map(|r| r.title.chars().count()).max().unwrap_or(0);
    say(&format!(
        "{:<wide$} {:>5} {:>9} {:>16} {:>9} {:>9} {:>10}",
        "option, least first", "tooth", "removed", "(5 to 95 %)", "in enamel", "below 2", "below 1 mm"
    ));
    for r in sorted {
        let share = r.reduction.volume_share.interval();
        say(&format!(
            "{:<wide$} {:>5} {:>8.0} % {:>16} {:>7.0} % {:>6.0} of {:>5.0} of 100",
            r.title,
            r.tooth.code(),
            100.0 * share.mean,
            format!("({:.0} to {:.0} %)", 100.0 * share.low, 100.0 * share.high),
            100.0 * r.reduction.enamel_left.mean(),
            100.0 * r.reduction.chance_below(2.0),
            100.0 * r.reduction.chance_below(1.0),
        ));
    }
    say("Below 2 and below 1 mm: in how many of 100 such teeth less dentine than that stays over the pulp.");
}

fn needs_json(n: &Needs) -> serde_json::Value {
    serde_json::json!({
        "occlusal": n.occlusal, "facial": n.facial, "lingual": n.lingual, "proximal": n.proximal, "margin": n.margin,
    })
}

fn as_json(cut: &Reduction) -> serde_json::Value {
    let depths: serde_json::Map<_, _> = cut.depths.iter().map(|(s, d)| (s.word().to_owned(), interval(d))).collect();
    serde_json::json!({
        "share_removed": interval(&cut.volume_share), "depth_mm": depths,
        "dentine_over_pulp_mm": interval(&cut.dentine_over_pulp),
        "chance_below_2_mm": six_figures(cut.chance_below(2.0)), "chance_below_1_mm": six_figures(cut.chance_below(1.0)),
        "enamel_left": interval(&cut.enamel_left), "margin_in_enamel": interval(&cut.margin_in_enamel),
        "wall_height_mm": interval(&cut.wall_height), "prepared_area_mm2": interval(&cut.bonding_area),
    })
}

fn interval(draws: &Draws) -> serde_json::Value {
    let i = draws.interval();
    serde_json::json!({ "mean": six_figures(i.mean), "low": six_figures(i.low), "high": six_figures(i.high) })
}
