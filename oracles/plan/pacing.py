"""Fastest plan of the illustrative eight by SciPy's SLSQP, and two wave integrals by SciPy's adaptive quadrature.
Run: OMP_NUM_THREADS=1 python3 pacing.py > pacing.json"""
import json, sys, time
import numpy as np, scipy
from scipy import integrate, optimize

M, ETA, N, CP, W, PMAX, FMAX = 900.0, 0.76, 8, 400.0, 25000.0, 900.0, 1840.0
K = 12.994; KW, KA = 0.88 * K, 0.12 * K
S = ETA * N


def program(winds, cells=80, distance=2000.0):
    end = cells // 4; edge = 75.0
    x = np.concatenate([edge * (np.arange(end) / end) ** 2, edge + (distance - 2 * edge) * np.arange(cells - 2 * end) / (cells - 2 * end),
                        distance - edge + edge * np.arange(end + 1) / end])
    dx = np.diff(x); mid = (x[:-1] + x[1:]) / 2
    w = np.array([winds(m) for m in mid])
    drag = lambda v: KW * v * v + KA * (v + w) * np.abs(v + w)
    slope = lambda v: 2 * KW * v + 2 * KA * np.abs(v + w)

    def parts(u):
        v = np.concatenate([[0], u]); a, b = v[:-1], v[1:]
        t = 2 * dx / (a + b)
        thrust = M * (b * b - a * a) / (2 * dx) + (drag(a) + drag(b)) / 2
        fa = -M * a / dx + slope(a) / 2; fb = M * b / dx + slope(b) / 2
        ts = -2 * dx / (a + b) ** 2
        return a, b, t, thrust, fa, fb, ts

    n = len(dx); rows = np.arange(n)

    def spread(ga, gb):
        j = np.zeros((n, n + 1)); j[rows, rows] = ga; j[rows, rows + 1] += gb
        return j[:, 1:]

    fun = lambda u: parts(u)[2].sum()
    def jac(u):
        ts = parts(u)[6]; g = np.zeros(n + 1); g[:-1] += ts; g[1:] += ts
        return g[1:]
    def cons(u):
        a, b, t, f, fa, fb, ts = parts(u)
        e = f * dx / S - CP * t
        return np.concatenate([(W - np.cumsum(e)) / W, f / FMAX, 1 - f / FMAX, 1 - f * (a + b) / 2 / S / PMAX])
    def cjac(u):
        a, b, t, f, fa, fb, ts = parts(u)
        je = spread(fa * dx / S - CP * ts, fb * dx / S - CP * ts)
        jf = spread(fa, fb)
        jp = spread((fa * (a + b) + f) / 2 / S, (fb * (a + b) + f) / 2 / S)
        return np.vstack([-np.cumsum(je, axis=0) / W, jf / FMAX, -jf / FMAX, -jp / PMAX])
    v0 = 5.7 * np.cbrt(1 - np.exp(-x[1:] / 40))
    start = time.perf_counter()
    r = optimize.minimize(fun, v0, jac=jac, method="SLSQP", constraints={"type": "ineq", "fun": cons, "jac": cjac}, bounds=[(0.05, 9)] * n, options={"maxiter": 800, "ftol": 1e-10})
    return {"seconds": r.fun, "ok": bool(r.success), "wallSeconds": time.perf_counter() - start}


def wigley(fn):
    g, L, B, T = 9.80665, 1.0, 0.1, 0.0625
    U = fn * np.sqrt(g * L); k0 = g / U / U
    def amp(l):
        a = l * k0 * L / 2; b = l * l * k0 * T
        X = 2 * L * (np.sin(a) - a * np.cos(a)) / a ** 3
        Z = T * ((1 - np.exp(-b)) / b - (2 - np.exp(-b) * (b * b + 2 * b + 2)) / b ** 3)
        return l * k0 * B / 2 * X * Z
    v, _ = integrate.quad(lambda u: amp(np.cosh(u)) ** 2 * np.cosh(u) ** 2, 0, 5.2, limit=4000, epsabs=0, epsrel=1e-8)
    return 4 * g * g / np.pi / U / U * v / (0.5 * U * U * 0.148791)


out = {"versions": {"python": sys.version.split()[0], "scipy": scipy.__version__, "numpy": np.__version__},
       "optimum": {"calm": program(lambda m: 0.0), "intoHead": program(lambda m: 0.0 if m < 1000 else 3.0), "tailThenHead": program(lambda m: -3.0 if m < 1000 else 3.0)},
       "wigley": {str(f): wigley(f) for f in (0.25, 0.316, 0.408, 0.5)}}
print(json.dumps(out, indent=1))
