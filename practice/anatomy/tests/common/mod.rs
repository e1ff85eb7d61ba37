//! Average tooth sizes for the tests.

use anatomy::ToothSize;
use catalogue::Catalogue;
use catalogue::words::Tooth;
use std::sync::OnceLock;

/// Average size of a tooth as shipped; the tables are read once.
pub fn size(tooth: Tooth) -> ToothSize {
    static CATALOGUE: OnceLock<Catalogue> = OnceLock::new();
    ToothSize::of(CATALOGUE.get_or_init(|| Catalogue::shipped().unwrap()), tooth).unwrap()
}
