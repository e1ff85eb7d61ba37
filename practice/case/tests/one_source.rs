//! The list of fields is the one source of the templates, the schema, the page and the typed case.

// Helpers of tests may panic as tests do.
#![allow(clippy::unwrap_used, clippy::expect_used, clippy::panic)]

use case::fields::{Field, ROOT, Sheet};
use case::{Case, answers_asked, answers_given, default_range, document, open_questions, schema, template};
use serde_json::Value;
use std::path::Path;

fn read(name: &str, text: &str) -> Case {
    let parsed = Case::parse(name, text);
    parsed.unwrap_or_else(|i| panic!("{}", i.iter().map(ToString::to_string).collect::<Vec<_>>().join("\n"))).0
}

#[test]
fn every_template_can_be_read_and_answers_only_what_it_is_for() {
    for sheet in Sheet::ALL {
        let case = read(sheet.word(), &template(*sheet));
        assert_eq!(Sheet::of(&case), *sheet);
        // The moment and what is planned.
        assert_eq!(answers_given(&case), 2, "{sheet}");
        assert_eq!(case.laboratory, case::Laboratory::default());
    }
}

#[test]
fn every_line_of_a_template_can_be_answered() {
    for sheet in Sheet::ALL {
        let lines = template(*sheet);
        let answered: Vec<_> =
            lines.lines().map(|line| line.strip_prefix("# ").filter(|l| is_answer(l)).unwrap_or(line)).collect();
        // Ways that exclude each other, and what only the stump or another sheet knows, are taken out again.
        let text = answered.join("\n");
        let issues = match Case::parse(sheet.word(), &text) {
            Ok((_, warnings)) => warnings,
            Err(issues) => issues,
        };
        for issue in issues {
            let excluded = [
                "wish.",
                "implant.reading_own",
                "abutment[1].stump_own",
                "abutment[1].sound_neighbour",
                "space.",
                "override[1]",
                "chosen.",
                "restoration.turn",
                "restoration.cantilever",
            ];
            let stump = issue.found.ends_with("before preparation");
            assert!(stump || excluded.iter().any(|e| issue.place.field.starts_with(e)), "{sheet}: {issue}");
            assert!(!issue.found.contains("not a field") && !issue.found.contains(" is \""), "{sheet}: {issue}");
        }
    }
}

fn is_answer(line: &str) -> bool {
    line.starts_with('[')
        || line.split(" = ").next().is_some_and(|name| !name.is_empty() && !name.contains(' ') && line.contains(" = "))
}

#[test]
fn a_sheet_has_at_most_14_rows_15_in_front_17_for_bridges_and_implants() {
    for sheet in Sheet::ALL {
        let case = read(sheet.word(), &template(*sheet));
        let gap = matches!(sheet, Sheet::Bridge | Sheet::ResinBonded | Sheet::Implant);
        let most = if gap { 17 } else { 14 + usize::from(case.front_tooth()) };
        assert!(answers_asked(&case) <= most, "{sheet}: {}", answers_asked(&case));
    }
    for (sheet, from, to) in
        [(Sheet::Crown, "36", "11"), (Sheet::Implant, "24", "11"), (Sheet::Bridge, "45, 46, 47", "12, 11, 21")]
    {
        let text = template(sheet)
            .replace(from, to)
            .replace("[46]", "[11]")
            .replace("tooth = 45", "tooth = 12")
            .replace("tooth = 47", "tooth = 21");
        let case = read(sheet.word(), &text);
        assert!(case.front_tooth());
        assert!(
            answers_asked(&case) <= if sheet == Sheet::Crown { 15 } else { 17 },
            "{sheet}: {}",
            answers_asked(&case)
        );
    }
}

/// Names of a schema's objects, nested, by their paths.
fn names(schema: &Value, whole: &Value, path: &str, found: &mut Vec<String>) {
    let schema = match schema.get("$ref").and_then(Value::as_str) {
        Some(reference) => whole.pointer(reference.trim_start_matches('#')).expect("a definition"),
        None => schema,
    };
    for inner in ["items"].iter().filter_map(|k| schema.get(k)) {
        names(inner, whole, path, found);
    }
    for inner in ["anyOf", "allOf"].iter().filter_map(|k| schema.get(k)).filter_map(Value::as_array).flatten() {
        names(inner, whole, path, found);
    }
    for (name, inner) in schema.get("properties").and_then(Value::as_object).into_iter().flatten() {
        let here = format!("{path}/{name}");
        found.push(here.clone());
        names(inner, whole, &here, found);
    }
}

#[test]
fn the_typed_case_holds_exactly_the_fields_of_the_list() {
    let typed = serde_json::to_value(schemars::schema_for!(Case)).unwrap();
    let listed = schema();
    let (mut in_types, mut in_list) = (Vec::new(), Vec::new());
    names(&typed, &typed, "", &mut in_types);
    names(&listed, &listed, "", &mut in_list);
    in_types.sort();
    in_list.sort();
    assert!(in_list.len() > 100, "{}", in_list.len());
    assert_eq!(in_types, in_list);
}

fn every(fields: &'static [Field], visit: &mut dyn FnMut(&'static Field)) {
    for field in fields {
        visit(field);
        every(field.fields(), visit);
    }
}

#[test]
fn every_field_has_its_question_and_reason_and_every_must_its_fallback_or_another_way() {
    every(ROOT, &mut |field| {
        assert!(field.question.ends_with('?') && field.why.len() > 3, "{}", field.name);
        assert!(
            !field.name.is_empty() && field.name.chars().all(|c| c.is_ascii_alphanumeric() || c == '_'),
            "{}",
            field.name
        );
        if field.answer.is_some() && !field.required {
            assert!(field.fallback.is_some() || field.way > 1, "{}", field.name);
        }
    });
}

#[test]
fn the_page_is_the_one_the_list_gives() {
    let path = Path::new(env!("CARGO_MANIFEST_DIR")).join("../../docs/case.md");
    if std::env::var_os("REWRITE_DOCS").is_some() {
        std::fs::write(&path, document()).unwrap();
    }
    let page = std::fs::read_to_string(&path).unwrap_or_default();
    assert!(page == document(), "docs/case.md is stale: run `REWRITE_DOCS=1 cargo test -p case --test one_source`");
}

#[test]
fn an_unanswered_case_lists_what_is_taken_and_an_answer_takes_it_off() {
    let bare = "schema = 1\nmoment = \"plan\"\n[restoration]\nteeth = [36]\n";
    let case = read("bare", bare);
    let used = case.defaults_used();
    let has = |used: &[case::DefaultUsed], field: &str| used.iter().any(|d| d.field == field);
    assert!(has(&used, "mouth.grinding") && has(&used, "abutment[36].pulp") && has(&used, "space.planned_mm"));
    assert!(used.iter().all(|d| !d.value.is_empty()));
    assert_eq!(default_range("space.planned_mm"), Some((1.0, 2.0)));
    // Of the 14 rows of a back tooth only the moment is given.
    let open: std::collections::BTreeSet<_> = open_questions(&case).iter().filter_map(|q| q.answer).collect();
    assert_eq!((open.len(), answers_asked(&case), answers_given(&case)), (13, 14, 1));
    let more = read(
        "more",
        &format!(
            "{bare}[space]\nroom = \"tight\"\n[mouth]\ngrinding = \"none\"\nguard_worn = false\n[[abutment]]\ntooth = 36\npulp = \"vital\"\n"
        ),
    );
    let used = more.defaults_used();
    assert!(!has(&used, "mouth.grinding") && !has(&used, "abutment[1].pulp") && has(&used, "abutment[1].apical"));
    // Judged room stands for the measured one, and what it is read as is listed.
    assert!(!has(&used, "space.planned_mm") && has(&used, "space.room"));
    assert_eq!(more.space.range_mm(), Some((0.5, 1.0)));
}

#[test]
fn every_source_of_a_default_stands_in_the_data() {
    let sources =
        std::fs::read_to_string(Path::new(env!("CARGO_MANIFEST_DIR")).join("../../data/sources.csv")).unwrap();
    let ids: Vec<_> = sources.lines().filter_map(|l| l.split(',').next()).collect();
    let mut named = 0;
    every(ROOT, &mut |field| {
        for id in field.fallback.map_or("", |f| f.source).split(';').filter(|id| !id.is_empty()) {
            named += 1;
            assert!(ids.contains(&id), "{}: {id}", field.name);
        }
        // Without a source a default is a habit or recalled, and says so.
        if let Some(f) = field.fallback.filter(|f| f.source.is_empty()) {
            assert!(f.basis >= answer::Basis::CommonPractice, "{}", field.name);
        }
    });
    assert!(named >= 4);
}
