//! The invented cases under `examples/`: each can be read without a warning and answers every question of its sheet.

// Helpers of tests may panic as tests do.
#![allow(clippy::unwrap_used, clippy::expect_used, clippy::panic)]

use case::words::Moment;
use case::{Case, answers_asked, answers_given};
use catalogue::words::{Region, Tooth};

fn text(name: &str) -> String {
    let path = format!("{}/../../examples/{name}.toml", env!("CARGO_MANIFEST_DIR"));
    std::fs::read_to_string(&path).unwrap_or_else(|e| panic!("{path}: {e}"))
}

fn read(name: &str) -> Case {
    let (case, warnings) = Case::parse(name, &text(name)).unwrap_or_else(|issues| {
        panic!("{name}:\n{}", issues.iter().map(ToString::to_string).collect::<Vec<_>>().join("\n"))
    });
    assert_eq!(warnings, [], "{name}");
    case
}

const SOUND: [&str; 10] = [
    "bridge-45-47",
    "dark-incisor-cast-post",
    "worn-molar",
    "implant-premolar",
    "cracked-molar",
    "lost-lower-incisor",
    "chipped-bridge",
    "premolar-too-close",
    "molar-crown-ordered",
    "chipped-crown",
];

#[test]
fn every_invented_case_is_complete_and_says_that_it_is_invented() {
    for name in SOUND {
        let case = read(name);
        assert_eq!(case.invented, Some(true), "{name}");
        assert_eq!(case.open_questions(), [], "{name}");
        assert_eq!(answers_given(&case), answers_asked(&case), "{name}");
    }
}

#[test]
fn what_is_written_is_read_again_as_the_same_case() {
    for name in SOUND {
        let case = read(name);
        let (again, _) = Case::parse(name, &case.to_toml().unwrap()).unwrap();
        assert_eq!(case, again, "{name}");
    }
}

#[test]
fn the_cases_say_what_the_stories_say() {
    let tooth = |code| Tooth::new(code).unwrap();
    let bridge = read("bridge-45-47");
    assert_eq!(bridge.missing(), [tooth(46)]);
    // Along the arch from the patient's right: 47 comes before 45.
    assert_eq!(bridge.connectors(), [(tooth(47), tooth(46)), (tooth(46), tooth(45))]);
    assert_eq!(bridge.region(), Region::Posterior);
    assert_eq!(bridge.span_mm(|_| None), Some(10.0));
    let dark = read("dark-incisor-cast-post");
    assert!(dark.front_tooth() && dark.moment == Moment::Stump && dark.is_replacement());
    assert_eq!(dark.abutment(tooth(11)).unwrap().ferrule.unwrap().millimetres(), (1.5, 1.5));
    let worn = read("worn-molar");
    assert_eq!((worn.space.now_mm, worn.abutments[0].crown_mm), (Some(0.9), Some(3.5)));
    assert_eq!(read("implant-premolar").connectors(), []);
    assert_eq!(read("lost-lower-incisor").region(), Region::Anterior);
}

/// Line, field and a word of the remedy of each of the ten.
const WRONG: [(usize, &str, &str); 10] = [
    (9, "restoration.missing", "cantilever = true"),
    (14, "abutment[1].pulp", "root_filled"),
    (16, "abutment[1].walls", "from 0 to 4"),
    (17, "abutment[1].ferule", "`ferrule`"),
    (20, "abutment[2].tooth", "join the two sections"),
    (25, "abutment[3].ferrule", "take the section out"),
    (29, "space.planned_mm", "at least now_mm"),
    (30, "space.connector_height_mm", "measure again"),
    (33, "mouth.grinding", "\"suspected\""),
    (34, "mouth.guard_worn", "guard_worn = true"),
];

#[test]
fn a_case_wrong_in_ten_ways_is_told_all_ten_in_the_order_of_its_lines() {
    let issues = Case::parse("wrong-in-ten-ways.toml", &text("wrong-in-ten-ways")).unwrap_err();
    let told: Vec<_> = issues.iter().filter(|i| i.is_error()).collect();
    let said = issues.iter().map(ToString::to_string).collect::<Vec<_>>().join("\n");
    assert_eq!(told.len(), WRONG.len(), "{said}");
    for (issue, (line, field, remedy)) in told.iter().zip(WRONG) {
        assert_eq!((issue.place.line, issue.place.field.as_str()), (Some(line), field), "{said}");
        assert!(issue.remedy.contains(remedy), "{issue}");
        assert!(!issue.found.is_empty() && !issue.expected.is_empty(), "{issue}");
    }
}

/// A connector of nothing is no connector: it is refused, not planned with.
#[test]
fn a_connector_of_nothing_is_refused_where_it_stands() {
    for field in ["connector_height_mm", "connector_width_mm"] {
        let wrong = text("bridge-45-47").replace(&format!("{field} = 4.0"), &format!("{field} = 0"));
        let issues = Case::parse("case", &wrong).unwrap_err();
        let refused = issues.iter().find(|i| i.is_error()).unwrap();
        assert_eq!(refused.place.field, format!("space.{field}"));
        assert!(refused.expected.contains("0.5 to"), "{refused}");
    }
}
