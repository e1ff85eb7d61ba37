"""Chebyshev coefficients of src/chebyshev.rs, made with mpmath at 60 digits.

Run: python3 coefficients.py > ../../src/chebyshev.rs   (mpmath 1.3.0, python 3.11)
"""
import mpmath as mp

mp.mp.dps = 60


def chebyshev(f, terms, nodes=80):
    """Coefficients c_j of sum c_j T_j(t) on -1..1 (c_0 already halved), by interpolation at Chebyshev nodes."""
    t = [mp.cos(mp.pi * (k + mp.mpf(1) / 2) / nodes) for k in range(nodes)]
    v = [f(x) for x in t]
    c = []
    for j in range(terms):
        s = mp.fsum(v[k] * mp.cos(mp.pi * j * (k + mp.mpf(1) / 2) / nodes) for k in range(nodes))
        c.append(2 * s / nodes)
    c[0] /= 2
    return c


def erf_over_x(t):
    """erf(x)/x over u = x^2 in 0..1, t = 2u - 1."""
    u = (t + 1) / 2
    if u == 0:
        return 2 / mp.sqrt(mp.pi)
    x = mp.sqrt(u)
    return mp.erf(x) / x


def erfcx_scaled(t):
    """(1 + 2x) erfcx(x) over t = (x - k)/(x + k), k = 3.75, x in 0..infinity."""
    k = mp.mpf("3.75")
    if t >= 1:
        return 2 / mp.sqrt(mp.pi)
    x = k * (1 + t) / (1 - t)
    if x > 50:
        s = mp.mpf(0)
        term = mp.mpf(1)
        for n in range(1, 60):
            s += term
            term *= -(2 * n - 1) / (2 * x * x)
            if abs(term) < mp.mpf(10) ** -55:
                break
        return (1 + 2 * x) * s / (x * mp.sqrt(mp.pi))
    return (1 + 2 * x) * mp.exp(x * x) * mp.erfc(x)


def ln_gamma_core(t):
    """ln Gamma(x)/((x - 1)(x - 2)) over x in 1..2, t = 2x - 3."""
    x = (t + 3) / 2
    return mp.loggamma(x) / ((x - 1) * (x - 2))


print("//! Chebyshev series of the special functions; made by `tests/reference/coefficients.py`, not by hand.\n")
print("/// Sum of `c[j] T_j(t)` by Clenshaw's recurrence, t in -1..1.")
print("pub(crate) fn sum(c: &[f64], t: f64) -> f64 {")
print("    let (mut b1, mut b2) = (0.0, 0.0);")
print("    for &cj in c[1..].iter().rev() {")
print("        (b1, b2) = (2.0 * t * b1 - b2 + cj, b1);")
print("    }")
print("    t * b1 - b2 + c[0]")
print("}")
for name, f in [("ERF_OVER_X", erf_over_x), ("ERFCX_SCALED", erfcx_scaled), ("LN_GAMMA_CORE", ln_gamma_core)]:
    c = chebyshev(f, 60)
    n = max(j for j in range(60) if abs(c[j]) > mp.mpf(10) ** -18 * abs(c[0])) + 1
    print(f"\n/// {' '.join(f.__doc__.split())}")
    print(f"pub(crate) const {name}: [f64; {n}] = [")
    for x in c[:n]:
        print(f"    {mp.nstr(x, 20, min_fixed=1, max_fixed=0)},")
    print("];")
