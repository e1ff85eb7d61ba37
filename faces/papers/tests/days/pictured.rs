//! Figures and tables that leave by themselves: nothing sticks out, each has its caption and says of which case it is and what it rests
//! on; every table of the papers is among them.

use crate::cases::Planned;
use papers::blocks::Block;
use papers::{figures, paper, standalone, tables};

#[test]
fn figures_and_tables_stand_alone_with_caption_and_sources() {
    for name in ["bridge-45-47", "implant-premolar", "lost-lower-incisor", "molar-crown-ordered", "chipped-crown"] {
        let planned = Planned::shipped(name);
        let known = planned.known();
        let (pictures, drawn) = (figures(&known), tables(&known));
        assert!(!drawn.is_empty(), "{name}");
        for figure in pictures.iter().chain(&drawn) {
            assert!(figure.scene.outside().is_empty(), "{name}, {}: {:?}", figure.name, figure.scene.outside());
            assert!(
                !figure.scene.title.is_empty() && figure.sources.to_lowercase().contains("case "),
                "{}",
                figure.name
            );
            assert!(!figure.sources.contains("author not seen"), "{}: {}", figure.name, figure.sources);
            let svg = standalone(figure);
            assert!(svg.starts_with("<svg") && svg.ends_with("</svg>\n") && !svg.contains("NaN"), "{}", figure.name);
        }
        let mut names: Vec<&str> = pictures.iter().chain(&drawn).map(|f| f.name.as_str()).collect();
        names.sort_unstable();
        names.dedup();
        assert_eq!(names.len(), pictures.len() + drawn.len(), "{name}: two share a name");
        if known.chosen.option().is_some() {
            let risk = pictures.iter().find(|f| f.name.starts_with("02-")).unwrap();
            assert!(risk.sources.contains("Rests on: "), "{}", risk.sources);
        }
    }
}

/// Words of a table are all there: what is drawn, put together, is what the paper says.
#[test]
fn every_table_of_the_order_is_drawn_word_by_word() {
    let planned = Planned::shipped("molar-crown-ordered");
    let known = planned.known();
    let order = (paper("order").unwrap().make)(&known).unwrap().document;
    let drawn: Vec<String> = tables(&known).iter().map(|t| standalone(t).replace("&#39;", "'")).collect();
    let mut checked = 0;
    for block in order.sections.iter().flat_map(|s| &s.blocks) {
        let Block::Table(grid) = block else { continue };
        let words: Vec<String> = grid
            .rows
            .iter()
            .flat_map(|r| &r.cells)
            .flat_map(|c| c.words.text().split_whitespace().map(str::to_owned).collect::<Vec<_>>())
            .filter(|word| word != "\u{25a1}")
            .collect();
        assert!(drawn.iter().any(|svg| words.iter().all(|w| svg.contains(w.as_str()))), "{}", grid.caption);
        checked += 1;
    }
    assert!(checked >= 3, "{checked}");
}

/// What fails by no name is no finding.
#[test]
fn the_likeliest_trouble_has_a_name() {
    let planned = Planned::shipped("bridge-45-47");
    let titles: Vec<String> = figures(&planned.known()).into_iter().map(|f| f.scene.title).collect();
    let trouble = titles.iter().find(|t| t.starts_with("Likeliest")).unwrap();
    assert!(!trouble.contains(": other"), "{trouble}");
}

/// A chipped bridge may be mended in the mouth: the way is offered and has its card.
#[test]
fn a_chipped_bridge_has_its_repair_card() {
    let planned = Planned::shipped("chipped-bridge");
    let known = planned.named("polish_or_repair");
    let card = (paper("fit").unwrap().make)(&known).unwrap().document;
    assert!(card.title.starts_with("Repair card: "), "{}", card.title);
    assert!((paper("order").unwrap().make)(&known).is_err());
}
