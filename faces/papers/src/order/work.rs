//! Lines about the work itself: units, material, form, bite, making, implant, files, dates.

use super::colour::files;
use super::line::Line;
use crate::Known;
use crate::blocks::{Cell, Grid, Row, Words};
use crate::card::{cited, plain};
use case::Role;
use case::words::{Fixing, Grinding};
use catalogue::words::{Build, Construct, Material};
use picture::axis::figure;
use plan::PlannedOption;

/// Unit by unit: tooth, role, material, build.
pub(super) fn units(known: &Known<'_>, option: &PlannedOption) -> Grid {
    let carriers = known.carriers();
    let rows = known.case.units().into_iter().filter_map(|unit| {
        let role = match (unit.role, option.construct) {
            (Role::Neighbour, _) => return None,
            (Role::Retainer, _) if !carriers.contains(&unit.tooth) => return None,
            (Role::Pontic | Role::OnImplant, Construct::ImplantCrown) => "crown on an implant",
            (Role::Pontic | Role::OnImplant, _) => "pontic",
            (Role::Retainer, Construct::OneWing | Construct::TwoWings) => "wing",
            (Role::Retainer, Construct::Bridge | Construct::CantileverBridge) => "retainer",
            (Role::Retainer, other) => other.label(),
        };
        let cells = [
            Cell::from(unit.tooth.to_string()),
            unit.tooth.name().into(),
            role.into(),
            option.material.label().into(),
            option.build.label().into(),
        ];
        Some(Row { cells: cells.into(), dimmed: false })
    });
    Grid {
        caption: "Units from the patient's right to the left (ISO 3950)".to_owned(),
        heads: ["Tooth", "", "Role", "Material", "Build"].map(str::to_owned).into(),
        rows: rows.collect(),
    }
}

fn own(text: &Option<String>) -> Option<Words> {
    text.clone().map(Words::from)
}

/// Material, layers, alloy, edge, allergies, what failed before, the patient's age.
pub(super) fn material(known: &Known<'_>, option: &PlannedOption) -> Vec<Line> {
    let order = &known.case.order;
    let layers = match option.build {
        Build::Monolithic => "none: one material to full contour",
        Build::PartlyLayered => "only where it shows; whatever bites is the framework's own material",
        Build::Layered => "all over a framework that follows the outer form",
    };
    let pontics = known.case.missing().len();
    let mut lines = vec![
        Line::open(
            &["material_class_per_unit_and_per_layer_alloy", "type_and_in_maine_quality_of_materials"],
            "Material class",
            Some(format!("{}, {}", option.material.label(), option.build.label()).into()),
        ),
        Line::open(&["ceramic_veneering_area_extent_of_metal"], "Veneer", Some(layers.into())),
    ];
    if option.construct.has_pontic() {
        lines.push(Line::open(&["number_of_pontics"], "Pontics", Some(pontics.to_string().into())));
    }
    if option.material.has_alloy() {
        let alloy = order.alloy.map(|a| Words::from(a.label()));
        lines.push(Line::needed(
            &["material_class_per_unit_and_per_layer_alloy"],
            "Class of alloy",
            alloy,
            "say which, after asking for allergies",
        ));
    }
    let edge = order.margin_design.map(|m| Words::from(m.label()));
    lines.push(Line::needed(&["margin_design_finish_line_metal_collar_or"], "Edge", edge, "say how the edge is made"));
    let allergies = known.case.mouth.allergies.as_ref().map(|list| {
        if list.is_empty() {
            Words::from("asked, none")
        } else {
            list.iter().map(|a| a.label()).collect::<Vec<_>>().join(", ").into()
        }
    });
    lines.push(Line::needed(&["known_allergies_ni_co_pd_acrylate"], "Allergies", allergies, "ask the patient"));
    lines.push(Line::open(&["previous_restorations_failed_here_cause"], "Failed here before", failed(known)));
    let age = known.case.mouth.age.map(|a| {
        let (low, high) = a.years();
        let range = if low < high { format!("{low} to {high}") } else { low.to_string() };
        Words::from(format!("{range} years; form for: ____"))
    });
    lines.push(Line::open(&["patient_age_and_sex"], "Patient's age", age));
    lines
}

fn failed(known: &Known<'_>) -> Option<Words> {
    let Some(old) = &known.case.old else {
        return (!known.case.is_replacement()).then(|| "nothing was here before".into());
    };
    let what: Vec<&str> =
        [old.construct.map(|c| c.label()), old.material.map(|m| m.label()), old.build.map(|b| b.label())]
            .into_iter()
            .flatten()
            .collect();
    let why: Vec<&str> = old.failed_by.iter().map(|w| w.label()).collect();
    let years = old.years.map_or(String::new(), |y| format!(" after {} years", figure(y, 0)));
    Some(
        format!(
            "{}{years}: {}",
            what.join(", "),
            if why.is_empty() { "cause ____".to_owned() } else { why.join(", ") }
        )
        .into(),
    )
}

/// Pontic, contacts, emergence, bite.
pub(super) fn form(known: &Known<'_>, option: &PlannedOption) -> Vec<Line> {
    let (order, mouth) = (&known.case.order, &known.case.mouth);
    let mut lines = Vec::new();
    if option.construct.has_pontic() {
        let pontic = order.pontic_form.map(|p| Words::from(p.label()));
        lines.push(Line::needed(
            &["pontic_design_tissue_form"],
            "Form of the pontic",
            pontic,
            "say how it meets the gum",
        ));
    }
    let contacts = order.contacts.map(|c| Words::from(c.label()));
    lines.push(Line::needed(
        &["proximal_contact_strength_and_position"],
        "Proximal contacts",
        contacts,
        "say how tight they are wanted",
    ));
    lines.push(Line::open(
        &["emergence_profile_soft_tissue_contour_embr"],
        "Emergence, embrasures",
        own(&order.emergence),
    ));
    let scheme: Vec<String> = [
        mouth.guidance.map(|g| format!("guided by {}", g.label())),
        mouth.vertical_dimension.map(|v| format!("vertical dimension {}", v.label())),
        order.occlusion_notes.clone(),
    ]
    .into_iter()
    .flatten()
    .collect();
    let scheme = (mouth.guidance.is_some() || order.occlusion_notes.is_some()).then(|| Words::from(scheme.join("; ")));
    lines.push(Line::needed(
        &["occlusal_scheme_guidance_vertical_dimensio"],
        "Occlusal scheme",
        scheme,
        "say what guides the jaw and where contacts are wanted",
    ));
    let opposing = mouth.opposing.map(|o| Words::from(o.label()));
    lines.push(Line::needed(&["opposing_dentition_material"], "It bites on", opposing, "say what stands opposite"));
    let grinding = mouth.grinding.map(|g| {
        let guard = match (g, mouth.guard_worn) {
            (Grinding::Nothing, _) => "",
            (_, Some(true)) => "; a guard is worn at night",
            (_, _) => "; guard planned: ____",
        };
        Words::from(match g {
            Grinding::Nothing => "no sign".to_owned(),
            other => format!("{}{guard}", other.label()),
        })
    });
    lines.push(Line::open(&["parafunction_known_or_suspected_occlusal_de"], "Grinding, guard", grinding));
    lines
}

/// Finish, firing, framework, fitting surface.
pub(super) fn making(known: &Known<'_>, option: &PlannedOption) -> Vec<Line> {
    let order = &known.case.order;
    let layered = option.build != Build::Monolithic;
    let finish = order.finish.map(|f| {
        let zirconia =
            if option.material.is_zirconia() { "; adjusted zirconia is polished, never left rough" } else { "" };
        Words::from(format!("{} where it bites{zirconia}", f.label()))
    });
    let mut lines = vec![Line::needed(
        &["finish_polished_or_glazed_occlusal_surface"],
        "Finish",
        finish,
        "say polished or glazed where it bites",
    )];
    if layered && (option.material.is_zirconia() || option.material == Material::MetalCeramic) {
        let rows = |phase: &str, steps: &[&str]| -> Option<Words> {
            let list = known.catalogue.protocol(phase, option.material);
            let told: Vec<Words> = list
                .into_iter()
                .filter(|s| steps.iter().any(|start| s.step.starts_with(start)))
                .map(|s| {
                    let text = [
                        s.step.as_str(),
                        s.parameter.as_str(),
                        &printed(s.figure),
                        s.figure_in_words.as_str(),
                        s.unit.as_str(),
                    ]
                    .iter()
                    .filter(|t| !t.is_empty())
                    .copied()
                    .collect::<Vec<_>>()
                    .join(" ");
                    let names = cited(known.catalogue, s.provenance.ids.iter().map(String::as_str)).join("; ");
                    let memory = s.provenance.weakest == Some(answer::Basis::Memory);
                    let words = Words::from(plain(&text));
                    let words = if names.is_empty() { words } else { words.quiet(format!(" ({names})")) };
                    if memory { words.plain(" ").tag("from memory") } else { words }
                })
                .collect();
            told.into_iter().reduce(|all, one| all.plain("; ").followed_by(one))
        };
        lines.push(Line::open(
            &["cooling_protocol_for_layered_zirconia"],
            "Firing and cooling",
            rows("veneer firing on zirconia", &["prolonged", "cooling"])
                .map(|w| w.plain("; the porcelain's own instructions come first")),
        ));
        lines.push(Line::open(
            &["framework_design_anatomic_support_veneer_a"],
            "Support of the veneer",
            rows("framework support", &["anatomic framework", "modified coping"]),
        ));
    }
    let cement = order.cement.map(|c| Words::from(c.label()));
    lines.push(Line::needed(
        &["cementation_planned_so_intaglio_treatment_i", "cement_colour_and_type_planned"],
        "Cement planned",
        cement,
        "say which kind, so that the fitting surface is agreed",
    ));
    lines.push(Line::open(
        &["cementation_planned_so_intaglio_treatment_i"],
        "Fitting surface",
        Some("leave it as it comes, or tell on the answer what was done (etched, air-abraded): it is not to be done twice".into()),
    ));
    lines
}

fn printed(range: Option<catalogue::Range>) -> String {
    let Some(range) = range else { return String::new() };
    let (low, high) = (range.low, range.high);
    if low == high {
        figure(low, 2).trim_end_matches('0').trim_end_matches('.').to_owned()
    } else {
        format!("{low}-{high}")
    }
}

/// The implant, where there is one.
pub(super) fn implant(known: &Known<'_>, option: &PlannedOption) -> Vec<Line> {
    if option.construct != Construct::ImplantCrown {
        return Vec::new();
    }
    const ITEM: &[&str] = &["implant_platform_connection_abutment_type"];
    let implant = known.case.implant.clone().unwrap_or_default();
    let number = |v: Option<f64>, unit: &str| v.map(|v| Words::from(format!("{}{unit}", figure(v, 1))));
    let channel = (implant.fixing == Some(Fixing::Screw)).then_some("give the angle, for the screw channel");
    let mut lines = vec![
        Line::needed(ITEM, "Held by", implant.fixing.map(|f| Words::from(f.label())), "say screw or cement"),
        Line::needed(ITEM, "Abutment", implant.abutment.map(|a| Words::from(a.label())), "say what it is made of"),
        Line::by_hand(ITEM, "Implant, platform, connection", "____ (as on the implant's own record)"),
    ];
    lines.push(match channel {
        Some(ask) => Line::needed(ITEM, "Axis against the crown's", number(implant.axis_degrees, "\u{b0}"), ask),
        None => Line::open(ITEM, "Axis against the crown's", number(implant.axis_degrees, "\u{b0}")),
    });
    lines.extend([
        Line::open(ITEM, "Axis off the middle", number(implant.axis_mm, " mm (facial positive)")),
        Line::needed(ITEM, "Shoulder to antagonist", number(implant.height_mm, " mm"), "measure it"),
        Line::open(ITEM, "Gum in front of the abutment", number(implant.gum_mm, " mm")),
        Line::by_hand(ITEM, "Torque", "____ N cm (the implant's own instructions)"),
    ]);
    lines
}

/// Files, disinfection, temporary, days.
pub(super) fn logistics(known: &Known<'_>) -> Vec<Line> {
    let (order, case) = (&known.case.order, known.case);
    let scans = files(known, &case.restoration.scans).map(|words| {
        let unit = order.scan_unit.as_ref().map_or_else(|| "unit ____".to_owned(), |u| format!("unit: {u}"));
        words.plain(format!("; {unit}"))
    });
    let unit_missing = !case.restoration.scans.is_empty() && order.scan_unit.is_none();
    let digital = &["digital_files_names_units_scan_body_jaw"];
    vec![
        if unit_missing {
            Line::needed(digital, "Files", None, "say in which unit they are ([order] scan_unit)")
        } else {
            Line::open(digital, "Files", scans)
        },
        Line::needed(
            &["disinfection_status_of_impression_or_cast"],
            "Disinfected with",
            own(&order.disinfected),
            "say with what, or that only files go",
        ),
        Line::open(digital, "Temporary", case.restoration.temporary.map(|t| Words::from(t.label()))),
        Line::open(&["try_in_stages_return_dates_delivery_date"], "Try-in", own(&order.try_in)),
        Line::needed(&["try_in_stages_return_dates_delivery_date"], "Needed by", own(&order.wanted_by), "give the day"),
    ]
}
