//! How an option most likely fails, what that looks like, and what is then left.

use crate::candidates::Candidate;
use crate::report::FailureMode;
use crate::risks::Risks;
use answer::Caveat;
use case::Case;
use case::words::Substrate;
use catalogue::Catalogue;
use catalogue::words::{Cause, Consequence, Process};

/// Ways of failing, the likeliest loss or complication by ten years first.
pub fn failures(case: &Case, candidate: &Candidate, risks: &Risks, catalogue: &Catalogue) -> Vec<FailureMode> {
    let mut list: Vec<FailureMode> = risks
        .causes
        .iter()
        .map(|c| {
            let risk = [5.0, 10.0, 15.0].map(|year| risks.crude(c.cause, c.process, year).interval().rounded());
            let row = catalogue.consequence(candidate.construct, c.cause);
            let usual = row
                .map_or(if c.process == Process::Loss { Consequence::Remade } else { Consequence::Repaired }, |r| {
                    usual(r.shares, c.process)
                });
            let posted = candidate.abutments.iter().any(|&t| case.substrate(t).is_some_and(Substrate::is_metal));
            let left = match c.cause {
                // A metal post bars the way through the crown.
                Cause::Endodontic if posted => "the post taken out or surgery at the root end, else the tooth is lost",
                _ => row.map_or("", |r| r.left_afterwards.as_str()),
            };
            let mut caveats = c.caveats.clone();
            if row.is_some_and(|r| r.provenance.rests_on_memory()) {
                caveats.push(Caveat::FromMemory);
            }
            FailureMode {
                cause: c.cause,
                process: c.process,
                risk,
                consequence: usual,
                then: then(c.cause, left),
                caveats,
            }
        })
        .collect();
    list.sort_by(|a, b| {
        b.risk[1].mean.total_cmp(&a.risk[1].mean).then(a.cause.cmp(&b.cause)).then(a.process.cmp(&b.process))
    });
    list
}

/// The likeliest consequence among those that belong to the process.
fn usual(shares: [f64; 6], process: Process) -> Consequence {
    let fits = |c: Consequence| matches!(c, Consequence::Remade | Consequence::ToothLost) == (process == Process::Loss);
    let mut best = if process == Process::Loss { Consequence::Remade } else { Consequence::Repaired };
    let mut most = 0.0;
    for (share, consequence) in shares.iter().zip(Consequence::ALL) {
        if fits(*consequence) && *share > most {
            (best, most) = (*consequence, *share);
        }
    }
    best
}

fn then(cause: Cause, left: &str) -> String {
    let looks = match cause {
        Cause::FrameworkFracture => "a clean break, often at a connector or through the chewing wall",
        Cause::Chip => "a shell of veneer is gone, often at a cusp or edge",
        Cause::Debonding => "it is loose or in the hand",
        Cause::Caries => "soft tooth at the margin",
        Cause::Endodontic => "pain, or a shadow at the root end",
        Cause::ToothFracture => "the tooth breaks under it",
        Cause::Other => "gum, appearance, screw or something else",
    };
    if left.is_empty() { looks.to_owned() } else { format!("{looks}; then {left}") }
}
