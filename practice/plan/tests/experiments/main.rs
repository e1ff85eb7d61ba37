//! Fracture loads measured in laboratories (`reference/validation_cases.csv`: authors, journals, DOI and basis of every row) against what the mechanics of the plan makes
//! of them. What a paper does not report is drawn from `reference/priors_unreported.toml`, fixed beforehand; which arms are compared was written down before
//! (`reference/validation_README.md`). Reported, not tuned to: contrasts within a study (sign, |ln of the ratio of ratios|) and 90 % intervals of single loads with
//! their widths. Free disks are left out: their strength is the input.
#![allow(clippy::unwrap_used, clippy::panic, clippy::print_stdout)]

mod arms;
mod bench;
mod cases;
mod contrasts;
mod single;
mod walls;

const DRAWS: usize = 400;
