//! Wished colour, what lies under each abutment, photographs.

use super::line::Line;
use crate::Known;
use crate::blocks::{Cell, Grid, Row, Words};
use case::WishedColour;
use case::parts::Reading;
use case::words::Substrate;
use catalogue::words::{Construct, Material, Tooth};
use picture::axis::figure;
use plan::ColourAnswer;

/// The wished colour as given, in words; `None` when nothing was said.
pub(crate) fn wished_colour(known: &Known<'_>) -> Option<Words> {
    let case = known.case;
    Some(match case.wish.wished_colour()? {
        WishedColour::Read(reading) => Words::from(read(reading)),
        WishedColour::Tab(name) => {
            let tab = case.laboratory.tabs.iter().find(|t| t.name == name);
            let measured = tab.map_or_else(
                || Words::default().plain(", ").tag("never measured"),
                |t| Words::from(format!(": {}", lab([t.l, t.a, t.b]))),
            );
            Words::from(format!("own tab \u{201c}{name}\u{201d}")).followed_by(measured)
        }
        WishedColour::Neighbour(differences) => {
            let words: Vec<&str> = differences.iter().map(|d| d.label()).collect();
            let how = if words.is_empty() { String::new() } else { format!(", {}", words.join(", ")) };
            let taken =
                colours(known).first().map_or(String::new(), |c| format!("; the plan takes {}", lab(c.wish_lab)));
            Words::from(format!("as the neighbour{how}, not measured{taken}"))
        }
    })
}

fn colours<'a>(known: &Known<'a>) -> &'a [ColourAnswer] {
    known.chosen.option().map_or(&[], |o| &o.colour)
}

fn lab([l, a, b]: [f64; 3]) -> String {
    let [l, a, b] = [l, a, b].map(|v| figure(v, 1));
    format!("L* {l} a* {a} b* {b}")
}

fn read(reading: &Reading) -> String {
    let spread = reading.spread.map_or(String::new(), |s| format!(", spread {}", figure(s, 1)));
    let with = reading.instrument.as_ref().map_or(String::new(), |i| format!(", read with: {i}"));
    format!("{} (CIELAB, D65, 2\u{b0}){spread}{with}", lab(reading.lab()))
}

/// Lines about colour.
pub(super) fn lines(known: &Known<'_>) -> Vec<Line> {
    let order = &known.case.order;
    let shows = known.chosen.option().is_some_and(|o| o.material != Material::Metal);
    let text = |t: &Option<String>| t.clone().map(Words::from);
    let mut lines = vec![if shows {
        Line::needed(&["shade"], "Shade wished", wished_colour(known), "give the wished colour, best measured")
    } else {
        Line::open(&["shade"], "Shade wished", Some("none: full metal".into()))
    }];
    if let Some(grade) = known.chosen.option().and_then(|o| o.grade) {
        lines.push(Line::open(&["shade"], "Translucency grade", Some(grade.label().into())));
    }
    let shade_items = &["shade_map_surface_texture_lustre_transluc"];
    let texture = match (order.texture, order.lustre) {
        (None, None) => None,
        (t, l) => Some(Words::from(format!(
            "texture {}, lustre {}",
            t.map_or("____", |t| t.label()),
            l.map_or("____", |l| l.label())
        ))),
    };
    lines.push(Line::open(shade_items, "Shade map, zones", text(&order.shade_notes)));
    lines.push(if shows {
        Line::needed(shade_items, "Texture and lustre", texture, "say texture and lustre")
    } else {
        Line::open(shade_items, "Texture and lustre", texture)
    });
    lines.push(Line::open(shade_items, "Photographs", photographs(known)));
    lines.push(Line::open(&["cement_colour_and_type_planned"], "Colour of the cement", text(&order.cement_colour)));
    lines
}

fn photographs(known: &Known<'_>) -> Option<Words> {
    files(known, &known.case.order.photographs)
}

/// Files by name and checksum; one that was not found says so.
pub(super) fn files(known: &Known<'_>, names: &[String]) -> Option<Words> {
    if names.is_empty() {
        return None;
    }
    let told = names.iter().map(|name| {
        let found = known.files.iter().find(|f| &f.name == name).and_then(|f| f.sha256.as_ref());
        match found {
            Some(sum) => Words::from(name.clone()).quiet(format!(" SHA-256 {sum}")),
            None => Words::from(format!("{name} ")).tag("file not found, no checksum"),
        }
    });
    let mut words = Words::default();
    for (i, one) in told.enumerate() {
        words = if i > 0 { words.plain("; ").followed_by(one) } else { one };
    }
    Some(words)
}

/// A substrate that would show as grey or dark through what lets light pass.
fn is_dark(substrate: Option<Substrate>) -> bool {
    substrate.is_none_or(|s| s.is_metal() || matches!(s, Substrate::DiscolouredDentine | Substrate::Unknown))
}

/// What lies under each unit that stands on something: what it is, its colour, whether it is blocked out.
pub(super) fn beneath(known: &Known<'_>) -> Grid {
    let rows = carriers(known).into_iter().map(|tooth| {
        let substrate = known.case.substrate(tooth).map_or("____", |s| s.label());
        let reading = reading(known, tooth).map_or_else(|| Words::from("____"), |r| read(r).into());
        let blocked = match &known.case.order.block_out {
            Some(list) if list.contains(&tooth) => "yes: block it out",
            Some(_) => "no",
            None => "____",
        };
        let masks = colours(known)
            .iter()
            .find(|c| c.tooth == tooth)
            .map_or("____", |c| if c.masking.is_empty() { "nothing has to be masked" } else { c.masking.as_str() });
        let cells = [Cell::from(tooth.to_string()), substrate.into(), reading.into(), blocked.into(), masks.into()];
        Row { cells: cells.into(), dimmed: false }
    });
    Grid {
        caption: "What lies under, its colour, and whether it must be blocked out".to_owned(),
        heads: ["Under", "What it is", "Colour", "Block out", "What the plan says"].map(str::to_owned).into(),
        rows: rows.collect(),
    }
}

/// What is still missing of what lies under.
pub(super) fn beneath_lacks(known: &Known<'_>) -> Vec<String> {
    let Some(option) = known.chosen.option() else { return Vec::new() };
    // Metal and the opaque layer over it let no light pass; a wing lies behind the tooth.
    if option.material.has_alloy() || matches!(option.construct, Construct::OneWing | Construct::TwoWings) {
        return Vec::new();
    }
    let mut lacks = Vec::new();
    for tooth in carriers(known) {
        if known.case.substrate(tooth).is_none() {
            lacks.push(format!("What lies under {tooth}: say what it is"));
        }
        if reading(known, tooth).is_none() {
            lacks.push(format!("Colour under {tooth}: read it and give it as CIELAB"));
        }
        if is_dark(known.case.substrate(tooth)) && known.case.order.block_out.is_none() {
            lacks.push(format!("Blocking out {tooth}: say whether ([order] block_out, [] for none)"));
        }
    }
    lacks
}

fn reading<'a>(known: &Known<'a>, tooth: Tooth) -> Option<&'a Reading> {
    if known.case.restoration.missing.contains(&tooth) {
        return known.case.implant.as_ref().and_then(|i| i.reading.as_ref());
    }
    known.case.abutment(tooth).and_then(|a| a.stump.as_ref())
}

/// Teeth and implants that carry the work.
pub(super) fn carriers(known: &Known<'_>) -> Vec<Tooth> {
    if known.chosen.construct() == Some(Construct::ImplantCrown) { known.case.missing() } else { known.carriers() }
}
