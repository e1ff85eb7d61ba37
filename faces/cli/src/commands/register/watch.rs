//! `bisque register watch`: what is changing.

use super::super::{drawn, print_json, say};
use super::Desk;
use crate::failure::Failure;
use ::register::watch;
use papers::register::watch::{lines, scenes};
use std::path::Path;

/// Runs the watch.
pub fn run(desk: &Desk, false_alarm: f64, out: Option<&Path>, png: bool) -> Result<(), Failure> {
    if !(false_alarm.is_finite() && (50.0..=1e6).contains(&false_alarm)) {
        return Err(Failure::Usage(format!("--false-alarm {false_alarm}: give 50 to 1,000,000 try-ins")));
    }
    let found = watch::watch(&mut desk.open()?, false_alarm, desk.today)?;
    if let Some(out) = out {
        let n = drawn::write_all(out, scenes(&found)?, png)?;
        if !desk.json {
            say(&format!("{n} charts written to {}", out.display()));
        }
    }
    if desk.json {
        return print_json(&found);
    }
    for line in lines(&found) {
        say(&line);
    }
    Ok(())
}
