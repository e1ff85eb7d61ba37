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
