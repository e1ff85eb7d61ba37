//! The layout file: TOML with `dates`, `[columns]`, `[fixed]` and `[words.FIELD]`.

use crate::day::DayForm;
use answer::{Issue, Place};
use catalogue::words;
use std::collections::BTreeMap;
use table::toml_tree::{self, Node, Value};

words! {
    /// Fields a row may fill.
    Field {
        Patient = "patient", "patient";
        BirthYear = "birth_year", "birth year";
        Died = "died", "died";
        Left = "left", "left";
        Restoration = "restoration", "restoration";
        Teeth = "teeth", "teeth";
        Construct = "construct", "construct";
        Material = "material", "material";
        Build = "build", "build";
        Laboratory = "laboratory", "laboratory";
        Cement = "cement", "cement";
        Operator = "operator", "operator";
        Planned = "planned", "planned";
        Ordered = "ordered", "ordered";
        Placed = "placed", "placed";
        Note = "note", "note";
        TryIn = "try_in", "try in";
        Stage = "stage", "stage";
        Fit = "fit", "fit";
        Misfit = "misfit", "misfit";
        Minutes = "minutes", "minutes";
        Recall = "recall", "recall";
        LastSeen = "last_seen", "last seen";
        Event = "event", "event";
        EventFound = "event_found", "event found";
        EventHappened = "event_happened", "event happened";
        ChipGrade = "chip_grade", "chip grade";
        Consequence = "consequence", "consequence";
    }
}

/// How a file is laid out.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Layout {
    /// How days are written.
    pub dates: DayForm,
    /// Mark between columns.
    pub separator: char,
    /// Field to column.
    pub columns: BTreeMap<String, String>,
    /// Field to value for all rows.
    pub fixed: BTreeMap<String, String>,
    /// Field to (file's word to ours).
    pub words: BTreeMap<String, BTreeMap<String, String>>,
}

impl Layout {
    /// Reads a layout file.
    ///
    /// # Errors
    /// Everything wrong with it.
    pub fn parse(file: &str, text: &str) -> Result<Self, Vec<Issue>> {
        let root = toml_tree::parse(file, text)?;
        let mut issues = root.unknown_keys(["schema", "dates", "separator", "columns", "fixed", "words"]);
        if let Some(schema) = root.get("schema")
            && schema.whole() != Ok(1)
        {
            issues.push(schema.complain("schema = 1", "write schema = 1, or update this program"));
        }
        let dates = match root.get("dates").map(|n| (n, n.text())) {
            None => DayForm::iso(),
            Some((node, Ok(text))) => DayForm::parse(text).unwrap_or_else(|| {
                issues.push(node.complain(
                    "D, M and Y in their order with what stands between them, or `serial`",
                    "write e.g. dates = \"DD.MM.YYYY\"",
                ));
                DayForm::iso()
            }),
            Some((_, Err(issue))) => {
                issues.push(issue);
                DayForm::iso()
            }
        };
        let separator = match root.get("separator").map(|n| (n, n.text())) {
            None => ',',
            Some((_, Ok(","))) => ',',
            Some((_, Ok(";"))) => ';',
            Some((_, Ok("\t"))) => '\t',
            Some((node, _)) => {
                issues.push(node.complain("`,`, `;` or `\\t`", "name the mark that parts the columns"));
                ','
            }
        };
        let columns = section(&root, "columns", &mut issues);
        let fixed = section(&root, "fixed", &mut issues);
        let mut words = BTreeMap::new();
        if let Some(Value::Table(entries)) = root.get("words").map(|n| &n.value) {
            for entry in entries {
                known(&entry.key, &entry.place, &mut issues);
                words.insert(entry.key.clone(), texts(&entry.node, &mut issues));
            }
        }
        for need in ["patient", "teeth"] {
            if !columns.contains_key(need) && !columns.contains_key("restoration") {
                issues.push(Issue::error(
                    Place::file(file),
                    format!("no column is given for `{need}`"),
                    "[columns] with patient, teeth (or restoration, for rows about known ones)",
                    "add the line",
                ));
            }
        }
        if issues.is_empty() { Ok(Self { dates, separator, columns, fixed, words }) } else { Err(issues) }
    }
}

fn known(field: &str, place: &Place, issues: &mut Vec<Issue>) {
    if Field::parse(field).is_none() {
        let all: Vec<&str> = Field::ALL.iter().map(|f| f.word()).collect();
        let near = answer::nearest_name(field, all.iter().copied());
        let remedy = near.map_or("take one of these".to_owned(), |n| format!("did you mean `{n}`?"));
        issues.push(Issue::error(place.clone(), format!("there is no field `{field}`"), all.join(", "), remedy));
    }
}

fn section(root: &Node, name: &str, issues: &mut Vec<Issue>) -> BTreeMap<String, String> {
    let Some(node) = root.get(name) else { return BTreeMap::new() };
    if let Ok(entries) = node.entries() {
        for entry in entries {
            known(&entry.key, &entry.place, issues);
        }
    }
    texts(node, issues)
}

fn texts(node: &Node, issues: &mut Vec<Issue>) -> BTreeMap<String, String> {
    match node.entries() {
        Err(issue) => {
            issues.push(issue);
            BTreeMap::new()
        }
        Ok(entries) => entries
            .iter()
            .filter_map(|e| match e.node.text() {
                Ok(text) => Some((e.key.clone(), text.to_owned())),
                Err(issue) => {
                    issues.push(issue);
                    None
                }
            })
            .collect(),
    }
}
