"""The uniform cantilever of `cantilever.rs` in general packages, back to back with ours on the same threads.

usage: python3 cantilever.py [N ...]     (4N x N x N eight-node bricks; default 15 28)
Peers: CalculiX (`ccx` on the path), its iterative and its direct solver; PETSc CG/GAMG through dolfinx 0.5 (`cantilever_petsc.py` beside
this file, started with the system's python3 and mpirun). A peer that is absent is skipped with a message. Needs numpy.
Environment: THREADS (default 2). Our program: `cargo bench -p strength --bench cantilever -- N`, or the built bench in OURS.
"""
import os, re, resource, shutil, subprocess, sys, tempfile, time
import numpy as np

THREADS = os.environ.get("THREADS", "2")
ENV = dict(os.environ, OMP_NUM_THREADS=THREADS, OPENBLAS_NUM_THREADS=THREADS, CCX_NPROC_EQUATION_SOLVER=THREADS,
           CCX_NPROC_STIFFNESS=THREADS, RAYON_NUM_THREADS=THREADS)
HERE = os.path.dirname(os.path.abspath(__file__))


def timed(command, cwd=None, env=ENV, limit=900):
    """Wall s, CPU s, largest resident MB of the children, output."""
    wrapped = ["/usr/bin/time", "-f", "PEAK %M CPU %U %S"] + command if shutil.which("/usr/bin/time") else command
    before = resource.getrusage(resource.RUSAGE_CHILDREN)
    begin = time.perf_counter()
    run = subprocess.run(wrapped, cwd=cwd, env=env, capture_output=True, text=True, timeout=limit)
    wall = time.perf_counter() - begin
    after = resource.getrusage(resource.RUSAGE_CHILDREN)
    cpu = after.ru_utime + after.ru_stime - before.ru_utime - before.ru_stime
    peak = re.search(r"PEAK (\d+)", run.stderr)
    return wall, cpu, int(peak.group(1)) / 1024 if peak else after.ru_maxrss / 1024, run


def deck(n, solver, folder):
    nx, ny, nz, h = 4 * n, n, n, 1.0 / n
    k, j, i = np.meshgrid(np.arange(nz + 1), np.arange(ny + 1), np.arange(nx + 1), indexing="ij")
    ids = 1 + i + (nx + 1) * (j + (ny + 1) * k)
    xyz = np.stack([i * h, j * h, k * h], -1).reshape(-1, 3)
    e0 = ids[:-1, :-1, :-1].ravel()
    a, b, c = 1, nx + 1, (nx + 1) * (ny + 1)
    cells = np.stack([e0, e0 + a, e0 + a + b, e0 + b, e0 + c, e0 + a + c, e0 + a + b + c, e0 + b + c], 1)
    weight = np.ones((nz + 1, ny + 1))
    weight[[0, -1], :] *= 0.5
    weight[:, [0, -1]] *= 0.5
    with open(os.path.join(folder, "beam.inp"), "w") as out:
        out.write("*NODE,NSET=NALL\n")
        np.savetxt(out, np.column_stack([np.arange(1, len(xyz) + 1), xyz]), fmt="%d,%.9g,%.9g,%.9g")
        out.write("*ELEMENT,TYPE=C3D8,ELSET=EALL\n")
        np.savetxt(out, np.column_stack([np.arange(1, len(cells) + 1), cells]), fmt="%d", delimiter=",")
        out.write("*NSET,NSET=FIX\n")
        np.savetxt(out, ids[:, :, 0].ravel(), fmt="%d")
        out.write("*NSET,NSET=TIP\n")
        np.savetxt(out, ids[:, :, -1].ravel(), fmt="%d")
        out.write("*MATERIAL,NAME=M\n*ELASTIC\n1.,0.3\n*SOLID SECTION,ELSET=EALL,MATERIAL=M\n*BOUNDARY\nFIX,1,3\n*STEP\n")
        out.write(f"*STATIC,SOLVER={solver}\n*CLOAD\n")
        force = (-1e-3 * h * h * weight).ravel()
        np.savetxt(out, np.column_stack([ids[:, :, -1].ravel(), np.full(weight.size, 3), force]), fmt="%d,%d,%.12g")
        out.write("*NODE PRINT,NSET=TIP\nU\n*END STEP\n")


def calculix(n, solver):
    folder = tempfile.mkdtemp()
    try:
        deck(n, solver, folder)
        wall, cpu, peak, run = timed(["ccx", "-i", "beam"], cwd=folder)
        if run.returncode:
            return None
        rows = [line.split() for line in open(os.path.join(folder, "beam.dat"))]
        tip = np.mean([float(q[3]) for q in rows if len(q) == 4 and q[0].isdigit()])
        return wall, cpu, peak, tip
    finally:
        shutil.rmtree(folder)


def petsc(n):
    script = os.path.join(HERE, "cantilever_petsc.py")
    env = dict(ENV, OMP_NUM_THREADS="1", OMPI_ALLOW_RUN_AS_ROOT="1", OMPI_ALLOW_RUN_AS_ROOT_CONFIRM="1")
    wall, cpu, peak, run = timed(["mpirun", "--oversubscribe", "-n", THREADS, "/usr/bin/python3", script, str(n)], env=env)
    tip = re.search(r"tip=(\S+)", run.stdout)
    return (wall, cpu, peak, float(tip.group(1))) if tip else None


def ours(n):
    built = os.environ.get("OURS")
    command = [built, str(n)] if built else ["cargo", "bench", "-q", "-p", "strength", "--bench", "cantilever", "--", str(n)]
    wall, cpu, peak, run = timed(command, env=dict(ENV, ONCE="1"))
    found = re.search(r"total (\S+) s .* (\d+) iterations.* tip (\S+),", run.stdout)
    return float(found.group(1)), cpu, peak, -float(found.group(3))


def main():
    sizes = [int(a) for a in sys.argv[1:]] or [15, 28]
    has_dolfinx = subprocess.run(["/usr/bin/python3", "-c", "import dolfinx, petsc4py"], capture_output=True).returncode == 0
    print(f"threads {THREADS}")
    print("N | unknowns | program | wall s | CPU s | peak MB | tip | wall over ours | memory over ours")
    for n in sizes:
        unknowns = 3 * (4 * n + 1) * (n + 1) ** 2
        mine = ours(n)
        rows = [("ours", mine)]
        if shutil.which("ccx"):
            rows.append(("CalculiX iterative", calculix(n, "ITERATIVE CHOLESKY")))
            if n <= 15:
                rows.append(("CalculiX direct (SPOOLES)", calculix(n, "SPOOLES")))
        else:
            print("ccx is not on the path: CalculiX skipped")
        if has_dolfinx and shutil.which("mpirun"):
            rows.append(("PETSc CG/GAMG through dolfinx", petsc(n)))
        else:
            print("dolfinx or mpirun is absent: PETSc skipped")
        for name, row in rows:
            if row is None:
                print(f"{n} | {unknowns} | {name} | failed")
                continue
            wall, cpu, peak, tip = row
            print(f"{n} | {unknowns} | {name} | {wall:.2f} | {cpu:.2f} | {peak:.0f} | {tip:.6f} | {wall / mine[0]:.1f} | {peak / mine[2]:.1f}")


main()
