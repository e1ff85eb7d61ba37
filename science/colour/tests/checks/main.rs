//! The crate against published tables, independent programs and what physics promises.

// Helpers of tests may fail loudly: that is their use.
#![allow(clippy::unwrap_used, clippy::panic, clippy::print_stdout)]

mod ciede2000_sharma_2005;
mod families;
mod interfaces;
mod kubelka_munk_identities;
mod masking;
mod masking_experiments;
mod metamers;
mod on_titanium;
mod own_readings;
mod properties;
mod published_series;
mod spectral_golden;
mod tables;
mod viewing_colour_science;
