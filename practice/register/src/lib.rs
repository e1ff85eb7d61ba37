//! What happened to the restorations a practice placed: events, recalls, audit and watch. No disk: where it is kept is a `Store`.
