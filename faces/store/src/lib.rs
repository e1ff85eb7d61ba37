//! Where a register is kept: SQLite in one file, or PostgreSQL for a group.
