//! Whatever people write, and however little, the papers stay whole; no patient's name has a place in the case.

use crate::cases::{Planned, plan_of, text as case_text};
use case::fields::{Field, ROOT};
use papers::{Charset, PAPERS, html, terminal};

fn whole() -> &'static Planned {
    static HELD: std::sync::OnceLock<Planned> = std::sync::OnceLock::new();
    HELD.get_or_init(|| Planned::shipped("molar-crown-ordered"))
}

fn with(text: &str) -> Planned {
    let quoted = toml_string(text);
    let case = case_text("molar-crown-ordered")
        .replace("\"invented-molar-ordered\"", &quoted)
        .replace("\"Out of sight, little room for error at the contact, easy to polish.\"", &quoted)
        .replace("\"demo-001\"", &quoted)
        .replace("\"fissures a little darker\"", &quoted)
        .replace("\"as the neighbour\"", &quoted)
        .replace("\"files only\"", &quoted)
        .replace("\"2026-04-14\"", &quoted)
        .replace("answer = \"accepted\"", &format!("answer = \"deviates\"\npoints = [{quoted}]"))
        .replace("[order]", &format!("[order]\nphotographs = [{quoted}]"));
    whole().with_case(&case)
}

/// A TOML string that holds any text.
fn toml_string(text: &str) -> String {
    let mut out = String::from("\"");
    for c in text.chars() {
        match c {
            '"' | '\\' => out.extend(['\\', c]),
            c if (c as u32) < 0x20 || c as u32 == 0x7f => out.push_str(&format!("\\u{:04X}", c as u32)),
            c => out.push(c),
        }
    }
    out + "\""
}

#[test]
fn hostile_text_yields_whole_papers_and_no_injection() {
    let long = "very long words without end ".repeat(360);
    let word = "x".repeat(10_000);
    for hostile in [
        "</td></table><script>alert(1)</script>",
        "\" onmouseover=\"x",
        "<style>*{display:none}</style>",
        "\u{202e}\u{5e9}\u{5dc}\u{5d5}\u{5dd} \u{645}\u{631}\u{62d}\u{628}\u{627}",
        "\u{1f9b7}\u{1f469}\u{200d}\u{2695}\u{fe0f}",
        "\u{1b}[2J\u{7}",
        long.as_str(),
        word.as_str(),
    ] {
        let planned = with(hostile);
        let known = planned.known();
        for paper in PAPERS {
            let made = (paper.make)(&known).unwrap_or_else(|why| panic!("{}: {}", paper.word, why.0));
            let page = html::page(&made.document);
            for forbidden in ["<script", "onmouseover=\"", "<style>*", "\u{1b}", "\u{202e}"] {
                assert!(!page.contains(forbidden), "{}: {forbidden:?}", paper.word);
            }
            assert_eq!(page.matches("<style").count(), 1, "{}", paper.word);
            for tag in ["table", "td", "section", "dd"] {
                let opened = page.matches(&format!("<{tag}>")).count() + page.matches(&format!("<{tag} ")).count();
                assert_eq!(opened, page.matches(&format!("</{tag}>")).count(), "{}: {tag}", paper.word);
            }
            let lines = terminal::lines(&made.document, Charset::Unicode);
            assert!(lines.iter().all(|l| l.chars().all(|c| !c.is_control() && c != '\u{202e}')), "{}", paper.word);
        }
        let mut planned_anew = planned;
        planned_anew.report.case_against =
            planned_anew.report.case_against.map(|a| plan::CaseAgainst { reason: Some(hostile.into()), ..a });
        planned_anew.report.case = hostile.to_owned();
        let known = planned_anew.known();
        let dossier = html::page(&(papers::paper("dossier").unwrap().make)(&known).unwrap().document);
        assert!(!dossier.contains("<script") && !dossier.contains("onmouseover=\""));
        for figure in papers::figures(&known) {
            let alone = papers::standalone(&figure);
            assert!(!alone.contains("<script") && figure.name.chars().all(|c| c.is_ascii_alphanumeric() || c == '-'));
        }
    }
}

#[test]
fn a_case_that_tells_nothing_makes_papers_full_of_gaps() {
    for sheet in case::fields::Sheet::ALL {
        let planned = plan_of(sheet.word(), &case::template(*sheet));
        let known = planned.known();
        for paper in PAPERS {
            if let Ok(made) = (paper.make)(&known) {
                let page = html::page(&made.document);
                assert!(!page.contains("NaN"), "{sheet}: {}", paper.word);
                if paper.word == "order" {
                    assert!(made.missing.len() > 5 && page.contains("____"), "{sheet}: {:?}", made.missing);
                }
            }
        }
    }
}

/// Words that a field for a person would hold.
const NAMES: [&str; 8] = ["name", "patient", "birth", "birthday", "address", "phone", "mail", "surname"];

/// The case file has no field for a patient's name, birthday, address or number.
#[test]
fn no_field_of_a_case_is_for_a_patients_name() {
    fn all(fields: &'static [Field], path: &str, out: &mut Vec<String>) {
        for field in fields {
            out.push(format!("{path}.{}", field.name));
            all(field.fields(), &format!("{path}.{}", field.name), out);
        }
    }
    let mut paths = Vec::new();
    all(ROOT, "", &mut paths);
    let named: Vec<&String> =
        paths.iter().filter(|p| p.rsplit('.').next().unwrap().split('_').any(|w| NAMES.contains(&w))).collect();
    // Own colour tabs have names.
    assert_eq!(named, [".laboratory.tab.name"]);
}
