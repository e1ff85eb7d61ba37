//! Making, opening and closing a register.

use crate::db::{Cell, Column, Db};
use crate::error::StoreError;
use crate::rows::Sealing;
use crate::seal::Seal;
use sqlx::SqlSafeStr;
use sqlx::migrate::{MigrateError, Migration, MigrationType, Migrator};
use std::borrow::Cow;
use std::path::PathBuf;

/// Form of the tables this program writes: the number of the last migration.
pub const FORM: i64 = 1;
/// By this name a register is known among other databases (`PRAGMA application_id`, and a line of `meta`): `BISQ`.
const MARK: i64 = 0x4249_5351;

/// Where a register stands.
#[derive(Debug, Clone, PartialEq, Eq)]
pub enum Place {
    /// A file.
    File(PathBuf),
    /// A PostgreSQL server, or any that speaks its protocol.
    Server(String),
}

impl Place {
    /// From what a person writes: an address that begins with `postgres://`, else a file name.
    pub fn parse(text: &str) -> Self {
        if text.starts_with("postgres://") || text.starts_with("postgresql://") {
            Self::Server(text.to_owned())
        } else {
            Self::File(PathBuf::from(text))
        }
    }
}

impl std::fmt::Display for Place {
    fn fmt(&self, f: &mut std::fmt::Formatter<'_>) -> std::fmt::Result {
        match self {
            Self::File(path) => write!(f, "{}", path.display()),
            // An address may hold a password; what stands after the last @ does not.
            Self::Server(address) => write!(f, "postgres://{}", address.rsplit(['@', '/']).next().unwrap_or_default()),
        }
    }
}

/// Migrations of a backend; both have the same numbers.
fn migrations(server: bool) -> Migrator {
    let text = if server {
        include_str!("../migrations/postgres/0001_register.sql")
    } else {
        include_str!("../migrations/sqlite/0001_register.sql")
    };
    let first = Migration::new(1, Cow::Borrowed("register"), MigrationType::Simple, text.into_sql_str(), false);
    Migrator::with_migrations(vec![first])
}

async fn migrate(db: &Db, place: &Place) -> Result<(), StoreError> {
    let migrator = migrations(db.is_server());
    let outcome = match db {
        Db::Lite(pool) => migrator.run(pool).await,
        Db::Pg(pool) => migrator.run(pool).await,
    };
    outcome.map_err(|e| match e {
        MigrateError::VersionMissing(found) => StoreError::Newer { found, known: FORM },
        MigrateError::VersionMismatch(_) | MigrateError::Dirty(_) => StoreError::NotARegister(place.to_string()),
        MigrateError::Execute(e) | MigrateError::ExecuteMigration(e, _) => e.into(),
        other => StoreError::Database(other.to_string()),
    })
}

/// Whether the database holds nothing, a register, or something else.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
enum Contents {
    Nothing,
    Register(i64),
    Other,
}

async fn contents(db: &Db) -> Result<Contents, StoreError> {
    let tables = if db.is_server() {
        "SELECT table_name::TEXT FROM information_schema.tables WHERE table_schema = current_schema()"
    } else {
        "SELECT name FROM sqlite_master WHERE type = 'table' AND name NOT LIKE 'sqlite_%'"
    };
    let tables = db.rows(tables, &[], &[Column::Text]).await?;
    let has = |name: &str| tables.iter().any(|t| t.first().and_then(Cell::text) == Some(name));
    if tables.is_empty() {
        return Ok(Contents::Nothing);
    }
    if !has("meta") || !has("history") {
        return Ok(Contents::Other);
    }
    let found = db.rows("SELECT value FROM meta WHERE name = 'form'", &[], &[Column::Text]).await?;
    let form = found.first().and_then(|r| r.first()?.text()?.parse().ok());
    Ok(form.map_or(Contents::Other, Contents::Register))
}

async fn connect(place: &Place, create: bool) -> Result<Db, StoreError> {
    match place {
        Place::File(path) => {
            if !create && !path.is_file() {
                return Err(StoreError::NotThere(place.to_string()));
            }
            Db::file(path, create).await.map_err(|e| match e {
                StoreError::NotARegister(_) => StoreError::NotARegister(place.to_string()),
                other => other,
            })
        }
        Place::Server(address) => Db::server(address).await,
    }
}

/// Makes a register where there is none.
pub async fn create(place: &Place, passphrase: Option<&str>) -> Result<(Db, Sealing), StoreError> {
    let file_was_there = matches!(place, Place::File(path) if path.exists());
    if file_was_there {
        let (db, found) = look(place).await?;
        db.close().await;
        return Err(match found {
            Contents::Other => StoreError::NotARegister(place.to_string()),
            _ => StoreError::StandsAlready(place.to_string()),
        });
    }
    let db = connect(place, true).await?;
    if contents(&db).await? != Contents::Nothing {
        return Err(StoreError::StandsAlready(place.to_string()));
    }
    migrate(&db, place).await?;
    let mut tx = db.begin().await?;
    let insert = "INSERT INTO meta (name, value) VALUES ($1, $2)";
    tx.run(insert, &["form".into(), FORM.to_string().into()]).await?;
    let seal = match passphrase {
        None => None,
        Some(passphrase) => {
            let (seal, kept, wrapped) = Seal::new(passphrase)?;
            tx.run(insert, &["seal".into(), kept.into()]).await?;
            tx.run(insert, &["data_key".into(), wrapped.into()]).await?;
            Some(seal)
        }
    };
    tx.commit().await?;
    if !db.is_server() {
        db.rows(&format!("PRAGMA application_id = {MARK}"), &[], &[]).await?;
    }
    Ok((db, Sealing(seal)))
}

async fn look(place: &Place) -> Result<(Db, Contents), StoreError> {
    let named = |e: StoreError| match e {
        StoreError::NotARegister(_) => StoreError::NotARegister(place.to_string()),
        other => other,
    };
    let db = connect(place, false).await.map_err(named)?;
    let found = contents(&db).await.map_err(named)?;
    Ok((db, found))
}

/// Opens a register that stands.
pub async fn open(place: &Place, passphrase: Option<&str>) -> Result<(Db, Sealing), StoreError> {
    let (db, found) = look(place).await?;
    match found {
        Contents::Nothing => return Err(StoreError::NotThere(place.to_string())),
        Contents::Other => return Err(StoreError::NotARegister(place.to_string())),
        Contents::Register(form) if form > FORM => return Err(StoreError::Newer { found: form, known: FORM }),
        Contents::Register(_) => migrate(&db, place).await?,
    }
    let sql = "SELECT name, value FROM meta WHERE name IN ('seal', 'data_key') ORDER BY name";
    let lines = db.rows(sql, &[], &[Column::Text, Column::Text]).await?;
    let value = |name: &str| {
        let line = lines.iter().find(|l| l.first().and_then(Cell::text) == Some(name));
        line.and_then(|l| l.get(1)?.text()).map(str::to_owned)
    };
    let seal = match (value("seal"), value("data_key"), passphrase) {
        (None, None, None) => None,
        (None, None, Some(_)) => return Err(StoreError::NotSealed),
        (Some(_), Some(_), None) => return Err(StoreError::NeedsPassphrase),
        (Some(kept), Some(wrapped), Some(passphrase)) => Some(Seal::open(passphrase, &kept, &wrapped)?),
        _ => return Err(StoreError::Damaged("half of the seal is missing".into())),
    };
    Ok((db, Sealing(seal)))
}
