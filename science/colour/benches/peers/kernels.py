"""The same inputs and sums as benches/peers.rs in numpy, numba and colour-science, one thread.
Usage: OMP_NUM_THREADS=1 OPENBLAS_NUM_THREADS=1 NUMBA_NUM_THREADS=1 python3 kernels.py   (packages that are absent are skipped)"""
import time, warnings
import numpy as np
warnings.filterwarnings("ignore")
PAIRS, STACKS, BANDS = 10_000_000, 1_000_000, 31

def unit(i, m):
    with np.errstate(over="ignore"):
        return ((i * np.uint64(m) >> np.uint64(20)) & np.uint64(0xffff)).astype(float) / 65536.0

def timed(name, f, times=3):
    best = 1e99
    for _ in range(times):
        t = time.thread_time(); s = f(); best = min(best, time.thread_time() - t)
    print(f"{name},{best:.4f},{s:.9e}", flush=True)

def colours(m):
    i = np.arange(PAIRS, dtype=np.uint64)
    return np.stack([100 * unit(i, m[0]), 80 * unit(i, m[1]) - 40, 80 * unit(i, m[2]) - 40], 1)

first = colours([0x9e3779b97f4a7c15, 0xbf58476d1ce4e5b9, 0x94d049bb133111eb])
second = colours([0xd6e8feb86659fd93, 0xa0761d6478bd642f, 0xe7037ed1a0b428db])

try:
    import math, numba
    @numba.njit(fastmath=True)
    def one(l1, a1, b1, l2, a2, b2):
        c7 = (0.5 * (math.hypot(a1, b1) + math.hypot(a2, b2))) ** 7
        g = 1.5 - 0.5 * math.sqrt(c7 / (c7 + 6103515625.0))
        a1 *= g; a2 *= g
        c1 = math.sqrt(a1 * a1 + b1 * b1); c2 = math.sqrt(a2 * a2 + b2 * b2)
        h1 = math.atan2(b1, a1); h2 = math.atan2(b2, a2)
        if h1 < 0: h1 += 2 * math.pi
        if h2 < 0: h2 += 2 * math.pi
        dh = h2 - h1; hm = 0.5 * (h1 + h2)
        if c1 * c2 == 0: dh = 0.0; hm = h1 + h2
        elif dh > math.pi: dh -= 2 * math.pi; hm = hm + math.pi if h1 + h2 < 2 * math.pi else hm - math.pi
        elif dh < -math.pi: dh += 2 * math.pi; hm = hm + math.pi if h1 + h2 < 2 * math.pi else hm - math.pi
        dH = 2 * math.sqrt(c1 * c2) * math.sin(0.5 * dh)
        lm = 0.5 * (l1 + l2) - 50; cm = 0.5 * (c1 + c2)
        r = math.pi / 180
        t = 1 - 0.17 * math.cos(hm - 30 * r) + 0.24 * math.cos(2 * hm) + 0.32 * math.cos(3 * hm + 6 * r) - 0.2 * math.cos(4 * hm - 63 * r)
        sl = 1 + 0.015 * lm * lm / math.sqrt(20 + lm * lm); sc = 1 + 0.045 * cm; sh = 1 + 0.015 * cm * t
        c7 = cm ** 7
        x = (hm / r - 275) / 25
        rt = -2 * math.sqrt(c7 / (c7 + 6103515625.0)) * math.sin(60 * r * math.exp(-x * x))
        dl = (l2 - l1) / sl; dc = (c2 - c1) / sc; dH /= sh
        return math.sqrt(max(0.0, dl * dl + dc * dc + dH * dH + rt * dc * dH))
    @numba.njit(fastmath=True)
    def kernel(p, q, out):
        for i in range(p.shape[0]):
            out[i] = one(p[i, 0], p[i, 1], p[i, 2], q[i, 0], q[i, 1], q[i, 2])
    kernel(first[:10], second[:10], np.empty(10))
    def run():
        out = np.empty(PAIRS); kernel(first, second, out); return out.sum()
    timed("numba ciede2000", run)
except ImportError:
    print("numba is not here: skipped")

try:
    import colour
    timed("colour-science ciede2000", lambda: sum(float(colour.delta_E(first[j:j + 100_000], second[j:j + 100_000], method="CIE 2000").sum()) for j in range(0, PAIRS, 100_000)), 1)
except ImportError:
    print("colour-science is not here: skipped")

def stacks(step=2000):
    w = 400 + 10.0 * np.arange(BANDS); slope = 560 / w; blue = slope ** 3
    total = 0.0
    for j in range(0, STACKS, step):
        i = np.arange(j, j + step, dtype=np.uint64)
        light = np.repeat((0.02 + 0.8 * unit(i, 0x9e3779b97f4a7c15))[:, None], BANDS, 1)
        for m in (0xbf58476d1ce4e5b9, 0xd6e8feb86659fd93):
            s = (0.5 + 5 * unit(i, m))[:, None] * slope
            k = (0.02 + 0.3 * unit(i, m ^ 0xffff0000))[:, None] * blue
            x = (0.2 + 1.3 * unit(i, m ^ 0xff00ff00))[:, None]
            a = 1 + k / s; b = np.sqrt(a * a - 1)
            coth = b / np.tanh(b * s * x)
            light = (1 - light * (a - coth)) / (a - light + coth)
        total += light.sum()
    return total
timed("numpy stacks, blocks of 2000", stacks)
timed("numpy stacks, blocks of 200000", lambda: stacks(200_000))
