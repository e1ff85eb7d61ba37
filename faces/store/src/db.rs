//! The two databases behind one face: statements with `$1`-style places, cells in, cells out.
//!
//! SQLite and PostgreSQL both take numbered places, so each statement is written once. `sqlx` keeps the row types of the drivers apart;
//! they meet in [`Cell`].

use crate::copy::copied;
use crate::error::StoreError;
use sqlx::pool::PoolOptions;
use sqlx::postgres::PgConnectOptions;
use sqlx::sqlite::{SqliteConnectOptions, SqliteJournalMode, SqliteSynchronous};
use sqlx::{AssertSqlSafe, ConnectOptions, Connection, PgPool, Postgres, Row, Sqlite, SqlitePool, Transaction};
use std::path::Path;
use std::str::FromStr;
use std::sync::Arc;
use std::time::Duration;

/// How long a locked file is waited for.
const PATIENCE: Duration = Duration::from_secs(5);

/// Memory SQLite may use for pages, as its negative kibibytes: the keys' indices of a million restorations stay within.
const CACHE: &str = "-131072";

/// A value of a column.
#[derive(Debug, Clone, PartialEq)]
pub enum Cell {
    /// Whole number.
    Int(Option<i64>),
    /// Number.
    Real(Option<f64>),
    /// Text.
    Text(Option<String>),
}

/// What a column holds.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Column {
    /// Whole number.
    Int,
    /// Number.
    Real,
    /// Text.
    Text,
}

impl From<i64> for Cell {
    fn from(value: i64) -> Self {
        Self::Int(Some(value))
    }
}

impl From<Option<i64>> for Cell {
    fn from(value: Option<i64>) -> Self {
        Self::Int(value)
    }
}

impl From<Option<f64>> for Cell {
    fn from(value: Option<f64>) -> Self {
        Self::Real(value)
    }
}

impl From<&str> for Cell {
    fn from(value: &str) -> Self {
        Self::Text(Some(value.to_owned()))
    }
}

impl From<String> for Cell {
    fn from(value: String) -> Self {
        Self::Text(Some(value))
    }
}

impl From<Option<String>> for Cell {
    fn from(value: Option<String>) -> Self {
        Self::Text(value)
    }
}

impl Cell {
    /// Whole number, where it is one.
    pub fn int(&self) -> Option<i64> {
        if let Self::Int(value) = self { *value } else { None }
    }

    /// Number, where it is one.
    pub fn real(&self) -> Option<f64> {
        match self {
            Self::Real(value) => *value,
            Self::Int(value) => value.map(|v| v as f64),
            Self::Text(_) => None,
        }
    }

    /// Text, where it is one.
    pub fn text(&self) -> Option<&str> {
        if let Self::Text(value) = self { value.as_deref() } else { None }
    }
}

/// A database.
#[derive(Debug, Clone)]
pub enum Db {
    /// SQLite.
    Lite(SqlitePool),
    /// PostgreSQL.
    Pg(PgPool),
}

/// A transaction.
pub enum Tx {
    /// SQLite.
    Lite(Transaction<'static, Sqlite>),
    /// PostgreSQL.
    Pg(Transaction<'static, Postgres>),
}

/// Binds cells to a statement, which takes them.
macro_rules! given {
    ($sql:expr, $cells:expr) => {{
        let mut query = sqlx::query(AssertSqlSafe($sql));
        for cell in $cells {
            query = match cell {
                Cell::Int(v) => query.bind(v),
                Cell::Real(v) => query.bind(v),
                Cell::Text(v) => query.bind(v),
            };
        }
        query
    }};
}

/// Binds copies of cells to a statement.
macro_rules! bound {
    ($sql:expr, $cells:expr) => {{
        let mut query = sqlx::query(AssertSqlSafe($sql.to_owned()));
        for cell in $cells {
            query = match cell {
                Cell::Int(v) => query.bind(*v),
                Cell::Real(v) => query.bind(*v),
                Cell::Text(v) => query.bind(v.clone()),
            };
        }
        query
    }};
}

/// Reads rows into cells.
macro_rules! cells_of {
    ($rows:expr, $columns:expr) => {{
        let mut out = Vec::with_capacity($rows.len());
        for row in $rows {
            let mut cells = Vec::with_capacity($columns.len());
            for (i, column) in $columns.iter().enumerate() {
                cells.push(match column {
                    Column::Int => Cell::Int(row.try_get(i)?),
                    Column::Real => Cell::Real(row.try_get(i)?),
                    Column::Text => Cell::Text(row.try_get(i)?),
                });
            }
            out.push(cells);
        }
        Ok(out)
    }};
}

impl Db {
    /// Opens a file: write-ahead log, every commit on the disk before it is acknowledged.
    pub async fn file(path: &Path, create: bool) -> Result<Self, StoreError> {
        let options = SqliteConnectOptions::new()
            .filename(path)
            .create_if_missing(create)
            .journal_mode(SqliteJournalMode::Wal)
            .synchronous(SqliteSynchronous::Full)
            .foreign_keys(true)
            .pragma("cache_size", CACHE)
            .busy_timeout(PATIENCE);
        let pool = PoolOptions::new().max_connections(1).acquire_timeout(PATIENCE * 2).connect_with(options).await?;
        Ok(Self::Lite(pool))
    }

    /// Connects to a server.
    pub async fn server(address: &str) -> Result<Self, StoreError> {
        let options = PgConnectOptions::from_str(address).map_err(|e| StoreError::BadAddress(e.to_string()))?;
        // A server that does not answer is told at once; a pool would wait and call it busy.
        options.connect().await?.close().await?;
        let pool = PoolOptions::new().max_connections(2).acquire_timeout(PATIENCE * 2).connect_with(options).await?;
        Ok(Self::Pg(pool))
    }

    /// Begins a transaction that may write.
    pub async fn begin(&self) -> Result<Tx, StoreError> {
        Ok(match self {
            Self::Lite(pool) => Tx::Lite(match pool.begin_with("BEGIN IMMEDIATE").await {
                Ok(tx) => tx,
                // The driver goes on counting a transaction that never began, or that SQLite itself rolled back (a full disk): such a
                // connection is closed, and a miscounted one is replaced at once.
                Err(error) => {
                    pool.acquire().await?.close().await?;
                    match error {
                        sqlx::Error::Database(_) => return Err(error.into()),
                        _ => pool.begin_with("BEGIN IMMEDIATE").await?,
                    }
                }
            }),
            Self::Pg(pool) => Tx::Pg(pool.begin().await?),
        })
    }

    /// Begins a transaction that sees one state throughout.
    pub async fn snapshot(&self) -> Result<Tx, StoreError> {
        Ok(match self {
            Self::Lite(pool) => Tx::Lite(pool.begin().await?),
            Self::Pg(pool) => Tx::Pg(pool.begin_with("BEGIN ISOLATION LEVEL REPEATABLE READ READ ONLY").await?),
        })
    }

    /// Rows of a query.
    pub async fn rows(&self, sql: &str, cells: &[Cell], columns: &[Column]) -> Result<Vec<Vec<Cell>>, StoreError> {
        match self {
            Self::Lite(pool) => cells_of!(bound!(sql, cells).fetch_all(pool).await?, columns),
            Self::Pg(pool) => cells_of!(bound!(sql, cells).fetch_all(pool).await?, columns),
        }
    }

    /// First column of the rows of a statement, where it is text.
    pub async fn rows_as_text(&self, sql: &str) -> Result<Vec<String>, StoreError> {
        let none: [Cell; 0] = [];
        Ok(match self {
            Self::Lite(pool) => {
                let rows = bound!(sql, &none).fetch_all(pool).await?;
                rows.iter().filter_map(|r| r.try_get(0).ok()).collect()
            }
            Self::Pg(pool) => {
                let rows = bound!(sql, &none).fetch_all(pool).await?;
                rows.iter().filter_map(|r| r.try_get(0).ok()).collect()
            }
        })
    }

    /// Closes all connections.
    pub async fn close(&self) {
        match self {
            Self::Lite(pool) => pool.close().await,
            Self::Pg(pool) => pool.close().await,
        }
    }

    /// True for a server.
    pub fn is_server(&self) -> bool {
        matches!(self, Self::Pg(_))
    }
}

impl Tx {
    /// Runs a statement; number of rows it touched.
    pub async fn run(&mut self, sql: &str, cells: &[Cell]) -> Result<u64, StoreError> {
        Ok(match self {
            Self::Lite(tx) => bound!(sql, cells).execute(&mut **tx).await?.rows_affected(),
            Self::Pg(tx) => bound!(sql, cells).execute(&mut **tx).await?.rows_affected(),
        })
    }

    /// Rows of a query.
    pub async fn rows(&mut self, sql: &str, cells: &[Cell], columns: &[Column]) -> Result<Vec<Vec<Cell>>, StoreError> {
        match self {
            Self::Lite(tx) => cells_of!(bound!(sql, cells).fetch_all(&mut **tx).await?, columns),
            Self::Pg(tx) => cells_of!(bound!(sql, cells).fetch_all(&mut **tx).await?, columns),
        }
    }

    /// Adds rows: many a statement, or as one stream where the server takes one.
    pub async fn insert(&mut self, table: &str, names: &[&str], rows: Vec<Vec<Cell>>) -> Result<(), StoreError> {
        match self {
            Self::Lite(tx) => {
                let many: Arc<str> = insert_text(table, names, AT_ONCE).into();
                let mut left = rows.len();
                let mut rows = rows.into_iter();
                while left > 0 {
                    let part = left.min(AT_ONCE);
                    left -= part;
                    let cells = rows.by_ref().take(part).flatten();
                    let sql = if part == AT_ONCE { many.clone() } else { insert_text(table, names, part).into() };
                    given!(sql, cells).execute(&mut **tx).await?;
                }
            }
            Self::Pg(tx) => {
                for part in rows.chunks(STREAMED) {
                    let sql = format!("COPY {table} ({}) FROM STDIN", names.join(", "));
                    let mut stream = tx.copy_in_raw(&sql).await?;
                    // What a row breaks (a key that stands there) is told when the stream ends.
                    match stream.send(copied(part).as_slice()).await {
                        Ok(_) => stream.finish().await?,
                        Err(error) => return Err(error.into()),
                    };
                }
            }
        }
        Ok(())
    }

    /// Lets a lot of rows in at once: indices of these tables that are no keys are dropped, and what makes them anew at the end is given. All within the
    /// transaction, so that nothing is lost when it fails. A server keeps its own: it takes rows as one stream.
    pub async fn without_indices(&mut self, tables: &[&str]) -> Result<Vec<String>, StoreError> {
        let mut anew = Vec::new();
        if matches!(self, Self::Pg(_)) {
            return Ok(anew);
        }
        let sql =
            "SELECT tbl_name, name, sql FROM sqlite_master WHERE type = 'index' AND sql IS NOT NULL ORDER BY name";
        for row in self.rows(sql, &[], &[Column::Text, Column::Text, Column::Text]).await? {
            let [Some(table), Some(name), Some(sql)] = [0, 1, 2].map(|i| row.get(i).and_then(Cell::text)) else {
                continue;
            };
            if tables.contains(&table) {
                self.run(&format!("DROP INDEX {name}"), &[]).await?;
                anew.push(sql.to_owned());
            }
        }
        Ok(anew)
    }

    /// Lets a server look at tables that much came into: until it has, it plans by what stood there before.
    pub async fn looked_at(&mut self, tables: &[&str]) -> Result<(), StoreError> {
        if matches!(self, Self::Pg(_)) {
            for table in tables {
                self.run(&format!("ANALYZE {table}"), &[]).await?;
            }
        }
        Ok(())
    }

    /// So many places in a row, the first ones of a statement.
    pub fn places(&self, count: usize) -> String {
        let of = |i| if matches!(self, Self::Pg(_)) { format!("${i}") } else { "?".to_owned() };
        (1..=count).map(of).collect::<Vec<_>>().join(", ")
    }

    /// Keeps what was done.
    pub async fn commit(self) -> Result<(), StoreError> {
        match self {
            Self::Lite(tx) => tx.commit().await?,
            Self::Pg(tx) => tx.commit().await?,
        }
        Ok(())
    }
}

/// Rows of one statement: few enough that what is bound stays in the nearer caches, many enough that handing it over costs little.
const AT_ONCE: usize = 100;

/// Rows sent to a server at once.
const STREAMED: usize = 5_000;

/// Places without numbers: SQLite looks numbered ones up one by one.
fn insert_text(table: &str, names: &[&str], rows: usize) -> String {
    let row = format!("({})", vec!["?"; names.len()].join(", "));
    format!("INSERT INTO {table} ({}) VALUES {}", names.join(", "), vec![row; rows].join(", "))
}
