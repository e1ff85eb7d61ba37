-- The register in one file. Coded columns stay countable; the same tables stand in migrations/postgres under the same number.

CREATE TABLE meta (
    name  TEXT PRIMARY KEY,
    value TEXT NOT NULL
) STRICT;

-- Sealed where a passphrase is set: code, record_number, note. The key is then a keyed hash of the code.
CREATE TABLE patient (
    key           TEXT PRIMARY KEY,
    code          TEXT NOT NULL,
    birth_year    INTEGER,
    died_day      INTEGER,
    left_day      INTEGER,
    record_number TEXT,
    note          TEXT,
    version       INTEGER NOT NULL
) STRICT;

-- The columns from `days` on are derived from recalls and events whenever one of these is written; counting reads nothing else.
CREATE TABLE restoration (
    key           TEXT PRIMARY KEY,
    patient       TEXT NOT NULL REFERENCES patient (key),
    teeth         TEXT NOT NULL,
    construct     TEXT NOT NULL,
    material      TEXT NOT NULL,
    build         TEXT NOT NULL,
    grade         TEXT,
    region        TEXT NOT NULL,
    dimensions    TEXT,
    laboratory    TEXT,
    cement        TEXT,
    operator      TEXT,
    planned_day   INTEGER,
    ordered_day   INTEGER,
    placed_day    INTEGER,
    placed_year   INTEGER,
    placed_month  INTEGER,
    option_id     TEXT,
    note          TEXT,
    version       INTEGER NOT NULL,
    days          INTEGER,
    good_days     INTEGER,
    ended_by      TEXT,
    trouble_days  INTEGER,
    trouble       TEXT,
    complications INTEGER,
    last_seen_day INTEGER,
    success_days  INTEGER,
    success_end   TEXT,
    until_month   INTEGER
) STRICT;
CREATE INDEX restoration_of_patient ON restoration (patient);
CREATE INDEX restoration_last_seen ON restoration (last_seen_day);

CREATE TABLE try_in (
    key         TEXT PRIMARY KEY,
    restoration TEXT NOT NULL REFERENCES restoration (key),
    day         INTEGER NOT NULL,
    month       INTEGER NOT NULL,
    stage       TEXT NOT NULL,
    fit         TEXT NOT NULL,
    causes      TEXT NOT NULL,
    minutes     REAL,
    note        TEXT,
    version     INTEGER NOT NULL
) STRICT;
CREATE INDEX try_in_of_restoration ON try_in (restoration);

CREATE TABLE recall (
    key         TEXT PRIMARY KEY,
    restoration TEXT NOT NULL REFERENCES restoration (key),
    day         INTEGER NOT NULL,
    examiner    TEXT,
    scheme      TEXT,
    scores      TEXT NOT NULL,
    vital       INTEGER,
    note        TEXT,
    version     INTEGER NOT NULL
) STRICT;
CREATE INDEX recall_of_restoration ON recall (restoration);

CREATE TABLE event (
    key          TEXT PRIMARY KEY,
    restoration  TEXT NOT NULL REFERENCES restoration (key),
    found_day    INTEGER NOT NULL,
    happened_day INTEGER,
    kind         TEXT NOT NULL,
    grade        INTEGER,
    consequence  TEXT NOT NULL,
    note         TEXT,
    version      INTEGER NOT NULL
) STRICT;
CREATE INDEX event_of_restoration ON event (restoration);

-- Who, when, and what stood there before (sealed where a passphrase is set; empty for what is new).
CREATE TABLE history (
    seq     INTEGER PRIMARY KEY AUTOINCREMENT,
    at_ms   INTEGER NOT NULL,
    who     TEXT NOT NULL,
    kind    TEXT NOT NULL,
    key     TEXT NOT NULL,
    version INTEGER NOT NULL,
    before  TEXT
) STRICT;
CREATE INDEX history_of_key ON history (kind, key);

CREATE TRIGGER history_is_not_changed BEFORE UPDATE ON history BEGIN SELECT RAISE(ABORT, 'the history is append-only'); END;
CREATE TRIGGER history_is_not_deleted BEFORE DELETE ON history BEGIN SELECT RAISE(ABORT, 'the history is append-only'); END;
CREATE TRIGGER patient_is_not_deleted BEFORE DELETE ON patient BEGIN SELECT RAISE(ABORT, 'records are never deleted'); END;
CREATE TRIGGER restoration_is_not_deleted BEFORE DELETE ON restoration BEGIN SELECT RAISE(ABORT, 'records are never deleted'); END;
CREATE TRIGGER try_in_is_not_deleted BEFORE DELETE ON try_in BEGIN SELECT RAISE(ABORT, 'records are never deleted'); END;
CREATE TRIGGER recall_is_not_deleted BEFORE DELETE ON recall BEGIN SELECT RAISE(ABORT, 'records are never deleted'); END;
CREATE TRIGGER event_is_not_deleted BEFORE DELETE ON event BEGIN SELECT RAISE(ABORT, 'records are never deleted'); END;
