//! The register as the rest of the program uses it: plain calls; what has to wait waits inside.

use crate::db::Db;
use crate::error::StoreError;
use crate::open::{self, Place};
use crate::read::{self, HistoryLine};
use crate::rows::Sealing;
use crate::{count, write};
use register::counting::{ArmCount, ArmEvents, ClusterSums, CohortCount, Due, EndCount, Question, Totals, TryInCount};
use register::{Author, Chart, Counting, Day, Store, Told, Trouble, Writing};
use tokio::runtime::{Builder, Runtime};

/// An open register.
pub struct Keeper {
    pub(crate) runtime: Runtime,
    pub(crate) db: Db,
    pub(crate) sealing: Sealing,
    place: Place,
}

fn runtime() -> Result<Runtime, StoreError> {
    Builder::new_current_thread().enable_all().build().map_err(|e| StoreError::Database(e.to_string()))
}

impl Keeper {
    /// Makes a register where there is none; sealed where a passphrase is given.
    ///
    /// # Errors
    /// [`StoreError`]: one stands there already, the place cannot be written.
    pub fn create(place: &Place, passphrase: Option<&str>) -> Result<Self, StoreError> {
        let runtime = runtime()?;
        let (db, sealing) = runtime.block_on(open::create(place, passphrase))?;
        Ok(Self { runtime, db, sealing, place: place.clone() })
    }

    /// Opens a register.
    ///
    /// # Errors
    /// [`StoreError`]: none there, another kind of file, newer, sealed, locked.
    pub fn open(place: &Place, passphrase: Option<&str>) -> Result<Self, StoreError> {
        let runtime = runtime()?;
        let (db, sealing) = runtime.block_on(open::open(place, passphrase))?;
        Ok(Self { runtime, db, sealing, place: place.clone() })
    }

    /// Where it stands.
    pub fn place(&self) -> &Place {
        &self.place
    }

    /// True when identifying fields and free text are sealed.
    pub fn is_sealed(&self) -> bool {
        self.sealing.0.is_some()
    }

    /// History of one record, oldest first.
    ///
    /// # Errors
    /// When the place cannot be read.
    pub fn history(&mut self, kind: &str, key: &str) -> Result<Vec<HistoryLine>, StoreError> {
        self.runtime.block_on(async {
            let mut tx = self.db.snapshot().await?;
            read::history(&mut tx, &self.sealing, Some((kind, key)), 0, i64::MAX).await
        })
    }

    /// Runs a statement by hand and gives the first column of what it says, as text: for tests and for an expert's repair.
    ///
    /// # Errors
    /// What the database says.
    #[doc(hidden)]
    pub fn by_hand(&mut self, sql: &str) -> Result<Vec<String>, StoreError> {
        let rows = self.runtime.block_on(self.db.rows_as_text(sql))?;
        Ok(rows)
    }

    /// Restorations that are ordered and not placed yet: key, pseudonym and teeth, oldest order first.
    ///
    /// # Errors
    /// When the place cannot be read.
    pub fn waiting(&mut self) -> Result<Vec<Due>, StoreError> {
        self.runtime.block_on(count::waiting(&self.db, &self.sealing))
    }
}

impl Drop for Keeper {
    fn drop(&mut self) {
        self.runtime.block_on(self.db.close());
    }
}

impl Store for Keeper {
    type Error = StoreError;

    fn trouble(error: &StoreError) -> Trouble {
        if matches!(error, StoreError::Conflict(_)) { Trouble::Conflict } else { Trouble::Other }
    }

    fn charts(&mut self, patients: &[String]) -> Result<Vec<Chart>, StoreError> {
        let keys: Vec<String> = patients.iter().map(|p| self.sealing.name_of(p)).collect();
        self.runtime.block_on(async {
            let mut tx = self.db.snapshot().await?;
            read::charts(&mut tx, &self.sealing, &keys).await
        })
    }

    fn patient_of(&mut self, restoration: &str) -> Result<Option<String>, StoreError> {
        self.runtime.block_on(count::patient_of(&self.db, &self.sealing, restoration))
    }

    fn write(&mut self, author: &Author, writings: &[Writing], told: Told<'_>) -> Result<(), StoreError> {
        self.runtime.block_on(async {
            let mut tx = self.db.begin().await?;
            write::write(&mut tx, &self.sealing, author, writings, told).await?;
            tx.commit().await
        })
    }
}

impl Counting for Keeper {
    type Error = StoreError;

    fn totals(&mut self) -> Result<Totals, StoreError> {
        self.runtime.block_on(count::totals(&self.db))
    }

    fn ends(&mut self, question: &Question) -> Result<Vec<EndCount>, StoreError> {
        self.runtime.block_on(count::ends(&self.db, question))
    }

    fn clusters(&mut self, question: &Question) -> Result<Vec<ClusterSums>, StoreError> {
        self.runtime.block_on(count::clusters(&self.db, question))
    }

    fn try_in_counts(&mut self) -> Result<Vec<TryInCount>, StoreError> {
        self.runtime.block_on(count::try_ins(&self.db))
    }

    fn cohorts(&mut self) -> Result<Vec<CohortCount>, StoreError> {
        self.runtime.block_on(count::cohorts(&self.db))
    }

    fn arm_counts(&mut self) -> Result<(Vec<ArmCount>, Vec<ArmEvents>), StoreError> {
        self.runtime.block_on(count::arms(&self.db))
    }

    fn due(&mut self, before: Day, most: usize) -> Result<(Vec<Due>, i64), StoreError> {
        self.runtime.block_on(count::due(&self.db, &self.sealing, before, most))
    }
}
