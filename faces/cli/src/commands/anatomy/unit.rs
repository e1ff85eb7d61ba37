//! `bisque anatomy unit`.

use super::show::{File, Values, mesh, side, surface_of, wrong};
use super::{as_json, length, listed, needs, the_tooth};
use crate::args::{PonticArg, UnitArgs};
use crate::commands::{print_json, say};
use crate::failure::Failure;
use crate::files;
use ::anatomy::{Arch, Connector, Core, Needs, Part, Pontic, PonticForm, Role, ToothForm, Unit, UnitDesign};
use ::catalogue::Catalogue;
use ::catalogue::words::Tooth;
use answer::six_figures;
use picture::Steps;
use shape::{Solid, Surface};
use std::collections::BTreeMap;

pub fn run(args: &UnitArgs, catalogue: &Catalogue) -> Result<(), Failure> {
    let teeth = args.teeth.iter().map(|t| the_tooth(*t)).collect::<Result<Vec<_>, _>>()?;
    let missing = args.missing.iter().map(|t| the_tooth(*t)).collect::<Result<Vec<_>, _>>()?;
    if let Some(stray) = missing.iter().find(|t| !teeth.contains(t)) {
        return Err(Failure::Usage(format!("{stray} is missing but not among the teeth: expected it in the list")));
    }
    let forms = forms(teeth[0], catalogue)?;
    let tilts = tilts(&args.tilt)?;
    let arch = Arch::new(&forms, |t| tilts.get(&t).copied().unwrap_or(0.0)).map_err(wrong)?;
    let unit = Unit::new(&forms, arch, &teeth, &missing, &design(args)?).map_err(wrong)?;
    if let Some(out) = &args.shown.out {
        files::write_all(out, &drawn(args, &unit, &forms, &teeth)?)?;
    }
    let measured = unit
        .preparations
        .iter()
        .map(|(parts, made)| Ok((parts.form.tooth(), made.measures(parts).map_err(wrong)?)))
        .collect::<Result<Vec<_>, Failure>>()?;
    if args.shown.json {
        return print_json(&serde_json::json!({
            "teeth": args.teeth, "missing": args.missing,
            "path": unit.path.map(|p| p.map(six_figures)),
            "abutments": measured.iter().map(|(t, m)| {
                let mut json = as_json(m);
                if let (Some(map), Some(cost)) = (json.as_object_mut(), unit.costs.iter().find(|c| c.tooth == *t)) {
                    map.insert("tooth".into(), t.code().into());
                    map.insert("path_tilt_degrees".into(), cost.tilt.map(six_figures).to_vec().into());
                    map.insert("share_on_its_own_path".into(), six_figures(cost.share[0]).into());
                    map.insert("share_on_the_common_path".into(), six_figures(cost.share[1]).into());
                }
                json
            }).collect::<Vec<_>>(),
            "connectors": unit.connectors.iter().map(|c| serde_json::json!({
                "between": c.teeth.map(Tooth::code), "height_mm": six_figures(c.section.height), "width_mm": six_figures(c.section.width),
                "area_mm2": six_figures(c.section.area), "modulus_mm3": six_figures(c.section.modulus),
            })).collect::<Vec<_>>(),
            "parts": unit.parts.iter().map(|p| serde_json::json!({"role": role(p.role), "tooth": p.tooth.map(Tooth::code)})).collect::<Vec<_>>(),
            "remarks": unit.remarks,
        }));
    }
    for (tooth, m) in &measured {
        let cost = unit.costs.iter().find(|c| c.tooth == *tooth);
        let path = cost.map_or(String::new(), |c| {
            // Adding 0 takes the sign off a rounded nothing.
            let [mesial, facial] = c.tilt.map(|t| t.round() + 0.0);
            let extra = (100.0 * c.extra()).round().max(0.0);
            format!(
                " The common path leans {mesial} degrees towards mesial and {facial} towards the lip or cheek of it (below 0: away) and costs {extra} % of its \
                 crown more than its own path; least dentine {:.1} mm against {:.1}.",
                c.dentine[1], c.dentine[0]
            )
        });
        say(&format!("{tooth}: {:.0} % of the crown is removed.{path}", 100.0 * m.share()));
    }
    for c in &unit.connectors {
        let s = c.section;
        say(&format!(
            "Connector {}-{}: {:.1} mm high, {:.1} mm wide, {:.1} mm² at its smallest section.",
            c.teeth[0], c.teeth[1], s.height, s.width, s.area
        ));
    }
    unit.remarks.iter().for_each(|r| say(&format!("Note: {r}.")));
    say("Average forms in an average arch, to look at and measure; nothing here is a shape to cut to.");
    Ok(())
}

/// Average teeth of a jaw, third molars only when they are part of the work.
fn forms(of: Tooth, catalogue: &Catalogue) -> Result<BTreeMap<Tooth, ToothForm>, Failure> {
    let jaw = Tooth::all().filter(|t| t.jaw() == of.jaw());
    jaw.map(|t| Ok((t, ToothForm::of(catalogue, t).map_err(wrong)?))).collect()
}

fn tilts(given: &[String]) -> Result<BTreeMap<Tooth, f64>, Failure> {
    let one = |text: &String| {
        let expected = || Failure::Usage(format!("the tilt `{text}` is not TOOTH=DEGREES, e.g. 47=18"));
        let (tooth, degrees) = text.split_once('=').ok_or_else(expected)?;
        let degrees: f64 = degrees.trim().parse().map_err(|_| expected())?;
        if !(-60.0..=60.0).contains(&degrees) {
            return Err(Failure::Usage(format!("a tilt of {degrees} degrees: expected -60 to 60")));
        }
        Ok((the_tooth(tooth.trim().parse().map_err(|_| expected())?)?, degrees))
    };
    given.iter().map(one).collect()
}

fn design(args: &UnitArgs) -> Result<UnitDesign, Failure> {
    length("the cell", args.cell, 0.15, 0.6)?;
    super::age(Some(args.age))?;
    let form = match args.pontic {
        PonticArg::Ovate => PonticForm::Ovate,
        PonticArg::ModifiedRidgeLap => PonticForm::ModifiedRidgeLap,
        PonticArg::Hygienic => PonticForm::Hygienic,
    };
    let [height, width, radius] = listed("--connector", &args.connector)?.unwrap_or([4.0, 4.0, 0.5]);
    let mut needs = needs(&args.needs)?;
    if needs == (Needs { margin: needs.margin, ..Needs::default() }) {
        needs = Needs::USUAL;
    }
    let core = args.veneer.map(|v| {
        let veneer = Needs { occlusal: v, facial: v, lingual: v, proximal: v, margin: v };
        Core::Anatomic { veneer, least: 0.4 }
    });
    Ok(UnitDesign {
        needs,
        convergence: args.convergence,
        finish: 0.5,
        gap: 0.06,
        pontic: Pontic::usual(form),
        connector: Connector { height, width, radius },
        core,
        age: args.age,
        cell: args.cell,
    })
}

fn role(role: Role) -> &'static str {
    match role {
        Role::Dentine => "dentine",
        Role::Enamel => "enamel",
        Role::Pulp => "pulp",
        Role::Framework => "framework",
        Role::Veneer => "veneer",
    }
}

/// Surfaces put together, each place with its value.
#[derive(Default)]
struct Together {
    points: Vec<[f64; 3]>,
    facets: Vec<[u32; 3]>,
    values: Vec<Option<f64>>,
}

impl Together {
    fn add(&mut self, surface: &Surface, value: Option<f64>) {
        let first = self.points.len() as u32;
        self.points.extend_from_slice(surface.points());
        self.facets.extend(surface.facets().iter().map(|f| f.map(|v| v + first)));
        self.values.extend(std::iter::repeat_n(value, surface.points().len()));
    }
}

fn drawn(
    args: &UnitArgs,
    unit: &Unit,
    forms: &BTreeMap<Tooth, ToothForm>,
    teeth: &[Tooth],
) -> Result<Vec<File>, Failure> {
    let name = format!("unit-{}", args.teeth.iter().map(ToString::to_string).collect::<Vec<_>>().join("-"));
    let mut whole = Together::default();
    let mut files = Vec::new();
    for part in &unit.parts {
        let Ok(surface) = Surface::of(&part.solid, args.cell) else { continue };
        let value = match part.role {
            Role::Framework => Some(2.0),
            Role::Veneer => Some(1.0),
            Role::Dentine | Role::Enamel | Role::Pulp => None,
        };
        whole.add(&surface, value);
        if args.shown.meshes {
            let tooth = part.tooth.map_or(String::new(), |t| format!("-{t}"));
            files.push(mesh(&format!("{name}-{}{tooth}", role(part.role)), &surface));
        }
    }
    let bound = Surface::new(whole.points.clone(), whole.facets.clone()).map_err(wrong)?.bound();
    // Neighbours near enough to be seen stand in the picture as they are.
    for (tooth, form) in forms.iter().filter(|(t, _)| !teeth.contains(t) && t.number() < 8) {
        let Some(seat) = unit.arch.seat(*tooth) else { continue };
        let body: Part = std::sync::Arc::new(::anatomy::LatticeBody::of(form, 0.4).map_err(wrong)?);
        let placed = seat.seated(&body);
        if placed.bound().meet(&bound.grown(4.0)).is_some() {
            whole.add(&surface_of(&placed, 0.5)?, None);
        }
    }
    let surface = Surface::new(whole.points, whole.facets).map_err(wrong)?;
    let values = Values {
        at_points: Some(&whole.values),
        quantity: "1 veneer, 2 framework; teeth grey",
        unit: "",
        steps: Some(Steps::nice([0.5, 2.5], 2)),
        ..Values::none()
    };
    let middle = teeth[teeth.len() / 2];
    let outward = unit.arch.seat(middle).map_or([0.0, 1.0, 0.0], |s| s.direction([0.0, 1.0, 0.0]));
    let looks = [
        ("facial", outward, [0.0, 0.0, 1.0]),
        ("lingual", outward.map(|x| -x), [0.0, 0.0, 1.0]),
        ("chewing", [0.0, 0.0, 1.0], outward),
        ("gum", [0.0, 0.0, -1.0], outward),
    ];
    for (look, from, up) in looks {
        files.push(side(&format!("{name}-{look}"), &surface, from, up, &values, [820, 520])?);
    }
    Ok(files)
}
