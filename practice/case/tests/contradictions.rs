//! Answers that cannot all be true are told at the line of the one to mend, with what to write.

// Helpers of tests may panic as tests do.
#![allow(clippy::unwrap_used, clippy::expect_used, clippy::panic)]

use case::Case;
use catalogue::{OwnColour, OwnKind};

/// A crown on 36 or the text of a case after `moment`.
fn issues(text: &str) -> Vec<answer::Issue> {
    let text = format!("schema = 1\nmoment = \"plan\"\n{text}");
    match Case::parse("c.toml", &text) {
        Ok((_, warnings)) => warnings,
        Err(issues) => issues,
    }
}

/// Exactly one error, at a field, whose remedy holds some words.
fn one_error(text: &str, field: &str, remedy: &str) {
    let all = issues(text);
    let errors: Vec<_> = all.iter().filter(|i| i.is_error()).collect();
    assert_eq!(errors.len(), 1, "{text}\n{all:#?}");
    assert_eq!(errors[0].place.field, field, "{}", errors[0]);
    assert!(errors[0].place.line.is_some(), "{}", errors[0]);
    assert!(errors[0].remedy.contains(remedy), "{}", errors[0]);
}

/// A warning at a field, and no error.
fn one_warning(text: &str, field: &str) {
    let all = issues(text);
    assert!(all.iter().all(|i| !i.is_error()), "{text}\n{all:#?}");
    assert!(all.iter().any(|i| i.place.field == field), "{text}\n{all:#?}");
}

const MOLAR: &str = "[restoration]\nteeth = [36]\n";
const GAP: &str = "[restoration]\nteeth = [45, 46, 47]\nmissing = [46]\n";

#[test]
fn teeth_along_the_arch() {
    one_error("[restoration]\nteeth = []\n", "restoration.teeth", "teeth = [36]");
    one_error("[restoration]\nteeth = [36, 36]\n", "restoration.teeth", "take one 36 out");
    one_error(
        "[restoration]\nteeth = [16, 46]\nmissing = [46]\ncantilever = true\n",
        "restoration.teeth",
        "one case for each jaw",
    );
    one_error("[restoration]\nteeth = [44, 46, 47]\nmissing = [46]\n", "restoration.teeth", "add 45 to teeth");
    one_error("[restoration]\nteeth = [45, 46]\nmissing = [46]\n", "restoration.missing", "add 47 as abutment");
    one_error("[restoration]\nteeth = [46, 47]\nmissing = [46]\n", "restoration.missing", "add 45 as abutment");
    one_error("[restoration]\nteeth = [46]\nmissing = [46]\n", "restoration.missing", "implant_crown");
    one_error("[restoration]\nteeth = [45, 46]\n", "restoration.teeth", "one case a tooth");
    one_error("[restoration]\nteeth = [45, 47, 46]\nmissing = [46, 44]\n", "restoration.missing", "add 44 to teeth");
    // The midline is no hole: 31 and 41 are neighbours.
    assert!(issues("[restoration]\nteeth = [32, 31, 41]\nmissing = [31]\n").iter().all(|i| !i.is_error()));
    for kind in ["one_wing", "cantilever_bridge"] {
        let text = format!("[restoration]\nteeth = [45, 46]\nmissing = [46]\nkind = \"{kind}\"\n");
        assert!(issues(&text).iter().all(|i| !i.is_error()), "{kind}");
    }
}

#[test]
fn what_is_planned_against_what_is_there() {
    one_error(&format!("{GAP}kind = \"crown\"\n"), "restoration.kind", "kind = \"bridge\"");
    one_error(&format!("{MOLAR}kind = \"one_wing\"\n"), "restoration.kind", "missing = [...]");
    one_error(&format!("{MOLAR}kind = \"crwon\"\n"), "restoration.kind", "did you mean \"crown\"?");
    one_error(&format!("{MOLAR}turn = \"first\"\n[old]\nyears = 3\n"), "restoration.turn", "turn = \"replacement\"");
    one_error(&format!("{MOLAR}[implant]\nfixing = \"screw\"\n"), "implant", "kind = \"implant_crown\"");
    one_error(
        "[restoration]\nteeth = [24]\nmissing = [24]\nkind = \"implant_crown\"\n[[abutment]]\ntooth = 24\nferrule = \"1mm\"\n",
        "abutment[1].ferrule",
        "[implant]",
    );
    one_error(
        &format!("{MOLAR}[chosen]\nconstruct = \"bridge\"\nmaterial = \"metal\"\nbuild = \"monolithic\"\n"),
        "chosen.construct",
        "option",
    );
    one_error(&format!("{MOLAR}[chosen]\nconstruct = \"crown\"\n"), "chosen.construct", "material and build");
    one_error(&format!("{MOLAR}[[override]]\nstop = \"space\"\nreason = \" \"\n"), "override[1].reason", "why");
}

#[test]
fn what_is_said_of_one_tooth() {
    let tooth = |answers: &str| format!("{MOLAR}[[abutment]]\ntooth = 36\n{answers}\n");
    one_error(&tooth("pulp = \"vital\"\nsubstrate = \"fibre_post\""), "abutment[1].pulp", "root_filled");
    one_error(&tooth("substrate = \"titanium_abutment\""), "abutment[1].substrate", "[implant]");
    one_error(&tooth("filled = \"sound\"\nsubstrate = \"amalgam_core\""), "abutment[1].filled", "heavily_filled");
    one_error(&tooth("wall_mm = 6\ncrown_mm = 5"), "abutment[1].wall_mm", "finish line");
    one_error(&tooth("ferrule = 3.0\nwall_mm = 2"), "abutment[1].ferrule", "finish line");
    one_error(&tooth("walls = 5"), "abutment[1].walls", "0 to 4");
    one_error(&tooth("walls = 2.5"), "abutment[1].walls", "walls = 3");
    one_error(&tooth("ferrule = \"1.5\""), "abutment[1].ferrule", "ferrule = 1.5");
    one_error(&tooth("facial_depth_mm = 1.2"), "abutment[1].facial_depth_mm", "moment = \"stump\"");
    one_error(&tooth("stump = { L = 50, a = 1 }\nprepared = true"), "abutment[1].stump.b", "b = 16.0");
    one_error(&format!("{MOLAR}[[abutment]]\ntooth = 35\n"), "abutment[1].tooth", "write one of 36");
    one_error(&format!("{MOLAR}[abutment]\ntooth = 36\n"), "abutment", "[[abutment]]");
    one_error("[restoration]\nteeth = [36]\n[[abutment]]\npulp = \"vital\"\n", "abutment[1].tooth", "tooth = 36");
    one_warning(&tooth("pulp = \"vital\"\napical = \"lesion\""), "abutment[1].apical");
    one_warning(&tooth("walls = 0\nferrule = \"2mm_or_more\""), "abutment[1].ferrule");
}

#[test]
fn room_and_span() {
    one_error(&format!("{MOLAR}[space]\nnow_mm = -1.0\n"), "space.now_mm", "measure again");
    one_error(&format!("{MOLAR}[space]\nnow_mm = 1.5\nplanned_mm = 1.0\n"), "space.planned_mm", "planned_by");
    one_error(&format!("{MOLAR}[space]\nnow_mm = nan\n"), "space.now_mm", "from 0 to 15");
    one_error(&format!("{MOLAR}[space]\nnow_mm = \"1,5\"\n"), "space.now_mm", "now_mm = 1.5");
    one_error(&format!("{GAP}[space]\nspan_mm = 60\n"), "space.span_mm", "2.5 to 15");
    one_error(
        &format!("{MOLAR}[space]\nplanned_by = \"raised_bite\"\n[mouth]\nvertical_dimension = \"kept\"\n"),
        "mouth.vertical_dimension",
        "changed",
    );
    assert!(
        issues(&format!("{MOLAR}[space]\nnow_mm = 1.5\nplanned_mm = 1.0\nplanned_by = \"orthodontics\"\n"))
            .iter()
            .all(|i| !i.is_error())
    );
    one_warning(&format!("{MOLAR}[space]\nroom = \"tight\"\nnow_mm = 1\n"), "space.room");
    one_warning(&format!("{MOLAR}[space]\nconnector_height_mm = 4\n"), "space.connector_height_mm");
    one_warning(&format!("{MOLAR}[space]\nspan_mm = 9\n"), "space.span_mm");
}

#[test]
fn mouth_and_wish() {
    one_error(&format!("{MOLAR}[mouth]\nage = 40\ngrowing = true\n"), "mouth.growing", "mend age");
    one_error(&format!("{MOLAR}[mouth]\nallergies = \"nickel\"\n"), "mouth.allergies", "[\"nickel\"]");
    one_error(&format!("{MOLAR}[wish]\norder = [\"harm\", \"harm\"]\n"), "wish.order", "take one out");
    one_error(
        &format!("{MOLAR}[wish]\nweights = {{ harm = 0, looks = 0, tissue = 0, money = 0 }}\n"),
        "wish.weights",
        "100",
    );
    one_error(
        &format!("{MOLAR}[wish]\ncolour_as_neighbour = [\"lighter\", \"darker\"]\n"),
        "wish.colour_as_neighbour",
        "take one out",
    );
    one_error(
        &format!(
            "{MOLAR}[wish]\ncolour_tab = \"own-2\"\n[[laboratory.tab]]\nname = \"own-1\"\nL = 70\na = 1\nb = 18\n"
        ),
        "wish.colour_tab",
        "own-1",
    );
    one_error(
        &format!(
            "{MOLAR}[wish]\ncolour_tab = \"own-1\"\ncolour_as_neighbour = []\n[[laboratory.tab]]\nname = \"own-1\"\nL = 70\na = 1\nb = 18\n"
        ),
        "wish.colour_as_neighbour",
        "keep",
    );
    one_warning(MOLAR, "mouth.allergies");
    one_warning(&format!("{MOLAR}[mouth]\ngrinding = \"none\"\nguard_worn = true\n"), "mouth.guard_worn");
}

#[test]
fn names_in_the_wrong_place_are_told_where_they_belong() {
    one_error(&format!("{MOLAR}now_mm = 1.0\n"), "restoration.now_mm", "[space]");
    one_error(&format!("{MOLAR}[spaec]\nnow_mm = 1.0\n"), "spaec", "`space`");
    one_error(&format!("{MOLAR}[mouth]\nallergy = []\n"), "mouth.allergy", "`allergies`");
}

#[test]
fn mistakes_of_writing_name_the_line_and_the_cure() {
    let error = |text: &str| Case::parse("c.toml", text).unwrap_err().remove(0);
    let comma = error("schema = 1\n[space]\nnow_mm = 1,5\n");
    assert_eq!((comma.place.line, comma.remedy.contains("1.5")), (Some(3), true), "{comma}");
    let quote = error("schema = 1\nmoment = \"plan\n");
    assert_eq!((quote.place.line, quote.remedy.contains("quotation")), (Some(2), true), "{quote}");
    let twice = error("schema = 1\nschema = 1\n");
    assert_eq!((twice.place.line, twice.remedy.contains("one of the two lines")), (Some(2), true), "{twice}");
    let newer = Case::parse("c.toml", "schema = 2\nsomething = \"new\"\n").unwrap_err();
    assert!(newer.len() == 1 && newer[0].found.contains("version 2"), "{newer:?}");
    let empty = Case::parse("c.toml", "").unwrap_err();
    let fields: Vec<_> = empty.iter().map(|i| i.place.field.as_str()).collect();
    assert_eq!(fields, ["schema", "moment", "restoration"]);
}

#[test]
fn names_of_own_colours_are_found_and_unknown_ones_told_with_those_there_are() {
    let own = |kind, name: &str| OwnColour {
        kind,
        name: name.to_owned(),
        lab: [70.0, 1.0, 18.0],
        spread: Some(0.5),
        instrument: None,
        read_on: None,
    };
    let kept = [own(OwnKind::Tab, "north 2"), own(OwnKind::Stump, "post of May")];
    let stump = format!("schema = 1\nmoment = \"stump\"\n{MOLAR}");
    let text = |tab: &str, reading: &str| {
        format!(
            "{stump}[wish]\ncolour_tab = \"{tab}\"\n[[abutment]]\ntooth = 36\nprepared = true\nstump_own = \"{reading}\"\n"
        )
    };
    let (case, _) = Case::parse_with("c.toml", &text("north 2", "post of May"), &kept).unwrap();
    assert_eq!(case.laboratory.tabs[0].l, 70.0);
    let reading = case.abutments[0].stump.as_ref().unwrap();
    assert!(
        (reading.b, reading.spread) == (18.0, Some(0.5))
            && reading.instrument.as_ref().unwrap().contains("post of May")
    );
    // What was put in place is written and read again without the file of the practice.
    assert_eq!(Case::parse("c.toml", &case.to_toml().unwrap()).unwrap().0, case);
    let wrong = |tab: &str, reading: &str, field: &str, known: &str| {
        let issues = Case::parse_with("c.toml", &text(tab, reading), &kept).unwrap_err();
        let issue = issues.iter().find(|i| i.place.field.ends_with(field)).unwrap();
        assert!(issue.place.line.is_some() && issue.expected.contains(known), "{issue}");
        issue.remedy.clone()
    };
    assert!(wrong("nort 2", "post of May", "colour_tab", "north 2").contains("did you mean"));
    assert!(wrong("north 2", "post of June", "stump_own", "post of May").contains("post of May"));
    // A stump is no tab.
    wrong("post of May", "post of May", "colour_tab", "north 2");
}
