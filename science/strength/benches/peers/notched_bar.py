#!/usr/bin/env python3
"""A necked round bar and a dome in CalculiX with quadratic bricks, beside `strength`'s cut cells: s_W, time and memory.

Needs python3 with numpy, and `ccx` (CalculiX); without them it says so and ends. Usage: notched_bar.py [--direct] [--dome] [refinement ...]
The same bodies by cut cells: `cargo bench -p strength --bench necked_bar -- [dome] [cell ...]`.
Dome (--dome): half a hollow ball, radii 4 and 5, clamped at z = 0, force (60, 0, -80) spread evenly over the outer face; s_W over the inner face above z = 1.
Bar: cylinder of radius 3 and length 18 along z less a torus (ring 3.4, tube 1.2): neck of radius 2.2. Clamped at z = -9, force (100, 0, 0) spread over z = 9.
E = 200,000 MPa, nu = 0.3. s_W (m = 10, A0 = 1 mm2) over the neck surface |z| < 1, from nodal stresses at the faces' nodes by 3 x 3 Gauss points.
"""
import math
import os
import shutil
import subprocess
import sys
import tempfile
import time

try:
    import numpy as np
except ImportError:
    sys.exit("skipped: python3 has no numpy")
if shutil.which("ccx") is None:
    sys.exit("skipped: CalculiX (ccx) is not installed")

R, RING, TUBE, HALF = 3.0, 3.4, 1.2, 9.0
RIM = math.sqrt(TUBE**2 - (RING - R) ** 2)


def radius(z):
    return R if abs(z) >= RIM else RING - math.sqrt(TUBE**2 - z * z)


def disk(u, v):
    """Square [-1, 1]^2 to the unit disk: a core square blended to circles."""
    m = max(abs(u), abs(v))
    if m == 0.0:
        return 0.0, 0.0
    r = math.hypot(u, v)
    square = (u * 0.75, v * 0.75)
    circle = (u * m / r, v * m / r)
    w = m * m
    return (1 - w) * square[0] + w * circle[0], (1 - w) * square[1] + w * circle[1]


def stations(n):
    """Element ends along z, fine in the neck."""
    neck = [RIM * (k / (2 * n)) ** 1.2 for k in range(2 * n + 1)]
    rest = [RIM + (HALF - RIM) * (k / (2 * n)) ** 1.3 for k in range(1, 2 * n + 1)]
    up = neck + rest
    return [-z for z in reversed(up[1:])] + up


def mesh(n):
    """Quadratic bricks: 2n x 2n across, stations along; nodes at half steps lie on the true surface."""
    zs = stations(n)
    half = sorted(zs + [0.5 * (a + b) for a, b in zip(zs, zs[1:])])
    # Finer towards the surface, where the stress of a notch falls off.
    ends = [math.copysign(1.0 - (1.0 - abs(t)) ** 1.7, t) for t in np.linspace(-1, 1, 2 * n + 1)]
    across = sorted(ends + [0.5 * (a + b) for a, b in zip(ends, ends[1:])])
    number, nodes, elements = {}, [], []

    def node(i, j, k):
        if (i, j, k) not in number:
            x, y = disk(across[i], across[j])
            r = radius(half[k])
            number[i, j, k] = len(nodes) + 1
            nodes.append((x * r, y * r, half[k]))
        return number[i, j, k]

    order = [(0, 0, 0), (2, 0, 0), (2, 2, 0), (0, 2, 0), (0, 0, 2), (2, 0, 2), (2, 2, 2), (0, 2, 2), (1, 0, 0), (2, 1, 0), (1, 2, 0), (0, 1, 0),
             (1, 0, 2), (2, 1, 2), (1, 2, 2), (0, 1, 2), (0, 0, 1), (2, 0, 1), (2, 2, 1), (0, 2, 1)]
    side, end = [], []
    for k in range(0, len(half) - 1, 2):
        for j in range(0, 4 * n, 2):
            for i in range(0, 4 * n, 2):
                e = [node(i + a, j + b, k + c) for a, b, c in order]
                elements.append(e)
                q = lambda ids: [e[t] for t in ids]
                if i == 0:
                    side.append(q([0, 3, 7, 4, 11, 19, 15, 16]))
                if i == 4 * n - 2:
                    side.append(q([1, 2, 6, 5, 9, 18, 13, 17]))
                if j == 0:
                    side.append(q([0, 1, 5, 4, 8, 17, 12, 16]))
                if j == 4 * n - 2:
                    side.append(q([3, 2, 6, 7, 10, 18, 14, 19]))
                if k == len(half) - 3:
                    end.append(q([4, 5, 6, 7, 12, 13, 14, 15]))
    return np.array(nodes), elements, side, end


GAUSS = [(-math.sqrt(0.6), 5 / 9), (0.0, 8 / 9), (math.sqrt(0.6), 5 / 9)]


def serendipity(x, y):
    n = np.zeros(8)
    d = np.zeros((2, 8))
    corner = [(-1, -1), (1, -1), (1, 1), (-1, 1)]
    for k, (a, b) in enumerate(corner):
        n[k] = 0.25 * (1 + a * x) * (1 + b * y) * (a * x + b * y - 1)
        d[0, k] = 0.25 * a * (1 + b * y) * (2 * a * x + b * y)
        d[1, k] = 0.25 * b * (1 + a * x) * (a * x + 2 * b * y)
    for k, (a, b) in enumerate([(0, -1), (1, 0), (0, 1), (-1, 0)]):
        if a == 0:
            n[4 + k] = 0.5 * (1 - x * x) * (1 + b * y)
            d[0, 4 + k], d[1, 4 + k] = -x * (1 + b * y), 0.5 * b * (1 - x * x)
        else:
            n[4 + k] = 0.5 * (1 - y * y) * (1 + a * x)
            d[0, 4 + k], d[1, 4 + k] = 0.5 * a * (1 - y * y), -y * (1 + a * x)
    return n, d


def face_points(nodes, face):
    xyz = nodes[np.array(face) - 1]
    for x, wx in GAUSS:
        for y, wy in GAUSS:
            n, d = serendipity(x, y)
            area = np.linalg.norm(np.cross(d[0] @ xyz, d[1] @ xyz)) * wx * wy
            yield n, n @ xyz, area


def dome(n):
    """Quadratic bricks of half a hollow ball: a square patch on top, four half patches around it, n layers through the wall; nodes at half steps lie on
    the spheres."""
    nodes, number, elements, inner, outer = [], {}, [], [], []
    tangent = lambda t: math.tan(0.25 * math.pi * t)
    turns = [lambda u, v: (tangent(u), tangent(v), 1.0)]
    turns += [lambda u, v, k=k: [(1.0, -tangent(u), -tangent(v)), (tangent(u), 1.0, -tangent(v)), (-1.0, tangent(u), -tangent(v)), (-tangent(u), -1.0, -tangent(v))][k]
              for k in range(4)]

    def node(way, r):
        size = math.sqrt(sum(x * x for x in way))
        at = tuple(r * x / size for x in way)
        key = tuple(round(x, 9) + 0.0 for x in at)
        if key not in number:
            number[key] = len(nodes) + 1
            nodes.append(at)
        return number[key]

    order = [(0, 0, 0), (2, 0, 0), (2, 2, 0), (0, 2, 0), (0, 0, 2), (2, 0, 2), (2, 2, 2), (0, 2, 2), (1, 0, 0), (2, 1, 0), (1, 2, 0), (0, 1, 0),
             (1, 0, 2), (2, 1, 2), (1, 2, 2), (0, 1, 2), (0, 0, 1), (2, 0, 1), (2, 2, 1), (0, 2, 1)]
    across = 4 * n
    for face, turn in enumerate(turns):
        # Side patches run from the top patch's edge (v = -1) down to the rim (v = 0).
        vs = np.linspace(-1, 1, 2 * across + 1) if face == 0 else np.linspace(-1, 0, across + 1)
        us = np.linspace(-1, 1, 2 * across + 1)
        for k in range(0, 2 * n, 2):
            for j in range(0, len(vs) - 1, 2):
                for i in range(0, 2 * across, 2):
                    e = [node(turn(us[i + a], vs[j + b]), 4.0 + (k + c) / (2 * n)) for a, b, c in order]
                    elements.append(e)
                    if k == 0:
                        inner.append([e[t] for t in [0, 1, 2, 3, 8, 9, 10, 11]])
                    if k == 2 * n - 2:
                        outer.append([e[t] for t in [4, 5, 6, 7, 12, 13, 14, 15]])
    return np.array(nodes), elements, inner, outer


def run(n, solver, is_dome):
    """Solves one mesh; s_W over the counted part of the free faces."""
    nodes, elements, side, end = dome(n) if is_dome else mesh(n)
    force = (60.0, 0.0, -80.0) if is_dome else (100.0, 0.0, 0.0)
    held = (lambda p: p[2] < 1e-9) if is_dome else (lambda p: p[2] < -HALF + 1e-9)
    counted = (lambda at: at[2] > 1.0) if is_dome else (lambda at: abs(at[2]) < 1.0)
    shares = {}
    total = sum(a for f in end for _, _, a in face_points(nodes, f))
    for f in end:
        for w, _, area in face_points(nodes, f):
            for node, share in zip(f, w):
                shares[node] = shares.get(node, 0.0) + share * area / total
    lines = ["*NODE,NSET=ALL"]
    lines += ["%d,%.12g,%.12g,%.12g" % (k + 1, *p) for k, p in enumerate(nodes)]
    lines.append("*ELEMENT,TYPE=C3D20R,ELSET=BODY")
    for k, e in enumerate(elements):
        lines.append("%d,%s," % (k + 1, ",".join(map(str, e[:15]))))
        lines.append(",".join(map(str, e[15:])))
    lines.append("*NSET,NSET=WALL")
    lines += [str(k + 1) for k, p in enumerate(nodes) if held(p)]
    lines += ["*MATERIAL,NAME=M", "*ELASTIC", "200000.,0.3", "*SOLID SECTION,ELSET=BODY,MATERIAL=M", "*STEP", "*STATIC,SOLVER=" + solver,
              "*BOUNDARY", "WALL,1,3", "*CLOAD"]
    lines += ["%d,%d,%.12g" % (node, c + 1, f * share) for node, share in sorted(shares.items()) for c, f in enumerate(force) if f]
    lines += ["*EL FILE,NSET=ALL", "S", "*END STEP"]
    with tempfile.TemporaryDirectory() as folder:
        with open(os.path.join(folder, "bar.inp"), "w") as out:
            out.write("\n".join(lines) + "\n")
        start = time.time()
        with open(os.path.join(folder, "log"), "w") as log:
            child = subprocess.Popen(["ccx", "-i", "bar"], cwd=folder, stdout=log)
            _, status, used = os.wait4(child.pid, 0)
        wall = time.time() - start
        if status != 0:
            sys.exit("CalculiX ended with status %d" % status)
        stress, on = {}, False
        for line in open(os.path.join(folder, "bar.frd")):
            if line.startswith(" -4"):
                on = "STRESS" in line
            elif on and line.startswith(" -1"):
                stress[int(line[3:13])] = [float(line[13 + 12 * k:25 + 12 * k]) for k in range(6)]
            elif line.startswith(" -3"):
                on = False
    total, peak = 0.0, 0.0
    for f in side:
        s = np.array([stress[k] for k in f])
        for w, at, area in face_points(nodes, f):
            if counted(at):
                xx, yy, zz, xy, yz, zx = w @ s
                main = np.linalg.eigvalsh([[xx, xy, zx], [xy, yy, yz], [zx, yz, zz]])
                total += area * sum(max(x, 0.0) ** 10 for x in main)
                peak = max(peak, main[-1])
    print("ccx %s %s n=%d unknowns=%d s_W=%.4f peak=%.3f wall=%.1f cpu=%.1f peak_mb=%.0f"
          % ("dome" if is_dome else "bar", solver, n, 3 * len(nodes), total**0.1, peak, wall, used.ru_utime + used.ru_stime, used.ru_maxrss / 1024), flush=True)


if __name__ == "__main__":
    solver = "SPOOLES" if "--direct" in sys.argv else "ITERATIVE CHOLESKY"
    for n in [int(a) for a in sys.argv[1:] if a.isdigit()] or [2, 3]:
        run(n, solver, "--dome" in sys.argv)
