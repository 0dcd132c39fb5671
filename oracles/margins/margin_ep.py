"""The margin engine's model and expectation propagation in NumPy, written from the equations alone: dense matrices, one smoother sweep a round.

Reads calls.csv (t, rival, low, high: six crews, 300 calls, seven minutes), writes margin_ep.json (means and standard deviations every 30 s) and
prints the time that a solution takes. Run: OMP_NUM_THREADS=1 python3 margin_ep.py
"""
import csv, json, math, sys, time
import numpy as np
import scipy
from scipy.special import log_ndtr

CREWS, END, DISTANCE, GO_SD, FINISH_SD = 6, 420.0, 2000.0, 0.3, 1.0
ASIDE = [13.5, 27.0, 13.5, 27.0, 40.5]
DELAY, DELAY_SD, TRUST, EYE = 1.5, 0.7, 0.95, 0.42
PASSING, PASSING_T, DRIFT, SPEED, LOOK_T, LASTING = 0.042, 12.0, 3e-6, 0.065, 45.0, 0.45
AWAY, AWAY_T, START_T, SPRINT_T, IMPRESSION = 0.85, 8.0, 55.0, 75.0, 5.0
V = DISTANCE / (END - 3)
G, GV, GO, U, B, TS, FIX = 0, 1, 2, 3, 4, 5, 6
e = lambda j: FIX + 3 * j
c = lambda j: FIX + 3 * j + 1
f = lambda j: FIX + 3 * j + 2
look = lambda i: FIX + 3 * CREWS + i - 1
N = FIX + 4 * CREWS - 1
abeam = [a * math.tan(math.radians(2)) for a in ASIDE]


def profile(t):
    return V * (t - 3 * (1 - math.exp(-t / 3)))


def stage(t):
    return 9 if t < START_T else 4 if t > END - SPRINT_T else 1


def transition(h, before, after):
    F = np.eye(N)
    Q = np.zeros((N, N))
    if h > 0:
        middle = 0.5 * (before + after)
        a = math.exp(-h / PASSING_T)
        k = PASSING_T * (1 - a)
        q = (0.08 * (2.5 if middle < 60 else 1)) ** 2 / 60
        phase = stage(middle)
        v = PASSING ** 2 * phase
        F[G, GV] = h
        Q[G, G], Q[G, GV], Q[GV, G], Q[GV, GV] = q * h ** 3 / 3, q * h * h / 2, q * h * h / 2, q * h
        for j in range(CREWS):
            F[e(j), c(j)], F[e(j), f(j)], F[f(j), f(j)] = h, k, a
            r = h / PASSING_T
            pp = PASSING_T ** 2 * (2 * r ** 3 / 3 if r < 1e-3 else 2 * r - 3 + 4 * a - a * a)
            Q[e(j), e(j)] = DRIFT * h ** 3 / 3 + v * pp
            Q[e(j), c(j)] = Q[c(j), e(j)] = DRIFT * h * h / 2
            Q[c(j), c(j)] = DRIFT * h
            Q[e(j), f(j)] = Q[f(j), e(j)] = v * PASSING_T * (1 - a) ** 2
            Q[f(j), f(j)] = v * (1 - a * a)
            Q[e(j), e(j)] += AWAY ** 2 * max(0, min(after, AWAY_T) - before) / AWAY_T
        for i in range(1, CREWS):
            b = math.exp(-h / LOOK_T)
            F[look(i), look(i)] = b
            Q[look(i), look(i)] = (0.7 * abeam[i - 1] ** 2 + LASTING ** 2) * (1 - b * b)
    return F, Q


def prior():
    m = np.zeros(N)
    m[B] = 0.2
    sd = np.zeros(N)
    sd[GV], sd[GO], sd[U], sd[B], sd[TS] = 0.15, GO_SD, 0.30, 0.45, 4
    for j in range(CREWS):
        sd[e(j)] = 1e-3 if j == 0 else 0.15
        sd[c(j)] = SPEED
        sd[f(j)] = PASSING * math.sqrt(9)
    for i in range(1, CREWS):
        sd[look(i)] = math.sqrt(0.7 * abeam[i - 1] ** 2 + LASTING ** 2)
    return m, np.diag(sd ** 2)


def build(calls, grid):
    acts = []
    for n, (t, rival, lo, hi) in enumerate(calls):
        h = np.zeros(N)
        h[e(0)], h[e(rival)], h[B], h[look(rival)] = 1, -1, 1, 1
        acts.append((max(t - DELAY - IMPRESSION / 2, 0), 1, h, n))
    h = np.zeros(N)
    h[G], h[e(0)], h[GO] = 1, 1, V
    acts.append((END, 1, h, -1))
    acts += [(t, 2, None, -2) for t in grid]
    acts.sort(key=lambda a: (a[0], a[1]))
    steps, now = [], 0.0
    for t, _, h, n in acts:
        steps.append((*transition(t - now, now, t), h, n))
        now = t
    return steps


def sweep(steps, tau, nu, keep=False):
    m0, P0 = prior()
    xs, Ps, out = [], [], {}
    x, P = m0, P0
    for k, (F, Q, h, n) in enumerate(steps):
        x, P = F @ x, F @ P @ F.T + Q
        xs.append(x)
        Ps.append(P)
        if h is not None:
            ph = P @ h
            v, m = h @ ph, h @ x
            s = 1 + tau[k] * v
            x, P = x + ph * ((nu[k] - tau[k] * m) / s), P - np.outer(ph, ph) * (tau[k] / s)
    lam, big = np.zeros(N), np.zeros((N, N))
    smoothed = []
    for k in range(len(steps) - 1, -1, -1):
        F, Q, h, n = steps[k]
        x, P = xs[k], Ps[k]
        if h is not None:
            ph = P @ h
            v, m = h @ ph, h @ x
            s = 1 + tau[k] * v
            g = tau[k] / s
            C = np.eye(N) - np.outer(ph, h) * g
            lam = -h * ((nu[k] - tau[k] * m) / s) + C.T @ lam
            big = np.outer(h, h) * g + C.T @ big @ C
        if keep:
            smoothed.append((x - P @ lam, P - P @ big @ P))
        elif h is not None:
            ph = P @ h
            out[k] = (h @ x - ph @ lam, h @ ph - ph @ big @ ph)
        lam, big = F.T @ lam, F.T @ big @ F
    return smoothed[::-1] if keep else out


def moments(m, v, lo, hi, s):
    t = math.sqrt(v + s * s)
    a, b = (lo - m) / t, (hi - m) / t
    flip = a + b < 0
    if flip:
        a, b = -b, -a
    la, lb = log_ndtr(-a), log_ndtr(-b)
    lz = la + math.log1p(-math.exp(lb - la))
    fa = math.exp(-0.5 * a * a - 0.9189385332046727 - lz)
    fb = 0.0 if math.isinf(b) else math.exp(-0.5 * b * b - 0.9189385332046727 - lz)
    g, d = fa - fb, a * fa - (0 if math.isinf(b) else b * fb)
    return lz, m + (-1 if flip else 1) * v * g / t, v - v * v * (g * g - d) / (t * t)


def solve(calls, grid):
    steps = build(calls, [])
    K = len(steps)
    tau, nu = np.zeros(K), np.zeros(K)
    for k, (_, _, h, n) in enumerate(steps):
        if n == -1:
            sd = max(0.05, V * FINISH_SD)
            tau[k], nu[k] = 1 / sd ** 2, (DISTANCE - profile(END)) / sd ** 2
    late2 = DELAY_SD ** 2 + GO_SD ** 2 + (IMPRESSION / 2) ** 2
    rate2 = {n: 2 * stage(max(t - DELAY - IMPRESSION / 2, 0)) * PASSING ** 2 + SPEED ** 2 for n, (t, *_) in enumerate(calls)}
    before, damping = math.inf, 1.0
    for rounds in range(1, 61):
        marginal = sweep(steps, tau, nu)
        change = 0.0
        for k, (_, _, h, n) in enumerate(steps):
            if n < 0:
                continue
            _, rival, lo, hi = calls[n]
            mean, var = marginal[k]
            rest = 1 / var - tau[k]
            cv = 1 / rest
            cm = (mean / var - nu[k]) * cv
            s = math.sqrt(EYE ** 2 + 0.3 * abeam[rival - 1] ** 2 + rate2[n] * late2)
            lz, mt, vt = moments(cm, cv, lo, hi, s)
            width = hi - lo if math.isfinite(hi - lo) else 20
            lw, lg = math.log(TRUST) + lz, math.log(1 - TRUST) + math.log(min(0.5, width / 40))
            top = max(lw, lg)
            total = top + math.log(math.exp(lw - top) + math.exp(lg - top))
            p = math.exp(lw - total)
            d = p * (mt - cm)
            second = p * (vt + (mt - cm) ** 2) + (1 - p) * cv
            v = max(second - d * d, cv * 1e-9)
            pr = max(1 / v - 1 / cv, -1 / (3 * cv))
            sh = pr * (cm + d) + d / cv
            npr, nsh = tau[k] + damping * (pr - tau[k]), nu[k] + damping * (sh - nu[k])
            now_v, next_v = 1 / (1 / cv + tau[k]), 1 / (1 / cv + npr)
            change = max(change, abs(next_v * (cm / cv + nsh) - now_v * (cm / cv + nu[k])) / math.sqrt(next_v), abs(math.sqrt(next_v / now_v) - 1))
            tau[k], nu[k] = npr, nsh
        if change < 1e-4:
            break
        if rounds > 2 and change > 0.7 * before:
            damping = max(0.3, damping * 0.85)
        before = change
    full = build(calls, grid)
    ft, fn = np.zeros(len(full)), np.zeros(len(full))
    by = {s[3]: k for k, s in enumerate(steps)}
    for k, s in enumerate(full):
        if s[3] in by and s[3] != -2:
            ft[k], fn[k] = tau[by[s[3]]], nu[by[s[3]]]
    smoothed = sweep(full, ft, fn, keep=True)
    result = []
    for k, s in enumerate(full):
        if s[3] == -2:
            m, P = smoothed[k]
            row = []
            for i in range(1, CREWS):
                h = np.zeros(N)
                h[e(0)], h[e(i)] = 1, -1
                row.append((h @ m, math.sqrt(h @ P @ h)))
            result.append(row)
    return rounds, result


def main():
    calls = [(float(r["t"]), int(r["rival"]), float(r["low"]), float(r["high"])) for r in csv.DictReader(open("calls.csv"))]
    grid = [float(t) for t in range(0, 421)]
    solve(calls, grid)
    times = []
    for _ in range(3):
        at = time.process_time()
        rounds, result = solve(calls, grid)
        times.append(time.process_time() - at)
    rows = [{"t": t, "mean": [round(m, 6) for m, _ in result[t]], "sd": [round(s, 6) for _, s in result[t]]} for t in range(0, 421, 30)]
    json.dump({"numpy": np.__version__, "scipy": scipy.__version__, "python": sys.version.split()[0], "rounds": rounds, "rows": rows},
              open("margin_ep.json", "w"), indent=1)
    print(f"rounds {rounds}, seconds of the processor {min(times):.3f}")


if __name__ == "__main__":
    main()
