//! Average teeth for the tests.

use anatomy::ToothForm;
use catalogue::Catalogue;
use catalogue::words::Tooth;
use std::sync::OnceLock;

/// Average form of a tooth as shipped; the tables are read once.
#[allow(dead_code)] // one test file asks for whole arches only
pub fn form(tooth: Tooth) -> ToothForm {
    static CATALOGUE: OnceLock<Catalogue> = OnceLock::new();
    ToothForm::of(CATALOGUE.get_or_init(|| Catalogue::shipped().unwrap()), tooth).unwrap()
}
