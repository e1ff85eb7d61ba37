//! `bisque evidence add`, `import` and `retire`: rows of the own `studies.csv`, checked as a whole before anything is written.

use super::super::say;
use crate::failure::Failure;
use crate::files;
use ::catalogue::Catalogue;
use answer::{Issue, Place};
use std::collections::BTreeMap;
use std::path::Path;
use table::Table;

const STUDIES: &str = "studies.csv";
const SOURCES: &str = "sources.csv";
/// Source of a practice's own results where none is named.
const OWN_REGISTER: &str = "own_register";

type Fields = BTreeMap<String, String>;

/// Adds one arm.
pub fn add(data: Option<&Path>, fields: &[String], citation: Option<&str>, dry_run: bool) -> Result<(), Failure> {
    let own = Own::read(data)?;
    let pairs = pairs(fields, &own.columns, "FIELD=VALUE")?;
    let mut row: Fields = BTreeMap::new();
    for (field, value) in pairs {
        if row.insert(field.clone(), value).is_some() {
            return Err(Failure::Usage(format!("`{field}` is given twice")));
        }
    }
    own.append(vec![(row, None)], "the command line", citation, dry_run)
}

/// Adds the arms of a file, all or none.
pub fn import(
    data: Option<&Path>,
    file: &Path,
    map: &[String],
    set: &[String],
    citation: Option<&str>,
    dry_run: bool,
) -> Result<(), Failure> {
    let own = Own::read(data)?;
    let mapped = pairs(map, &own.columns, "FIELD=COLUMN")?;
    let fixed = pairs(set, &own.columns, "FIELD=VALUE")?;
    let text = files::read(file)?;
    let name = file.file_name().map(|n| n.to_string_lossy().into_owned()).unwrap_or_default();
    let failed = |issues| Failure::Input { issues, text: Some(text.clone()) };
    let table = Table::parse(&name, &text).map_err(failed)?;
    table.require(&mapped.iter().map(|m| m.1.as_str()).collect::<Vec<_>>()).map_err(failed)?;
    let field_of = |column: &str| {
        let by_map = mapped.iter().find(|m| m.1 == column).map(|m| m.0.clone());
        by_map.or_else(|| own.columns.iter().find(|c| *c == column).cloned())
    };
    let unused: Vec<&str> = table.columns().iter().map(String::as_str).filter(|c| field_of(c).is_none()).collect();
    if !unused.is_empty() {
        say(&format!("columns passed over (map them with --map FIELD=COLUMN): {}", unused.join(", ")));
    }
    let rows = table.rows().iter().map(|row| {
        let mut fields: Fields = fixed.iter().cloned().collect();
        for (column, cell) in row.cells().filter(|(_, cell)| !cell.is_empty()) {
            if let Some(field) = field_of(column) {
                fields.insert(field, cell.to_owned());
            }
        }
        (fields, Some(row.line()))
    });
    let rows: Vec<(Fields, Option<usize>)> = rows.collect();
    if rows.is_empty() {
        return Err(failed(vec![Issue::error(Place::file(&name), "no arm", "at least one line", "fill in the file")]));
    }
    own.append(rows, &name, citation, dry_run)
}

/// Takes an arm out of the pool, with the reason.
pub fn retire(data: Option<&Path>, id: &str, reason: &str) -> Result<(), Failure> {
    if reason.trim().is_empty() {
        return Err(Failure::Usage("why? Every exclusion has a reason: --reason TEXT".to_owned()));
    }
    let mut own = Own::read(data)?;
    let catalogue = own.catalogue(&own.files)?;
    let rows = catalogue.table(STUDIES).unwrap_or_default();
    let Some((row, _)) = rows.iter().find(|(r, _)| r.maybe("id") == Some(id)) else {
        let near = answer::nearest_name(id, rows.iter().filter_map(|(r, _)| r.maybe("id")));
        let hint = near.map_or(String::new(), |n| format!(": did you mean `{n}`?"));
        return Err(Failure::Usage(format!("no arm `{id}`{hint}")));
    };
    if row.maybe("use") == Some("no") {
        let why = row.maybe("use_reason").unwrap_or("no reason given");
        return Err(Failure::Usage(format!("`{id}` is not pooled already: {why}")));
    }
    let mut fields: Fields = row.cells().map(|(c, v)| (c.to_owned(), v.to_owned())).collect();
    fields.insert("use".to_owned(), "no".to_owned());
    fields.insert("use_reason".to_owned(), reason.trim().to_owned());
    own.without(id);
    own.append(vec![(fields, None)], "the command line", None, false)?;
    say(&format!("{id} is listed and no longer pooled: {}", reason.trim()));
    Ok(())
}

/// `FIELD=SOMETHING` with a field of the table.
fn pairs(words: &[String], columns: &[String], form: &str) -> Result<Vec<(String, String)>, Failure> {
    words
        .iter()
        .map(|word| {
            let Some((field, value)) = word.split_once('=') else {
                return Err(Failure::Usage(format!("`{word}`: expected {form}, e.g. n_restorations=120")));
            };
            if !columns.iter().any(|c| c == field) {
                let near = answer::nearest_name(field, columns.iter().map(String::as_str));
                let hint =
                    near.map_or("see `bisque evidence show BR001`".to_owned(), |n| format!("did you mean `{n}`?"));
                return Err(Failure::Usage(format!("arms have no field `{field}`: {hint}")));
            }
            Ok((field.to_owned(), value.trim().to_owned()))
        })
        .collect()
}

/// The folder of own tables.
struct Own<'a> {
    folder: &'a Path,
    files: Vec<(String, String)>,
    columns: Vec<String>,
    source_columns: Vec<String>,
}

impl<'a> Own<'a> {
    fn read(data: Option<&'a Path>) -> Result<Self, Failure> {
        let Some(folder) = data else {
            return Err(Failure::Usage(
                "which folder holds the own tables? Give --data DIR; the shipped tables are never changed".to_owned(),
            ));
        };
        let files = if folder.is_dir() { files::read_folder(folder, &["csv", "toml"])? } else { Vec::new() };
        let shipped = Catalogue::shipped().map_err(|issues| Failure::Input { issues, text: None })?;
        let columns = |name: &str| -> Vec<String> {
            let first = shipped.table(name).and_then(|rows| rows.first());
            first.map(|(row, _)| row.cells().map(|(c, _)| c.to_owned()).collect()).unwrap_or_default()
        };
        Ok(Self { folder, files, columns: columns(STUDIES), source_columns: columns(SOURCES) })
    }

    fn catalogue(&self, files: &[(String, String)]) -> Result<Catalogue, Failure> {
        Catalogue::with_own(files).map_err(|issues| Failure::Input { issues, text: None })
    }

    fn text(&self, name: &str) -> Option<&str> {
        self.files.iter().find(|(n, _)| n == name).map(|(_, t)| t.as_str())
    }

    /// Takes the row of an id out of the own studies, where there is one.
    fn without(&mut self, id: &str) {
        let columns = self.columns.clone();
        for (name, text) in &mut self.files {
            if name != STUDIES {
                continue;
            }
            if let Ok(table) = Table::parse(STUDIES, text) {
                let kept = table.rows().iter().filter(|r| r.maybe("id") != Some(id));
                let lines =
                    kept.map(|r| line(&columns, &r.cells().map(|(c, v)| (c.to_owned(), v.to_owned())).collect()));
                *text = std::iter::once(columns.join(",") + "\n").chain(lines).collect();
            }
        }
    }

    /// Checks the own tables with these rows added, and writes them; issues point at the line the row came from.
    fn append(
        &self,
        rows: Vec<(Fields, Option<usize>)>,
        origin: &str,
        citation: Option<&str>,
        dry_run: bool,
    ) -> Result<(), Failure> {
        let mut studies = self.text(STUDIES).map_or(self.columns.join(",") + "\n", str::to_owned);
        if !studies.ends_with('\n') {
            studies.push('\n');
        }
        let first_new = studies.lines().count() + 1;
        let mut lines = Vec::new();
        let mut defaults: Vec<String> = Vec::new();
        let mut sources: Vec<String> = Vec::new();
        for (mut fields, from) in rows {
            for word in filled(&mut fields) {
                if !defaults.contains(&word) {
                    defaults.push(word);
                }
            }
            if let Some(source) = fields.get("source").filter(|s| !sources.contains(s)) {
                sources.push(source.clone());
            }
            studies.push_str(&line(&self.columns, &fields));
            lines.push(from);
        }
        let mut changed = vec![(STUDIES.to_owned(), studies)];
        changed.extend(self.new_sources(&sources, citation)?);
        let mut files: Vec<(String, String)> =
            self.files.iter().filter(|(n, _)| !changed.iter().any(|(c, _)| c == n)).cloned().collect();
        files.extend(changed.iter().cloned());
        let told = |issues: Vec<Issue>| {
            let issues = issues.into_iter().map(|mut issue| {
                let new = issue.place.line.and_then(|l| l.checked_sub(first_new)).and_then(|i| lines.get(i));
                if let Some(from) = new.filter(|_| issue.place.file.ends_with(STUDIES)) {
                    issue.place.file = origin.to_owned();
                    issue.place.line = *from;
                }
                issue
            });
            Failure::Input { issues: issues.collect(), text: None }
        };
        let catalogue = Catalogue::with_own(&files).map_err(told)?;
        let wrong = ::evidence::check(&::plan::arms(&catalogue));
        if !wrong.is_empty() {
            return Err(told(wrong));
        }
        for word in &defaults {
            say(&format!("default used: {word}"));
        }
        let ids: Vec<String> =
            changed[0].1.lines().skip(first_new - 1).map(|l| l.split(',').next().unwrap_or("").to_owned()).collect();
        for issue in ::evidence::reconcile(&::plan::arms(&catalogue)) {
            if ids.iter().any(|id| issue.place.field.contains(&format!("`{id}`"))) {
                say(&format!("look at {}: {}", issue.place.field, issue.found));
            }
        }
        if dry_run {
            say(&format!(
                "{} fit to be added to {}; nothing was written (dry run)",
                arms(ids.len()),
                self.folder.display()
            ));
            return Ok(());
        }
        let written: Vec<(String, Vec<u8>)> = changed.into_iter().map(|(n, t)| (n, t.into_bytes())).collect();
        files::write_all(self.folder, &written)?;
        say(&format!("{} written to {}", arms(ids.len()), self.folder.join(STUDIES).display()));
        Ok(())
    }

    /// The own sources with a row for each source not listed yet.
    fn new_sources(&self, ids: &[String], citation: Option<&str>) -> Result<Option<(String, String)>, Failure> {
        let known = self.catalogue(&self.files)?;
        let ids = ids.iter().flat_map(|s| s.split(';')).map(str::trim);
        let unknown: Vec<&str> = ids.filter(|s| !s.is_empty() && known.source(s).is_none()).collect();
        let mut text = self.text(SOURCES).map_or(self.source_columns.join(",") + "\n", str::to_owned);
        if !text.ends_with('\n') {
            text.push('\n');
        }
        let mut any = false;
        for id in unknown {
            let words = match citation {
                Some(words) => words.to_owned(),
                None if id == OWN_REGISTER => "Own results of the practice".to_owned(),
                // An unknown source without a citation is the catalogue's to refuse, with its place.
                None => continue,
            };
            let basis = if id == OWN_REGISTER { "own" } else { "read" };
            let row = [("id", id), ("citation", words.as_str()), ("basis", basis), ("level", "abstract")];
            text.push_str(&line(
                &self.source_columns,
                &row.iter().map(|(c, v)| ((*c).to_owned(), (*v).to_owned())).collect(),
            ));
            any = true;
        }
        Ok(any.then(|| (SOURCES.to_owned(), text)))
    }
}

fn arms(n: usize) -> String {
    if n == 1 { "1 arm".to_owned() } else { format!("{n} arms") }
}

/// Fills what has a default, and says so.
fn filled(fields: &mut Fields) -> Vec<String> {
    let own = fields.get("cohort").is_some_and(|c| c == ::plan::OWN || c.starts_with("own."));
    let mut used = Vec::new();
    let mut fill = |field: &str, value: &str, why: &str| {
        if fields.get(field).is_none_or(String::is_empty) {
            fields.insert(field.to_owned(), value.to_owned());
            used.push(format!("{field} = {value} ({why})"));
        }
    };
    fill("use", "yes", "may be pooled");
    fill("outcome", "loss", "the event counted is loss");
    if own {
        fill("source", OWN_REGISTER, "own results");
        fill("basis", "own", "own results");
        fill("level", "none", "no publication");
    }
    if fields.get("exposure_ry").is_some_and(|e| !e.is_empty())
        && fields.get("exposure_basis").is_none_or(String::is_empty)
    {
        fields.insert("exposure_basis".to_owned(), "computed".to_owned());
        used.push(
            "exposure_basis = computed (an upper bound; say `reported` where each restoration's own time was added up)"
                .to_owned(),
        );
    }
    used
}

/// One CSV line in the order of the columns; line breaks in a cell become spaces so that a row is a line.
fn line(columns: &[String], fields: &Fields) -> String {
    let cell = |column: &String| {
        let value = fields.get(column).map(|v| v.replace(['\r', '\n'], " ")).unwrap_or_default();
        if value.contains([',', '"']) { format!("\"{}\"", value.replace('"', "\"\"")) } else { value }
    };
    columns.iter().map(cell).collect::<Vec<_>>().join(",") + "\n"
}
