//! What must hold of whatever is read.

use shape::{MeshSolid, ReadLimits, Repair, Solid, Surface, inspect, read, repair, thickness_at_facets};

/// Reads bytes; what is read can be mended, inspected and measured, and nothing of it is not a number.
pub fn is_sound(bytes: &[u8]) {
    let limits = ReadLimits { facets: 20_000, unpacked: 1 << 20, ..ReadLimits::default() };
    let Ok(read) = read(bytes, "fuzz", &limits) else { return };
    assert!(read.mesh.facets.iter().flatten().all(|v| (*v as usize) < read.mesh.points.len()));
    if let Ok((mended, _)) = repair(&read.mesh, &Repair { weld: 1e-3, fill: 1e3 }) {
        assert!(mended.points.iter().flatten().all(|x| x.is_finite()));
    }
    let Ok(surface) = Surface::from_mesh(read.mesh) else { return };
    assert!(inspect(&surface).flaws.shells > 0);
    assert!(surface.signed([0.1, 0.2, 0.3]).0.is_finite());
    let _ = thickness_at_facets(&surface);
    if let Ok(solid) = MeshSolid::new(surface) {
        assert!(solid.distance([0.0; 3]).is_finite());
    }
}
