//! `bisque evidence list`: every arm, pooled or not and why.

use super::super::{print_json, say};
use super::known_cell;
use crate::failure::Failure;
use ::catalogue::Catalogue;

/// Lists the arms.
pub fn run(catalogue: &Catalogue, cell: Option<&str>, left_out: bool, json: bool) -> Result<(), Failure> {
    let mut arms = ::plan::arms(catalogue);
    if let Some(words) = cell {
        let asked = known_cell(words, &arms)?;
        arms.retain(|a| a.parts().iter().any(|p| asked.contains(&p.0)));
    }
    arms.retain(|a| !left_out || a.pooled.is_err());
    if json {
        return print_json(&arms);
    }
    let pooled = arms.iter().filter(|a| a.pooled.is_ok()).count();
    for arm in &arms {
        let state = arm.pooled.as_ref().err().map_or("pooled".to_owned(), |why| format!("not pooled: {why}"));
        say(&format!(
            "{:<6} {:<60} {:>8.0} restoration-years  {state}",
            arm.id,
            arm.cell.to_string(),
            arm.unit_years()
        ));
    }
    say(&format!("{} arms, {pooled} pooled", arms.len()));
    Ok(())
}
