//! Time to events: curves, regressions, limits and charts for data in which some units are still standing.
