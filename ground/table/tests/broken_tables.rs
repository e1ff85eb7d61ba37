//! Every kind of broken row and tree names its place, what was expected and what to do; nothing panics.

use proptest::prelude::*;
use table::{Origin, Table, overlay, toml_tree};

#[test]
fn broken_rows_name_line_and_column() {
    let table = Table::parse("t.csv", "id,value,low,high,use\na,1.5,,,yes\nb,two,,,no\nc,,3,1,perhaps\n").unwrap();
    let rows = table.rows();
    assert_eq!(rows[0].figure().unwrap().middle(), 1.5);
    let issue = rows[1].figure().unwrap_err();
    assert_eq!((issue.place.line, issue.place.column, issue.place.field.as_str()), (Some(3), Some(2), "value"));
    assert!(rows[2].figure().unwrap_err().found.contains("above"));
    let outside = Table::parse("t.csv", "value,low,high\n5,1,3\n").unwrap().rows()[0].figure().unwrap_err();
    assert_eq!((outside.place.column, outside.place.field.as_str()), (Some(1), "value"));
    assert_eq!(rows[2].maybe_yes("use").unwrap_err().place.line, Some(4));
    assert!(rows[0].text("low").is_err());
}

#[test]
fn ragged_rows_double_columns_and_double_names_are_refused() {
    assert_eq!(Table::parse("t.csv", "a,b\n1\n1,2,3\n").unwrap_err().len(), 2);
    assert!(Table::parse("t.csv", "a,a\n1,2\n").unwrap_err()[0].found.contains("twice"));
    assert!(Table::parse("t.csv", "").unwrap_err()[0].found.contains("empty"));
    let twice = Table::parse("t.csv", "id\nx\ny\nx\n").unwrap().unique("id").unwrap_err();
    assert_eq!(twice[0].place.line, Some(4));
    let missing = Table::parse("t.csv", "id,vaule\nx,1\n").unwrap().require(&["value"]).unwrap_err();
    assert!(missing[0].remedy.contains("vaule"));
}

#[test]
fn wrong_encodings_and_foreign_separators_are_refused_with_a_remedy() {
    let replaced = Table::parse("t.csv", "id,note\na,fine\nb,gr\u{fffd}n\n").unwrap_err();
    assert_eq!(replaced[0].place.line, Some(3));
    assert!(replaced[0].remedy.contains("UTF-8"));
    assert!(Table::parse("t.csv", "i\0d\0\n\0").is_err());
    let semicolons = Table::parse("t.csv", "id;value\na;1,5\n").unwrap_err();
    assert!(semicolons[0].remedy.contains("commas"));
    assert!(Table::parse("t.csv", "id,,value\na,,1\n").unwrap_err()[0].found.contains("no name"));
    // A byte-order mark is no part of the first column's name.
    assert_eq!(Table::parse("t.csv", "\u{feff}id\na\n").unwrap().columns(), ["id"]);
}

#[test]
fn words_counts_and_ranges_outside_what_is_meant_are_refused_at_their_cell() {
    let table = Table::parse("t.csv", "id,colour,n,mm\na,gren,1.5,1.2-1.0\nb,green;red,3,1.0-1.2\n").unwrap();
    let all = ["green", "red"];
    let (bad, good) = (&table.rows()[0], &table.rows()[1]);
    let word = bad.word("colour", &all, |w| w).unwrap_err();
    assert_eq!((word.place.line, word.place.column), (Some(2), Some(2)));
    assert!(word.remedy.contains("green"));
    assert!(bad.maybe_count("n").is_err() && bad.maybe_range("mm").is_err());
    assert_eq!(good.words("colour", &all, |w| w).unwrap(), ["green", "red"]);
    assert_eq!(good.maybe_count("n").unwrap(), Some(3));
    assert_eq!(good.maybe_range("mm").unwrap().map(|r| (r.low, r.best, r.high)), Some((1.0, None, 1.2)));
}

#[test]
fn own_tables_lacking_a_column_or_repeating_a_key_are_refused() {
    let shipped = Table::parse("s.csv", "id,value\na,1\n").unwrap();
    let lacking = Table::parse("o.csv", "id,valeu\na,5\n").unwrap();
    assert!(overlay(&shipped, &lacking, "id").unwrap_err()[0].remedy.contains("valeu"));
    let twice = Table::parse("o.csv", "id,value\nb,5\nb,6\n").unwrap();
    assert_eq!(overlay(&shipped, &twice, "id").unwrap_err()[0].place.line, Some(3));
}

#[test]
fn infinite_and_undefined_numbers_are_no_numbers() {
    let table = Table::parse("t.csv", "value\ninf\nNaN\n1e999\n").unwrap();
    assert!(table.rows().iter().all(|r| r.number("value").is_err()));
}

#[test]
fn own_rows_replace_and_add() {
    let shipped = Table::parse("s.csv", "id,value\na,1\nb,2\n").unwrap();
    let own = Table::parse("o.csv", "id,value\nb,5\nc,6\n").unwrap();
    let rows = overlay(&shipped, &own, "id").unwrap();
    let seen: Vec<(f64, Origin)> = rows.iter().map(|(r, o)| (r.number("value").unwrap(), *o)).collect();
    assert_eq!(seen, [(1.0, Origin::Shipped), (5.0, Origin::Replaced), (6.0, Origin::Added)]);
}

#[test]
fn trees_know_where_everything_stands() {
    let text = "schema = 1\n[space]\nnow_mm = \"much\"\n[[abutment]]\ntooth = 47\nferule = 2\n";
    let tree = toml_tree::parse("case.toml", text).unwrap();
    let issue = tree.get("space").and_then(|s| s.get("now_mm")).unwrap().number().unwrap_err();
    assert_eq!((issue.place.line, issue.place.column), (Some(3), Some(10)));
    assert_eq!(issue.place.field, "space.now_mm");
    let abutment = &tree.get("abutment").unwrap().items().unwrap()[0];
    let unknown = abutment.unknown_keys(["tooth", "ferrule"]);
    assert_eq!(unknown[0].place.line, Some(6));
    assert_eq!(unknown[0].place.field, "abutment[1].ferule");
    assert!(unknown[0].remedy.contains("ferrule"));
}

#[test]
fn a_broken_tree_names_its_line() {
    let issues = toml_tree::parse("case.toml", "a = 1\nb = = 2\n").unwrap_err();
    assert_eq!(issues[0].place.line, Some(2));
}

proptest! {
    #[test]
    fn a_number_and_a_range_written_are_read_back(low in -1e6f64..1e6, width in 0.0f64..1e6) {
        let high = low + width;
        let table = Table::parse("x", &format!("id,low,high,both\na,{low},{high},{low}-{high}\n")).unwrap();
        let figure = table.rows()[0].figure().unwrap();
        prop_assert_eq!((figure.low, figure.best, figure.high), (low, None, high));
        let both = table.rows()[0].maybe_range("both").unwrap().unwrap();
        prop_assert_eq!((both.low, both.high), (low, high));
    }

    #[test]
    fn an_overlay_holds_every_key_once_and_the_users_value_where_there_is_one(
        ours in prop::collection::btree_map("[a-e]", 0i32..99, 0..5),
        theirs in prop::collection::btree_map("[a-e]", 100i32..199, 0..5),
    ) {
        let table = |rows: &std::collections::BTreeMap<String, i32>| {
            let lines: String = rows.iter().map(|(key, value)| format!("{key},{value}\n")).collect();
            Table::parse("x", &format!("id,value\n{lines}")).unwrap()
        };
        let laid = overlay(&table(&ours), &table(&theirs), "id").unwrap();
        let mut expected = ours.clone();
        expected.extend(theirs.clone());
        let read: std::collections::BTreeMap<String, i32> =
            laid.iter().map(|(row, _)| (row.text("id").unwrap().to_owned(), row.number("value").unwrap() as i32)).collect();
        prop_assert_eq!(laid.len(), expected.len());
        prop_assert_eq!(read, expected);
        for (row, origin) in &laid {
            let key = row.text("id").unwrap();
            let due = match (ours.contains_key(key), theirs.contains_key(key)) {
                (true, false) => Origin::Shipped,
                (true, true) => Origin::Replaced,
                _ => Origin::Added,
            };
            prop_assert_eq!(*origin, due);
        }
    }

    #[test]
    fn no_text_makes_a_reader_panic(text in "\\PC{0,200}|([a-z]{1,4} = [0-9\"\\[\\]]{0,6}\n){0,6}|([a-z,\"]{0,9}\n){0,6}") {
        let _ = toml_tree::parse("x", &text);
        if let Ok(table) = Table::parse("x", &text) {
            for row in table.rows() {
                for (name, _) in row.cells() {
                    let _ = (row.maybe_number(name), row.maybe_range(name), row.maybe_count(name), row.list(name));
                }
            }
        }
    }
}

#[test]
fn columns_that_are_not_there_at_all_are_one_mistake() {
    let issues = Table::parse("t.csv", "id\nx\n").unwrap().require(&["source", "basis", "material"]).unwrap_err();
    assert_eq!(issues.len(), 1);
    assert!(["source", "basis", "material"].iter().all(|c| issues[0].found.contains(c)), "{}", issues[0].found);
}
