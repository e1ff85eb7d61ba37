//! Counting where the rows are: each answer is one grouped query over coded columns; no row of a patient comes back.

use crate::db::{Cell, Column, Db};
use crate::error::StoreError;
use crate::rows::Sealing;
use register::counting::{
    ArmCount, ArmEvents, ClusterSums, CohortCount, Due, EndCount, Endpoint, Question, Totals, TryInCount,
};
use register::words::{Consequence, EventKind, Grouping, Misfit};
use register::{DAYS_A_YEAR, Day};

use Column::{Int, Real, Text};

/// Column of a grouping.
fn column(by: Grouping) -> &'static str {
    match by {
        Grouping::All => "''",
        Grouping::Material => "r.material",
        Grouping::Build => "r.build",
        Grouping::Construct => "r.construct",
        Grouping::Region => "r.region",
        Grouping::Laboratory => "COALESCE(r.laboratory, '')",
        Grouping::Operator => "COALESCE(r.operator, '')",
        Grouping::Cement => "COALESCE(r.cement, '')",
        Grouping::Year => "CAST(r.placed_year AS TEXT)",
    }
}

fn end_columns(endpoint: Endpoint) -> (&'static str, &'static str) {
    match endpoint {
        Endpoint::Survival => ("r.days", "r.ended_by"),
        Endpoint::Success => ("r.success_days", "r.success_end"),
    }
}

/// Conditions of a question, and their cells from place `first` on.
fn conditions(question: &Question, first: usize) -> (String, Vec<Cell>) {
    let mut sql = String::new();
    let mut cells = Vec::new();
    for (i, (by, value)) in question.only.iter().enumerate() {
        sql.push_str(&format!(" AND {} = ${}", column(*by), first + i));
        cells.push(value.as_str().into());
    }
    (sql, cells)
}

fn text(row: &[Cell], i: usize) -> String {
    row.get(i).and_then(Cell::text).unwrap_or_default().to_owned()
}

fn whole(row: &[Cell], i: usize) -> i64 {
    row.get(i).and_then(Cell::int).unwrap_or_default()
}

fn short(row: &[Cell], i: usize) -> i32 {
    i32::try_from(whole(row, i)).unwrap_or(i32::MAX)
}

fn kind(row: &[Cell], i: usize) -> Result<Option<EventKind>, StoreError> {
    match row.get(i).and_then(Cell::text) {
        None | Some("") => Ok(None),
        Some(word) => {
            EventKind::parse(word).map(Some).ok_or_else(|| StoreError::Damaged(format!("`{word}` is no kind of event")))
        }
    }
}

/// Ends by time and cause.
pub async fn ends(db: &Db, question: &Question) -> Result<Vec<EndCount>, StoreError> {
    let (days, end) = end_columns(question.endpoint);
    let group = column(question.by);
    let (only, more) = conditions(question, 2);
    let mut cells: Vec<Cell> = vec![i64::from(question.seen_since.number()).into()];
    cells.extend(more);
    let sql = format!(
        "SELECT g, d, c, gone, CAST(COUNT(*) AS BIGINT) FROM (
            SELECT {group} AS g, {days} AS d, COALESCE({end}, '') AS c,
                CASE WHEN {end} IS NULL AND p.died_day IS NULL AND (p.left_day IS NOT NULL OR r.last_seen_day < $1)
                    THEN 1 ELSE 0 END AS gone
            FROM restoration r JOIN patient p ON p.key = r.patient
            WHERE r.placed_day IS NOT NULL{only}) counted
        GROUP BY g, d, c, gone"
    );
    let sql = if db.is_server() { sql.replace("ELSE 0 END AS gone", "ELSE 0 END::BIGINT AS gone") } else { sql };
    let rows = db.rows(&sql, &cells, &[Text, Int, Text, Int, Int]).await?;
    let mut counts = rows
        .iter()
        .map(|r| {
            Ok(EndCount {
                group: text(r, 0),
                days: short(r, 1),
                cause: kind(r, 2)?,
                dropped: whole(r, 3) != 0,
                count: whole(r, 4),
            })
        })
        .collect::<Result<Vec<_>, StoreError>>()?;
    // Sorted here: the collations of the two databases differ.
    counts.sort();
    Ok(counts)
}

/// Sums over patients.
pub async fn clusters(db: &Db, question: &Question) -> Result<Vec<ClusterSums>, StoreError> {
    let (days, end) = end_columns(question.endpoint);
    let group = column(question.by);
    let (only, cells) = conditions(question, 1);
    let no_failure = EventKind::ReplacedOther.word();
    let sql = format!(
        "SELECT g, CAST(SUM(n) AS BIGINT), CAST(COUNT(*) AS BIGINT), CAST(SUM(e) AS DOUBLE PRECISION),
            CAST(SUM(y) AS DOUBLE PRECISION), CAST(SUM(e * e) AS DOUBLE PRECISION),
            CAST(SUM(e * y) AS DOUBLE PRECISION), CAST(SUM(y * y) AS DOUBLE PRECISION)
        FROM (
            SELECT {group} AS g, r.patient AS p, COUNT(*) AS n,
                CAST(SUM(CASE WHEN {end} IS NOT NULL AND {end} <> '{no_failure}' THEN 1 ELSE 0 END) AS DOUBLE PRECISION) AS e,
                CAST(SUM({days}) AS DOUBLE PRECISION) / {DAYS_A_YEAR} AS y
            FROM restoration r WHERE r.placed_day IS NOT NULL{only}
            GROUP BY {group}, r.patient) a_patient
        GROUP BY g"
    );
    let sql =
        if question.by == Grouping::All { sql.replace("GROUP BY '', r.patient", "GROUP BY r.patient") } else { sql };
    let rows = db.rows(&sql, &cells, &[Text, Int, Int, Real, Real, Real, Real, Real]).await?;
    let real = |r: &[Cell], i: usize| r.get(i).and_then(Cell::real).unwrap_or_default();
    let mut sums: Vec<ClusterSums> = rows
        .iter()
        .map(|r| ClusterSums {
            group: text(r, 0),
            restorations: whole(r, 1),
            patients: whole(r, 2),
            events: real(r, 3),
            years: real(r, 4),
            events_squared: real(r, 5),
            events_years: real(r, 6),
            years_squared: real(r, 7),
        })
        .collect();
    sums.sort_by(|a, b| a.group.cmp(&b.group));
    Ok(sums)
}

/// Finished try-ins by laboratory, material and month.
pub async fn try_ins(db: &Db) -> Result<Vec<TryInCount>, StoreError> {
    let causes: String = Misfit::ALL
        .iter()
        .map(|c| format!(", CAST(SUM(CASE WHEN t.causes LIKE '%{}%' THEN 1 ELSE 0 END) AS BIGINT)", c.word()))
        .collect();
    let sql = format!(
        "SELECT COALESCE(r.laboratory, ''), r.material, t.day, CAST(COUNT(*) AS BIGINT),
            CAST(SUM(CASE WHEN t.fit = 'adjusted' THEN 1 ELSE 0 END) AS BIGINT),
            CAST(SUM(CASE WHEN t.fit = 'sent_back' THEN 1 ELSE 0 END) AS BIGINT){causes}
        FROM try_in t JOIN restoration r ON r.key = t.restoration
        GROUP BY COALESCE(r.laboratory, ''), r.material, t.day"
    );
    let mut counts: Vec<TryInCount> = db
        .rows(&sql, &[], &[Text, Text, Int, Int, Int, Int, Int, Int, Int, Int, Int])
        .await?
        .iter()
        .map(|r| TryInCount {
            laboratory: text(r, 0),
            material: text(r, 1),
            day: Day::from_number(short(r, 2)),
            tried: whole(r, 3),
            adjusted: whole(r, 4),
            sent_back: whole(r, 5),
            causes: [6, 7, 8, 9, 10].map(|i| whole(r, i)),
        })
        .collect();
    counts.sort();
    Ok(counts)
}

/// Cohorts by laboratory and material, month of placing and month of the first trouble or last look.
pub async fn cohorts(db: &Db) -> Result<Vec<CohortCount>, StoreError> {
    let sql = "SELECT l, m, a, z, k, gone, CAST(COUNT(*) AS BIGINT), d FROM (
            SELECT COALESCE(r.laboratory, '') AS l, r.material AS m, r.placed_month AS a, r.until_month AS z,
                COALESCE(r.success_end, '') AS k,
                CASE WHEN r.success_end IS NOT NULL THEN r.placed_day + r.success_days END AS d,
                CAST(CASE WHEN p.died_day IS NOT NULL OR p.left_day IS NOT NULL THEN 1 ELSE 0 END AS BIGINT) AS gone
            FROM restoration r JOIN patient p ON p.key = r.patient WHERE r.placed_day IS NOT NULL) counted
        GROUP BY l, m, a, z, k, gone, d";
    let rows = db.rows(sql, &[], &[Text, Text, Int, Int, Text, Int, Int, Int]).await?;
    let mut counts = rows
        .iter()
        .map(|r| {
            Ok(CohortCount {
                laboratory: text(r, 0),
                material: text(r, 1),
                placed: short(r, 2),
                until: short(r, 3),
                trouble: kind(r, 4)?,
                on: r.get(7).and_then(Cell::int).and_then(|d| i32::try_from(d).ok()).map(Day::from_number),
                gone: whole(r, 5) != 0,
                count: whole(r, 6),
            })
        })
        .collect::<Result<Vec<_>, StoreError>>()?;
    counts.sort();
    Ok(counts)
}

/// Standing restorations last seen before a day.
pub async fn due(db: &Db, sealing: &Sealing, before: Day, most: usize) -> Result<(Vec<Due>, i64), StoreError> {
    let which = "FROM restoration r JOIN patient p ON p.key = r.patient
        WHERE r.placed_day IS NOT NULL AND r.ended_by IS NULL AND r.last_seen_day < $1
            AND p.died_day IS NULL AND p.left_day IS NULL";
    let day: Cell = i64::from(before.number()).into();
    let total =
        db.rows(&format!("SELECT CAST(COUNT(*) AS BIGINT) {which}"), std::slice::from_ref(&day), &[Int]).await?;
    let sql = format!("SELECT r.key, p.key, p.code, r.teeth, r.last_seen_day {which} ORDER BY 5, 1 LIMIT $2");
    let limit = i64::try_from(most).unwrap_or(i64::MAX);
    let rows = db.rows(&sql, &[day, limit.into()], &[Text, Text, Text, Text, Int]).await?;
    Ok((list(&rows, sealing)?, total.first().map_or(0, |r| whole(r, 0))))
}

/// Restorations not placed yet, oldest order first.
pub async fn waiting(db: &Db, sealing: &Sealing) -> Result<Vec<Due>, StoreError> {
    let sql = "SELECT r.key, p.key, p.code, r.teeth, COALESCE(r.ordered_day, r.planned_day, 0)
        FROM restoration r JOIN patient p ON p.key = r.patient WHERE r.placed_day IS NULL ORDER BY 5, 1 LIMIT 200";
    list(&db.rows(sql, &[], &[Text, Text, Text, Text, Int]).await?, sealing)
}

fn list(rows: &[Vec<Cell>], sealing: &Sealing) -> Result<Vec<Due>, StoreError> {
    rows.iter()
        .map(|r| {
            let code = r.get(2).map(|cell| sealing.open(&format!("patient.code {}", text(r, 1)), cell)).transpose()?;
            Ok(Due {
                restoration: text(r, 0),
                patient: code.flatten().unwrap_or_default(),
                teeth: text(r, 3),
                last_seen: Day::from_number(short(r, 4)),
            })
        })
        .collect()
}

/// Pseudonym of the patient of a restoration.
pub async fn patient_of(db: &Db, sealing: &Sealing, restoration: &str) -> Result<Option<String>, StoreError> {
    let sql = "SELECT p.key, p.code FROM restoration r JOIN patient p ON p.key = r.patient WHERE r.key = $1";
    let rows = db.rows(sql, &[restoration.into()], &[Text, Text]).await?;
    match rows.first() {
        Some(row) => sealing.open(&format!("patient.code {}", text(row, 0)), row.get(1).unwrap_or(&Cell::Text(None))),
        None => Ok(None),
    }
}

/// Totals.
pub async fn totals(db: &Db) -> Result<Totals, StoreError> {
    let of = |table: &str| format!("(SELECT CAST(COUNT(*) AS BIGINT) FROM {table})");
    let sql = format!(
        "SELECT {}, {}, {}, {}, {}, {}",
        of("patient"),
        of("restoration"),
        of("restoration WHERE placed_day IS NOT NULL"),
        of("try_in"),
        of("recall"),
        of("event")
    );
    let rows = db.rows(&sql, &[], &[Int; 6]).await?;
    let n = |i: usize| rows.first().map_or(0, |r| whole(r, i));
    Ok(Totals { patients: n(0), restorations: n(1), placed: n(2), try_ins: n(3), recalls: n(4), events: n(5) })
}

/// Restorations and events by cell and laboratory.
pub async fn arms(db: &Db) -> Result<(Vec<ArmCount>, Vec<ArmEvents>), StoreError> {
    const CELL: &str = "r.construct, r.material, r.build, r.region, COALESCE(r.laboratory, '')";
    let cell = |r: &[Cell]| [0, 1, 2, 3, 4].map(|i| text(r, i));
    let no_failure = EventKind::ReplacedOther.word();
    let sql = format!(
        "SELECT {CELL}, CAST(COUNT(*) AS BIGINT), CAST(COUNT(DISTINCT r.patient) AS BIGINT),
            CAST(SUM(r.days) AS BIGINT),
            CAST(SUM(CASE WHEN r.ended_by IS NOT NULL AND r.ended_by <> '{no_failure}' THEN 1 ELSE 0 END) AS BIGINT),
            MIN(r.placed_year), MAX(r.placed_year)
        FROM restoration r WHERE r.placed_day IS NOT NULL GROUP BY {CELL}"
    );
    let rows = db.rows(&sql, &[], &[Text, Text, Text, Text, Text, Int, Int, Int, Int, Int, Int]).await?;
    let mut counts: Vec<ArmCount> = rows
        .iter()
        .map(|r| ArmCount {
            cell: cell(r),
            restorations: whole(r, 5),
            patients: whole(r, 6),
            days: whole(r, 7),
            losses: whole(r, 8),
            years: [short(r, 9), short(r, 10)],
        })
        .collect();
    counts.sort();
    let ends: Vec<String> =
        Consequence::ALL.iter().filter(|c| c.ends_it()).map(|c| format!("'{}'", c.word())).collect();
    let sql = format!(
        "SELECT a, b, c, d, l, k, x, CAST(COUNT(*) AS BIGINT) FROM (
            SELECT r.construct AS a, r.material AS b, r.build AS c, r.region AS d, COALESCE(r.laboratory, '') AS l,
                e.kind AS k, CAST(CASE WHEN e.consequence IN ({}) THEN 1 ELSE 0 END AS BIGINT) AS x
            FROM event e JOIN restoration r ON r.key = e.restoration WHERE r.placed_day IS NOT NULL) counted
        GROUP BY a, b, c, d, l, k, x",
        ends.join(", ")
    );
    let rows = db.rows(&sql, &[], &[Text, Text, Text, Text, Text, Text, Int, Int]).await?;
    let mut events = rows
        .iter()
        .map(|r| {
            let kind = kind(r, 5)?.ok_or_else(|| StoreError::Damaged("an event without a kind".into()))?;
            Ok(ArmEvents { cell: cell(r), kind, ended: whole(r, 6) != 0, count: whole(r, 7) })
        })
        .collect::<Result<Vec<_>, StoreError>>()?;
    events.sort();
    Ok((counts, events))
}
