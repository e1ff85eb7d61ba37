//! Every paper of every shipped case is made, or says in a sentence why not.

use crate::cases::Planned;
use papers::{Charset, Leaves, NotMade, PAPERS, html, terminal};

const CASES: [&str; 9] = [
    "bridge-45-47",
    "chipped-bridge",
    "chipped-crown",
    "cracked-molar",
    "dark-incisor-cast-post",
    "implant-premolar",
    "lost-lower-incisor",
    "molar-crown-ordered",
    "worn-molar",
];

#[test]
fn every_paper_of_every_shipped_case_is_made_or_says_why_not() {
    let out = std::env::var("PICTURE_OUT").ok();
    for name in CASES {
        let planned = Planned::shipped(name);
        let known = planned.known();
        for paper in PAPERS {
            match (paper.make)(&known) {
                Ok(made) => {
                    let page = html::page(&made.document);
                    assert!(!page.contains("NaN") && !page.contains("abutment["), "{name}: {}", paper.word);
                    assert!(!page.contains("<ul>\n</ul>") && !page.contains("<dl>\n</dl>"), "{name}: {}", paper.word);
                    let lines = terminal::lines(&made.document, Charset::Unicode);
                    if let Some(folder) = &out {
                        std::fs::create_dir_all(format!("{folder}/{name}")).unwrap();
                        match paper.leaves {
                            Leaves::Page => std::fs::write(format!("{folder}/{name}/{}.html", paper.word), page),
                            Leaves::Text => {
                                std::fs::write(format!("{folder}/{name}/{}.txt", paper.word), lines.join("\n"))
                            }
                        }
                        .unwrap();
                        for figure in papers::figures(&known) {
                            std::fs::write(format!("{folder}/{name}/{}.svg", figure.name), papers::standalone(&figure))
                                .unwrap();
                        }
                    }
                }
                Err(NotMade(why)) => assert!(why.ends_with('.') && why.len() > 20, "{name}: {}: {why}", paper.word),
            }
        }
    }
}
