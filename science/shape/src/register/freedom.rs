//! Motions that two surfaces do not fix: a ball turns, a cylinder turns and slides, a plane does both in it.
//!
//! Eigenvectors of the point-to-plane normal equations whose eigenvalue is below a two-hundredth of the greatest (Gelfand et al. 2003, 3DIM 260-267, doi
//! 10.1109/IM.2003.1240258). With noise of standard deviation s and n pairs the place along an eigenvector is known to s/sqrt(n value).

use crate::vector::{V, norm, scale, unit};

/// A motion that is not fixed.
#[derive(Debug, Clone, Copy, PartialEq)]
pub enum Freedom {
    /// Sliding along a direction.
    Sliding {
        /// Unit direction.
        along: [f64; 3],
    },
    /// Turning about an axis.
    Turning {
        /// Unit direction of the axis.
        axis: [f64; 3],
        /// A place on it.
        through: [f64; 3],
    },
}

impl std::fmt::Display for Freedom {
    fn fmt(&self, f: &mut std::fmt::Formatter<'_>) -> std::fmt::Result {
        let write = |v: &V| format!("({:.2}, {:.2}, {:.2})", v[0], v[1], v[2]);
        match self {
            Self::Sliding { along } => write!(f, "sliding along {}", write(along)),
            Self::Turning { axis, through } => write!(f, "turning about {} through {}", write(axis), write(through)),
        }
    }
}

const FREE: f64 = 5e-3;

pub(super) fn freedoms(values: &[f64; 6], vectors: &[[f64; 6]; 6], centre: V, radius: f64) -> Vec<Freedom> {
    let free = (0..6).filter(|i| values[*i] < FREE * values[0]);
    free.map(|i| {
        let v = vectors[i];
        let (turn, shift) = ([v[0], v[1], v[2]], [v[3], v[4], v[5]]);
        if norm(turn) > norm(shift) {
            // Turning about an axis off the centre also shifts the centre: shift = turn x (centre - through).
            let omega = scale(turn, 1.0 / radius);
            let square = omega.iter().map(|x| x * x).sum::<f64>();
            let off = scale(crate::vector::cross(omega, shift), 1.0 / square);
            Freedom::Turning { axis: unit(turn).unwrap_or([0.0; 3]), through: crate::vector::add(centre, off) }
        } else {
            Freedom::Sliding { along: unit(shift).unwrap_or([0.0; 3]) }
        }
    })
    .collect()
}
