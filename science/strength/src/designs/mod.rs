//! Families of bodies over their dimensions, solved by finite elements once, so that a surface fitted to the answers can stand in for the solver.
//!
//! Families of rounded blocks, of which a quarter or a half is solved:
//! - [`cap`]: a cap on a peg of softer material, joined by a thin layer, pressed on its top by a round contact; the lowest part of the peg stands in springs;
//! - [`span`]: a block carried between two such caps by elliptic necks with fillets, pressed on its middle;
//! - [`arm`]: the same carried on one side, its other end free;
//! - [`row`]: two such blocks in a row between two caps, pressed beside the neck that joins them;
//! - [`wings`]: a block carried by plates on the flanks of two pegs, pressed on its middle;
//! - [`layers`]: a cap of two layers, a core and one around it;
//! - [`lid`]: a plate without side walls on a peg;
//! - [`touches`]: the cap pressed at two places or three around its middle: s_W over that of one place (pair, tripod).
//!
//! [`dome`] is a cap that is half a ball, cracked: it tells what drives a crack, not s_W, and is no [`Family`].
//!
//! A [`Family`] names its variables with their ranges; [`Family::point`] gives design number i (a Halton sequence: Halton 1960, Numer Math 2:84-90,
//! doi 10.1007/BF01386213, memory; the ln of each variable even over its range), so that more designs may be added at any time; [`Family::solve`] gives ln s_W per
//! newton of each surface group at [`MODULI`] ([`Answer`]). The same bytes for the same design.
//!
//! Limits: straight walls without taper, flat tops, one size of peg a family's variables do not name; one place of load; small strains, firm springs.
//! What real shapes add is not in it: see docs/methods/strength.md.

pub mod arm;
pub mod cap;
pub mod dome;
pub mod layers;
pub mod lid;
mod neck;
pub mod row;
mod shapes;
mod solved;
pub mod span;
pub mod touches;
mod wall;
pub mod wings;

pub use neck::block_length;
pub use solved::{Answer, GroupAnswer};

use crate::solve::ModelError;
use answer::Progress;

/// Weibull moduli at which s_W is kept.
pub const MODULI: [f64; 8] = [3.0, 5.0, 7.0, 10.0, 14.0, 20.0, 30.0, 45.0];

/// A variable of a family: its range, even in the logarithm.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Variable {
    /// Name.
    pub name: &'static str,
    /// Lowest value.
    pub low: f64,
    /// Highest value.
    pub high: f64,
    /// Where stress never rises with it (a larger section, a thicker wall): the power with which it is taken to rise below the range. 1 for a section or wall; 0.5 for a
    /// notch's radius, as stress at a crack-like notch goes (Creager, Paris 1967, Int J Fract Mech 3:247-252, doi 10.1007/BF00182897, memory).
    pub eases: Option<f64>,
}

/// A family of bodies.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Family {
    /// [`arm`].
    Arm,
    /// [`cap`].
    Cap,
    /// [`row`].
    Row,
    /// [`layers`].
    Layers,
    /// [`lid`].
    Lid,
    /// [`touches`], two.
    Pair,
    /// [`span`].
    Span,
    /// [`touches`], three.
    Tripod,
    /// [`wings`].
    Wings,
}

impl Family {
    /// All families.
    pub const ALL: [Self; 9] =
        [Self::Span, Self::Row, Self::Arm, Self::Wings, Self::Cap, Self::Lid, Self::Layers, Self::Pair, Self::Tripod];

    /// The word in files.
    pub fn word(self) -> &'static str {
        match self {
            Self::Arm => "arm",
            Self::Cap => "cap",
            Self::Row => "row",
            Self::Layers => "layers",
            Self::Lid => "lid",
            Self::Pair => "pair",
            Self::Span => "span",
            Self::Tripod => "tripod",
            Self::Wings => "wings",
        }
    }

    /// Its variables, in the order of a point.
    pub fn variables(self) -> &'static [Variable] {
        match self {
            Self::Arm => &arm::VARIABLES,
            Self::Cap => &cap::VARIABLES,
            Self::Row => &row::VARIABLES,
            Self::Layers => &layers::VARIABLES,
            Self::Lid => &lid::VARIABLES,
            Self::Pair | Self::Tripod => &touches::VARIABLES,
            Self::Span => &span::VARIABLES,
            Self::Wings => &wings::VARIABLES,
        }
    }

    /// Design number `i`, from 0.
    pub fn point(self, i: usize) -> Vec<f64> {
        point_of(self.variables(), i)
    }

    /// Solves a design; `finer` divides all cells (1 for the usual ones).
    ///
    /// # Errors
    /// A point outside what a body can be; what the solver cannot do.
    pub fn solve(self, point: &[f64], finer: f64, progress: &dyn Progress) -> Result<Answer, ModelError> {
        let point = |n: usize| point.get(n).copied().unwrap_or(f64::NAN);
        match self {
            Self::Arm => arm::Arm::of(point).solve(finer, progress),
            Self::Cap => cap::Cap::of(point).solve(finer, progress),
            Self::Row => row::Row::of(point).solve(finer, progress),
            Self::Layers => layers::Layers::of(point).solve(finer, progress),
            Self::Lid => lid::Lid::of(point).solve(finer, progress),
            Self::Pair => touches::Touched::of(point).solve(2, finer, progress),
            Self::Tripod => touches::Touched::of(point).solve(3, finer, progress),
            Self::Span => span::Span::of(point).solve(finer, progress),
            Self::Wings => wings::Wings::of(point).solve(finer, progress),
        }
    }
}

/// Point number `i` of a Halton sequence over variables.
fn point_of(variables: &[Variable], i: usize) -> Vec<f64> {
    const PRIMES: [u64; 8] = [2, 3, 5, 7, 11, 13, 17, 19];
    let at = |(v, p): (&Variable, &u64)| v.low * (v.high / v.low).powf(radical_inverse(i as u64 + 20, *p));
    variables.iter().zip(&PRIMES).map(at).collect()
}

/// Digits of `i` in base `p`, mirrored at the point.
fn radical_inverse(mut i: u64, p: u64) -> f64 {
    let (mut sum, mut unit) = (0.0, 1.0);
    while i > 0 {
        unit /= p as f64;
        sum += unit * (i % p) as f64;
        i /= p;
    }
    sum
}
