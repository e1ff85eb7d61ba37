#!/usr/bin/env python3
"""The questions of `surfaces.rs` asked of general libraries: thickness rays and signed distances on the same bumpy geodesic ball.

usage: python3 surfaces.py F [THREADS]     (20 F^2 facets; F = 224: 1,003,520)
Needs numpy; each of open3d (Embree), trimesh with embreex and igl is skipped with a message where it is absent."""
import os, sys, time

f = int(sys.argv[1]) if len(sys.argv) > 1 else 100
threads = int(sys.argv[2]) if len(sys.argv) > 2 else 1
for name in ("OMP_NUM_THREADS", "OPENBLAS_NUM_THREADS", "LIBIGL_NUM_THREADS", "IGL_NUM_THREADS"):
    os.environ[name] = str(threads)
import numpy as np


def geodesic(f):
    p = (1 + 5**0.5) / 2
    v = np.array([(-1, p, 0), (1, p, 0), (-1, -p, 0), (1, -p, 0), (0, -1, p), (0, 1, p), (0, -1, -p), (0, 1, -p), (p, 0, -1), (p, 0, 1), (-p, 0, -1), (-p, 0, 1)], float)
    sides = np.array([(0, 11, 5), (0, 5, 1), (0, 1, 7), (0, 7, 10), (0, 10, 11), (1, 5, 9), (5, 11, 4), (11, 10, 2), (10, 7, 6), (7, 1, 8), (3, 9, 4), (3, 4, 2), (3, 2, 6), (3, 6, 8), (3, 8, 9), (4, 9, 5), (2, 4, 11), (6, 2, 10), (8, 6, 7), (9, 8, 1)])
    ij = [(i, j) for i in range(f + 1) for j in range(f + 1 - i)]
    at = {q: k for k, q in enumerate(ij)}
    w = np.array([(f - i - j, i, j) for i, j in ij]) / f
    t = []
    for i in range(f):
        for j in range(f - i):
            t.append((at[i, j], at[i + 1, j], at[i, j + 1]))
            if i + j < f - 1:
                t.append((at[i + 1, j], at[i + 1, j + 1], at[i, j + 1]))
    t = np.array(t)
    V = np.concatenate([w @ v[q] for q in sides])
    F = np.concatenate([t + k * len(w) for k in range(20)])
    V /= np.linalg.norm(V, axis=1, keepdims=True)
    _, first, inverse = np.unique(np.round(V * 1e7).astype(np.int64), axis=0, return_index=True, return_inverse=True)
    V, F = V[first], inverse.ravel()[F]
    x, y, z = V.T
    return V * (5 * (1 + 0.08 * np.sin(5 * x + 1) * np.cos(7 * y) + 0.03 * np.sin(23 * z) * np.cos(19 * x)))[:, None], F


V, F = geodesic(f)
a, b, c = V[F[:, 0]], V[F[:, 1]], V[F[:, 2]]
n = np.cross(b - a, c - a)
n /= np.linalg.norm(n, axis=1, keepdims=True)
m = (a + b + c) / 3
g = np.random.default_rng(2)
k = g.integers(0, len(F), 1_000_000)
near = m[k] + n[k] * g.uniform(-0.3, 0.3, (1_000_000, 1))
cube = np.random.default_rng(1).uniform(-6, 6, (1_000_000, 3))


def timed(what, work, runs=3):
    walls, works = [], []
    for _ in range(runs):
        start, before = time.perf_counter(), time.process_time()
        out = work()
        walls.append(time.perf_counter() - start)
        works.append(time.process_time() - before)
    print(f"{what}: wall median {np.median(walls):.3f} s, processor median {np.median(works):.3f} s, least {min(works):.3f} s of {runs}", flush=True)
    return out


print(len(F), "facets,", threads, "threads")
try:
    import open3d as o3d

    def scene():
        s = o3d.t.geometry.RaycastingScene(nthreads=threads)
        s.add_triangles(o3d.core.Tensor(V.astype(np.float32)), o3d.core.Tensor(F.astype(np.uint32)))
        s.cast_rays(o3d.core.Tensor(np.zeros((1, 6), np.float32)), nthreads=threads)
        return s

    s = timed("open3d tree", scene)
    rays = o3d.core.Tensor(np.hstack([m - 1e-4 * n, -n]).astype(np.float32))
    t = timed("open3d rays", lambda: s.cast_rays(rays, nthreads=threads)["t_hit"].numpy())
    print(f"mean {t[np.isfinite(t)].mean():.6f}, lost {np.sum(~np.isfinite(t))}")
    for what, places in (("near", near), ("cube", cube)):
        places = o3d.core.Tensor(places[:100_000].astype(np.float32))
        d = timed(f"open3d signed distance, 100,000 {what}", lambda: s.compute_signed_distance(places, nthreads=threads).numpy(), 1)
        print(f"mean {d.mean():.6f}")
except ImportError:
    print("open3d is not installed: skipped")
try:
    import embreex, trimesh

    mesh = trimesh.Trimesh(V, F, process=False)
    mesh.ray
    found = timed("trimesh with embreex rays", lambda: mesh.ray.intersects_location(m - 1e-4 * n, -n, multiple_hits=False), 1)
    print("lost", len(F) - len(found[0]))
    stl = trimesh.exchange.stl.export_stl(mesh)
    timed("trimesh STL read and merged", lambda: trimesh.load(trimesh.util.wrap_as_stream(stl), file_type="stl"), 1)
except ImportError:
    print("trimesh with embreex is not installed: skipped")
try:
    import igl

    kind = igl.SIGNED_DISTANCE_TYPE_PSEUDONORMAL
    for what, places in (("near", near), ("cube", cube)):
        d = timed(f"igl signed distance, 100,000 {what}", lambda: igl.signed_distance(places[:100_000], V, F.astype(np.int64), sign_type=kind)[0], 1)
        print(f"mean {d.mean():.6f}")
except ImportError:
    print("igl is not installed: skipped")
