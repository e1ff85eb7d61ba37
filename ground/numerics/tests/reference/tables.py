"""Reference tables of special functions, 50 digits, written to 25. Run: python3 tables.py  (mpmath 1.3.0, python 3.11).

Arguments are doubles; they are written with 17 digits, which read back to the same double.
"""
import csv
import random
import mpmath as mp

mp.mp.dps = 50
random.seed(20240601)
D = lambda v: mp.mpf(float(v))
S = lambda v: mp.nstr(v, 25)


def write(name, header, rows):
    with open(name, "w", newline="") as f:
        w = csv.writer(f, lineterminator="\n")
        w.writerow(header)
        for r in rows:
            w.writerow([repr(float(x)) if i < len(r) - r_out else S(x) for i, x in enumerate(r)])


def normal_quantile(p):
    f = lambda x: mp.log(mp.ncdf(x)) - mp.log(p)
    if p > 0.5:
        g = lambda x: mp.log(mp.erfc(x / mp.sqrt(2)) / 2) - mp.log(1 - p)
        return mp.findroot(g, (mp.mpf("0.0"), mp.mpf("1")), solver="secant")
    x0 = -mp.sqrt(-2 * mp.log(p)) if p < 0.01 else mp.mpf(0)
    return mp.findroot(f, (x0, x0 + mp.mpf("0.3")), solver="secant")


def series(a, c, u):
    """2F1(a, 1; c; u) = sum (a)_n/(c)_n u^n, all terms positive."""
    total, term, n = mp.mpf(0), mp.mpf(1), 0
    while term > total * mp.mpf(10) ** -58:
        total += term
        term *= (a + n) / (c + n) * u
        n += 1
    return total


r_out = 3
xs = [0.0, 1e-300, 1e-10, 0.1, 0.3, 0.499, 0.5, 0.501, 0.9, 1.0, 1.001, 1.5, 2, 3, 5, 7.7, 10, 15, 20, 26, 1e3, 1e10]
xs += [random.uniform(0, 6) for _ in range(40)]
xs += [-x for x in xs if 0 < x < 26]
write("erf.csv", ["x", "erf", "erfc", "erfcx"], [
    (x, mp.erf(D(x)), mp.erfc(D(x)),
     mp.exp(D(x) ** 2) * mp.erfc(D(x)) if x < 1e3 else 1 / (D(x) * mp.sqrt(mp.pi)) * (1 - 1 / (2 * D(x) ** 2) + 3 / (4 * D(x) ** 4)))
    for x in xs])

xs = [0.0, -1e-10, 0.2, -0.49, 0.5, -0.7, 1, -1, 1.96, -2.5, 4, -6, -8.3, 12, -20, -30, -37.5, 37, -100, -1000] + [random.uniform(-10, 10) for _ in range(40)]
half = lambda x: mp.erfc(-D(x) / mp.sqrt(2)) / 2
write("normal.csv", ["x", "cdf", "sf", "log_cdf"], [(x, half(x), half(-x), mp.log(half(x)) if x < 0 else mp.log1p(-half(-x))) for x in xs])

r_out = 1
ps = [1e-300, 1e-100, 1e-30, 1e-16, 1e-9, 1e-5, 0.001, 0.01, 0.05, 0.07, 0.075, 0.08, 0.2, 0.4, 0.5, 0.6, 0.9, 0.925, 0.95, 0.99, 0.9999, 1 - 1e-10] + [random.random() for _ in range(30)]
write("normal_quantile.csv", ["p", "x"], [(p, normal_quantile(D(p))) for p in ps])

r_out = 3
xs = [1e-300, 1e-10, 0.1, 0.5, 0.9999, 1.0001, 1.25, 1.4616, 1.9999, 2.0001, 2.5, 3, 3.5, 6.1, 9.99, 10, 12.5, 100, 1e5, 1e10, 1e300] + [random.uniform(0, 15) for _ in range(30)] + [-0.5, -1.5, -3.3]
write("ln_gamma.csv", ["x", "ln_gamma", "digamma", "trigamma"], [
    (x, mp.log(abs(mp.gamma(D(x)))) if abs(x) < 100 else mp.loggamma(D(x)), mp.digamma(D(x)), mp.psi(1, D(x)) if x > 0 else mp.mpf(0)) for x in xs])

r_out = 2
rows = []
for a in [1e-10, 1e-3, 0.1, 0.5, 0.99, 1, 1.5, 3.7, 10, 50, 300, 1e4]:
    for m in [1e-6, 0.01, 0.3, 0.8, 1.0, 1.2, 2, 4]:
        rows.append((a, a * m))
    for x in [1e-8, 0.3, 0.9, 1.3, 3, 30]:
        rows.append((a, x))
out = []
for a, x in rows:
    with mp.workdps(120):
        lo = mp.gammainc(D(a), 0, D(x), regularized=True)
        up = mp.gammainc(D(a), D(x), mp.inf, regularized=True)
    if lo > mp.mpf(10) ** -280 and up > mp.mpf(10) ** -280:
        out.append((a, x, lo, up))
write("gamma_pq.csv", ["a", "x", "p", "q"], out)

out = []
for a, b in [(1e-3, 1e-3), (0.01, 2), (0.1, 0.2), (0.5, 0.5), (0.5, 8), (1, 1), (2, 6), (4, 2.5), (6, 3), (2, 10), (30, 0.7), (25, 30), (200, 900), (5000, 3), (3e4, 2e4)]:
    mean = a / (a + b)
    for x in [1e-9, 1e-3, 0.1, mean * 0.5, mean * 0.95, mean, mean + (1 - mean) * 0.05, 0.5, 0.9, 0.999]:
        x = float(x)
        with mp.workdps(60):
            # x^a (1-x)^b/(a B) 2F1(a+b, 1; a+1; x)
            side = lambda p, q, u: u**p * (1 - u) ** q / (p * mp.beta(p, q)) * series(p + q, p + 1, u)
            # The faster side is summed, the other follows; 60 digits leave 40 after the subtraction.
            if x < (a + 1) / (a + b + 2):
                lo = side(D(a), D(b), D(x))
                up = 1 - lo
            else:
                up = side(D(b), D(a), 1 - D(x))
                lo = 1 - up
        if lo > mp.mpf(10) ** -280 and up > mp.mpf(10) ** -280:
            out.append((a, b, x, lo, up))
write("beta.csv", ["a", "b", "x", "lower", "upper"], out)

out = []
for df in [0.5, 1, 2, 3, 4.5, 10, 30, 1000]:
    for t in [0.1, 0.7, 1.5, 2.8, 6, 40]:
        x = D(df) / (D(df) + D(t) ** 2)
        if t * t < df:
            front = mp.gamma((D(df) + 1) / 2) / (mp.gamma(D(df) / 2) * mp.sqrt(mp.pi * D(df)))
            tail = mp.mpf(1) / 2 - D(t) * front * mp.hyp2f1(mp.mpf(1) / 2, (D(df) + 1) / 2, mp.mpf(3) / 2, -D(t) ** 2 / D(df))
        else:
            tail = x ** (D(df) / 2) * mp.sqrt(1 - x) / (D(df) / 2 * mp.beta(D(df) / 2, 0.5)) * series((D(df) + 1) / 2, D(df) / 2 + 1, x) / 2
        out.append((df, t, 1 - tail, tail))
write("student_t.csv", ["df", "t", "cdf", "sf"], out)
