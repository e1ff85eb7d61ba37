//! The shipped posterior belongs to the shipped studies and was sampled soundly.
#![allow(clippy::unwrap_used)]

use catalogue::Catalogue;

#[test]
fn the_shipped_posterior_is_that_of_the_shipped_studies() {
    let posterior = plan::shipped_posterior().unwrap();
    assert!(plan::is_current(&posterior, &Catalogue::shipped().unwrap()), "run `cargo xtask refit`");
    assert!(posterior.is_sound());
    assert!(posterior.diagnostics().complaints().is_empty(), "{:?}", posterior.diagnostics().complaints());
}
