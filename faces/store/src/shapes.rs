//! The tables: their names, their columns and what these hold; the same on both backends.

use crate::db::Column;

/// A table: its name and its columns, key first, version last of those a record fills.
#[derive(Debug, Clone, Copy)]
pub struct Shape {
    /// Name.
    pub table: &'static str,
    /// Columns with what they hold.
    pub columns: &'static [(&'static str, Column)],
}

impl Shape {
    /// Names of the columns.
    pub fn names(&self) -> Vec<&'static str> {
        self.columns.iter().map(|c| c.0).collect()
    }

    /// What the columns hold.
    pub fn kinds(&self) -> Vec<Column> {
        self.columns.iter().map(|c| c.1).collect()
    }
}

use Column::{Int, Real, Text};

/// Patients.
pub const PATIENT: Shape = Shape {
    table: "patient",
    columns: &[
        ("key", Text),
        ("code", Text),
        ("birth_year", Int),
        ("died_day", Int),
        ("left_day", Int),
        ("record_number", Text),
        ("note", Text),
        ("version", Int),
    ],
};

/// Restorations, without what is derived.
pub const RESTORATION: Shape = Shape {
    table: "restoration",
    columns: &[
        ("key", Text),
        ("patient", Text),
        ("teeth", Text),
        ("construct", Text),
        ("material", Text),
        ("build", Text),
        ("grade", Text),
        ("region", Text),
        ("dimensions", Text),
        ("laboratory", Text),
        ("cement", Text),
        ("operator", Text),
        ("planned_day", Int),
        ("ordered_day", Int),
        ("placed_day", Int),
        ("placed_year", Int),
        ("placed_month", Int),
        ("option_id", Text),
        ("note", Text),
        ("version", Int),
    ],
};

/// Derived columns of a restoration.
pub const STANDING: &[&str] = &[
    "days",
    "good_days",
    "ended_by",
    "trouble_days",
    "trouble",
    "complications",
    "last_seen_day",
    "success_days",
    "success_end",
    "until_month",
];

/// Try-ins.
pub const TRY_IN: Shape = Shape {
    table: "try_in",
    columns: &[
        ("key", Text),
        ("restoration", Text),
        ("day", Int),
        ("month", Int),
        ("stage", Text),
        ("fit", Text),
        ("causes", Text),
        ("minutes", Real),
        ("note", Text),
        ("version", Int),
    ],
};

/// Recalls.
pub const RECALL: Shape = Shape {
    table: "recall",
    columns: &[
        ("key", Text),
        ("restoration", Text),
        ("day", Int),
        ("examiner", Text),
        ("scheme", Text),
        ("scores", Text),
        ("vital", Int),
        ("note", Text),
        ("version", Int),
    ],
};

/// Events.
pub const EVENT: Shape = Shape {
    table: "event",
    columns: &[
        ("key", Text),
        ("restoration", Text),
        ("found_day", Int),
        ("happened_day", Int),
        ("kind", Text),
        ("grade", Int),
        ("consequence", Text),
        ("note", Text),
        ("version", Int),
    ],
};
