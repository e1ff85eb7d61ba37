//! The order is complete when everything that makes or breaks the work is told, and not before.

use crate::cases::{Planned, text as case_text};
use crate::{made, text};
use papers::{Fingerprint, Known};

/// The mark printed on an order.
fn mark(order: &str) -> String {
    let after = order.split(", mark ").nth(1).unwrap();
    after.chars().take(9).collect()
}

#[test]
fn an_order_with_everything_told_is_complete_and_its_answer_is_recorded() {
    let planned = Planned::shipped("molar-crown-ordered");
    let order = made(&planned.known(), "order");
    assert_eq!(order.missing, Vec::<String>::new());
    let told = text(&order.document);
    assert!(told.contains("This order is complete. The laboratory has accepted it."), "{told}");
    assert!(told.contains("2026-04-02") && told.contains("code invented-molar-ordered"));
}

#[test]
fn no_order_is_complete_before_the_stump_is_in() {
    for name in ["bridge-45-47", "implant-premolar", "lost-lower-incisor", "worn-molar"] {
        let planned = Planned::shipped(name);
        let order = made(&planned.known(), "order");
        assert!(order.missing.iter().any(|m| m.contains("stump is not in")), "{name}: {:?}", order.missing);
        assert!(text(&order.document).contains("This order is not complete"), "{name}");
    }
}

/// Each line that is taken out of the complete case is then what is missing.
#[test]
fn each_line_taken_out_is_named_as_missing() {
    let whole = case_text("molar-crown-ordered");
    let one = Planned::shipped("molar-crown-ordered");
    for (line, named) in [
        ("opposing = \"enamel\"\n", "It bites on"),
        ("allergies = []\n", "Allergies"),
        ("guidance = \"canine\"\n", ""),
        ("occlusal_depth_mm = 1.6\n", "occlusal"),
        ("facial_depth_mm = 1.1\n", "facial"),
        ("disinfected = \"files only\"\n", "Disinfected"),
        ("contacts = \"firm\"\n", "Proximal contacts"),
        ("margin_design = \"ceramic\"\n", "Edge"),
        ("finish = \"polished\"\n", "Finish"),
        ("cement = \"self_adhesive_resin\"\n", "Cement planned"),
        ("wanted_by = \"2026-04-14\"\n", "Needed by"),
        ("substrate = \"composite_core\"\n", "What lies under 46"),
    ] {
        assert!(whole.contains(line), "{line}");
        let planned = one.with_case(&whole.replace(line, ""));
        let order = made(&planned.known(), "order");
        if named.is_empty() {
            assert_eq!(order.missing, Vec::<String>::new(), "notes on contacts stand for the guidance");
        } else {
            assert!(order.missing.iter().any(|m| m.contains(named)), "{line}: {:?}", order.missing);
        }
    }
    let stump = whole.find("[abutment.stump]").unwrap();
    let space = whole.find("[space]").unwrap();
    let planned = one.with_case(&format!("{}{}", &whole[..stump], &whole[space..]));
    assert!(made(&planned.known(), "order").missing.iter().any(|m| m.contains("Colour under 46")));
}

#[test]
fn a_changed_case_changes_the_mark_and_outdates_the_answer_and_a_new_day_does_not() {
    let whole = case_text("molar-crown-ordered");
    let planned = Planned::shipped("molar-crown-ordered");
    let before = mark(&text(&made(&planned.known(), "order").document));
    let later = Known { date: "2026-05-01", ..planned.known() };
    assert_eq!(before, mark(&text(&made(&later, "order").document)));
    let answered = whole.replace("[[laboratory_reply]]", &format!("[[laboratory_reply]]\norder = \"{before}\""));
    let same = planned.with_case(&answered);
    assert!(made(&same.known(), "order").missing.is_empty());
    let changed = planned.with_case(&answered.replace("texture = \"light\"", "texture = \"marked\""));
    let order = made(&changed.known(), "order");
    assert_ne!(before, mark(&text(&order.document)));
    assert!(order.missing.iter().any(|m| m.contains("older order")), "{:?}", order.missing);
}

#[test]
fn questions_of_the_laboratory_keep_the_order_open() {
    let asked = case_text("molar-crown-ordered")
        .replace("answer = \"accepted\"", "answer = \"asks\"\npoints = [\"margin not readable at the mesial side\"]");
    let planned = Planned::shipped("molar-crown-ordered").with_case(&asked);
    let order = made(&planned.known(), "order");
    assert!(order.missing.iter().any(|m| m.contains("asks or deviates")));
    assert!(text(&order.document).contains("margin not readable at the mesial side"));
}

#[test]
fn one_wing_is_ordered_on_the_one_tooth_that_carries_it() {
    let planned = Planned::shipped("lost-lower-incisor");
    let known = planned.known();
    let option = known.chosen.option().unwrap();
    assert_eq!(option.construct, catalogue::words::Construct::OneWing);
    let carrier = option.preparation[0].tooth;
    let order = made(&known, "order").document;
    let units = order.sections.iter().find(|s| s.id == "work").unwrap();
    let papers::blocks::Block::Table(grid) = &units.blocks[0] else { panic!("units are a table") };
    let wings: Vec<String> =
        grid.rows.iter().filter(|r| r.cells[2].words.text() == "wing").map(|r| r.cells[0].words.text()).collect();
    assert_eq!(wings, [carrier.to_string()]);
}

#[test]
fn photographs_are_named_with_their_checksum_and_lost_ones_say_so() {
    let with =
        case_text("molar-crown-ordered").replace("[order]", "[order]\nphotographs = [\"stump.jpg\", \"lost.jpg\"]");
    let planned = Planned::shipped("molar-crown-ordered").with_case(&with);
    let files = [
        Fingerprint { name: "stump.jpg".into(), sha256: Some("00ff".repeat(16)) },
        Fingerprint { name: "lost.jpg".into(), sha256: None },
    ];
    let order = text(&made(&Known { files: &files, ..planned.known() }, "order").document);
    assert!(order.contains(&"00ff".repeat(16)) && order.contains("lost.jpg [file not found, no checksum]"), "{order}");
}

#[test]
fn what_no_laboratory_makes_is_not_ordered() {
    let planned = Planned::shipped("chipped-crown");
    for word in ["order", "preparation"] {
        assert!((papers::paper(word).unwrap().make)(&planned.known()).is_err(), "{word}");
    }
}

#[test]
fn layered_zirconia_is_told_its_cooling_and_the_support_of_its_veneer() {
    let planned = Planned::shipped("bridge-45-47");
    let layered = text(&made(&planned.named("bridge.zirconia_3y.layered"), "order").document);
    assert!(layered.contains("Firing and cooling") && layered.contains("Rinke") && layered.contains("at most 2.0 mm"));
    let mono = text(&made(&planned.named("bridge.zirconia_3y.monolithic"), "order").document);
    assert!(!mono.contains("Firing and cooling"));
}
