//! The surface of a body with the fields of one load case at its corners.

use ::shape::{ShapeError, Surface};
use ::strength::solve::{Local, Solution, principal};

/// A surface and what was found at its corners.
pub struct Drawn {
    pub surface: Surface,
    pub local: Vec<Local>,
}

impl Drawn {
    /// Triangles of a body, half a cell wide.
    pub fn of(solution: &Solution, body: usize) -> Result<Self, ShapeError> {
        let model = solution.model();
        let surface = Surface::of(&*model.bodies[body].solid, 0.5 * model.cell)?;
        let nothing = Local { displacement: [0.0; 3], stress: [0.0; 6] };
        let local = surface.points().iter().map(|p| solution.nearest(body, *p).unwrap_or(nothing)).collect();
        Ok(Self { surface, local })
    }

    /// Greatest principal stress at every corner, MPa.
    pub fn greatest(&self) -> impl Iterator<Item = f64> + '_ {
        self.local.iter().map(|l| principal(l.stress)[0])
    }
}
