"""The cantilever of `cantilever.py` in dolfinx 0.5 with PETSc CG/GAMG and rigid-body near-nullspace: mpirun -n 2 python3 cantilever_petsc.py N"""
import sys, time
import numpy as np
import ufl
from mpi4py import MPI
from petsc4py import PETSc
from dolfinx import fem, mesh
from dolfinx.fem.petsc import apply_lifting, assemble_matrix, assemble_vector, set_bc

n = int(sys.argv[1])
comm = MPI.COMM_WORLD
begin = time.perf_counter()
box = mesh.create_box(comm, [np.zeros(3), np.array([4.0, 1.0, 1.0])], [4 * n, n, n], mesh.CellType.hexahedron)
space = fem.VectorFunctionSpace(box, ("Lagrange", 1))
young, poisson = 1.0, 0.3
mu, lam = young / 2 / (1 + poisson), young * poisson / ((1 + poisson) * (1 - 2 * poisson))
u, v = ufl.TrialFunction(space), ufl.TestFunction(space)
strain = lambda w: ufl.sym(ufl.grad(w))
dx = ufl.Measure("dx", box, metadata={"quadrature_degree": 2})
a = fem.form((2 * mu * ufl.inner(strain(u), strain(v)) + lam * ufl.div(u) * ufl.div(v)) * dx)
end = mesh.locate_entities_boundary(box, 2, lambda x: np.isclose(x[0], 4))
ds = ufl.Measure("ds", box, subdomain_data=mesh.meshtags(box, 2, np.sort(end), np.full(len(end), 1, np.int32)))
load = fem.form(ufl.inner(fem.Constant(box, PETSc.ScalarType((0, 0, -1e-3))), v) * ds(1))
wall = mesh.locate_entities_boundary(box, 2, lambda x: np.isclose(x[0], 0))
held = fem.dirichletbc(np.zeros(3), fem.locate_dofs_topological(space, 2, wall), space)
matrix = assemble_matrix(a, bcs=[held])
matrix.assemble()
right = assemble_vector(load)
apply_lifting(right, [a], [[held]])
right.ghostUpdate(PETSc.InsertMode.ADD, PETSc.ScatterMode.REVERSE)
set_bc(right, [held])
places = space.tabulate_dof_coordinates()[: space.dofmap.index_map.size_local]
motions = []
for k in range(6):
    motion = matrix.createVecLeft()
    values = np.zeros((len(places), 3))
    if k < 3:
        values[:, k] = 1
    else:
        i, j = [(0, 1), (1, 2), (0, 2)][k - 3]
        values[:, i], values[:, j] = -places[:, j], places[:, i]
    motion.array[:] = values.ravel()
    for other in motions:
        motion.axpy(-motion.dot(other), other)
    motion.normalize()
    motions.append(motion)
matrix.setNearNullSpace(PETSc.NullSpace().create(vectors=motions))
matrix.setOption(PETSc.Mat.Option.SPD, True)
options = PETSc.Options()
for key, value in {
    "ksp_type": "cg", "ksp_rtol": 1e-8, "ksp_norm_type": "unpreconditioned", "pc_type": "gamg", "pc_gamg_coarse_eq_limit": 1000,
    "mg_levels_ksp_type": "chebyshev", "mg_levels_pc_type": "jacobi", "mg_levels_esteig_ksp_type": "cg", "pc_gamg_threshold": 0.01,
}.items():
    options[key] = value
solver = PETSc.KSP().create(comm)
solver.setOperators(matrix)
solver.setFromOptions()
found = fem.Function(space)
solver.solve(right, found.vector)
found.x.scatter_forward()
tip = comm.allreduce(fem.assemble_scalar(fem.form(found[2] * ds(1))), MPI.SUM)
if comm.rank == 0:
    print(f"tip={tip:.6e} its={solver.getIterationNumber()} total={time.perf_counter() - begin:.2f}s")
