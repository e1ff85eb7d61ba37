"""Reference thickness of a bumpy hollow body by trimesh (python3 with numpy, trimesh, embreex or rtree).

Writes thickness_points.csv (x,y,z), thickness_facets.csv (a,b,c) and thickness_values.csv (ray, area and volume in the head).
The ray runs from each facet's centroid against its normal to the first facet met later than 1e-6.
"""

import numpy as np
import trimesh

outer = trimesh.creation.icosphere(subdivisions=3, radius=5.0)
v = outer.vertices
outer.vertices = v * (1.0 + 0.12 * np.sin(0.9 * v[:, :1]) * np.cos(0.7 * v[:, 1:2]))
inner = trimesh.creation.icosphere(subdivisions=2, radius=3.4)
inner.vertices = inner.vertices * [1.0, 0.9, 1.05] + [0.3, -0.2, 0.1]
inner.invert()
mesh = trimesh.util.concatenate([outer, inner])
mesh.vertices = np.round(mesh.vertices, 9)

from trimesh.ray.ray_triangle import RayMeshIntersector  # double precision

origins = mesh.triangles_center
directions = -mesh.face_normals
places, rays, _ = RayMeshIntersector(mesh).intersects_location(origins, directions, multiple_hits=True)
away = np.einsum("ij,ij->i", places - origins[rays], directions[rays])
value = np.full(len(origins), np.inf)
for r, t in zip(rays, away):
    if t > 1e-6:
        value[r] = min(value[r], t)

np.savetxt("thickness_points.csv", mesh.vertices, fmt="%.9f", delimiter=",", header="x,y,z", comments="")
np.savetxt("thickness_facets.csv", mesh.faces, fmt="%d", delimiter=",", header="a,b,c", comments="")
np.savetxt(
    "thickness_values.csv", value, fmt="%.9f", comments="# ",
    header=f"trimesh {trimesh.__version__}; area {mesh.area:.9f}; volume {mesh.volume:.9f}\nray",
)
