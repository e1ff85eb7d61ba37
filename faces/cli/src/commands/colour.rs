//! `bisque colour`: colour science by the line.

use super::{print_json, say};
use crate::args::ColourCommand;
use crate::failure::Failure;
use ::colour::{Lab, cie76, ciede2000};
use answer::six_figures;

/// Runs a `colour` command.
pub fn run(command: ColourCommand) -> Result<(), Failure> {
    let ColourCommand::Difference { lab, json } = command;
    let [l1, a1, b1, l2, a2, b2] = lab[..] else {
        return Err(Failure::Usage("six numbers are needed: L* a* b* of each colour".to_owned()));
    };
    for (name, l) in [("first", l1), ("second", l2)] {
        if !(0.0..=100.0).contains(&l) {
            return Err(Failure::Usage(format!("L* of the {name} colour is {l}: expected 0 to 100")));
        }
    }
    if lab.iter().any(|v| !v.is_finite()) {
        return Err(Failure::Usage("every number must be finite".to_owned()));
    }
    let (one, other) = (Lab::new(l1, a1, b1), Lab::new(l2, a2, b2));
    let (de00, de76) = (ciede2000(one, other), cie76(one, other));
    if json {
        return print_json(&serde_json::json!({ "ciede2000": six_figures(de00), "cie76": six_figures(de76) }));
    }
    say(&format!("CIEDE2000 {de00:.4}\nCIE 1976  {de76:.4}"));
    Ok(())
}
