#!/usr/bin/env python3
"""Fits the calibration: fit-trust.py RAW.tsv. RAW holds score, right or wrong, type and 1 for a race, from trials with the fold left out."""
import sys, numpy as np
from scipy.optimize import minimize
R = [l.rstrip("\n").split("\t") for l in open(sys.argv[1])]
types = sorted({r[2] for r in R}); s = np.array([float(r[0]) for r in R]); y = np.array([int(r[1]) for r in R]); tr = np.array([int(r[3]) for r in R])
T = np.array([[r[2] == t for t in types] for r in R], float)
s = np.clip(s, -3, 8)
X = np.column_stack([np.ones(len(s)), s, np.maximum(0, s - 3), tr, tr * s, T, T * s[:, None]])
pen = np.r_[0, 0.01, 0.1, 0.5, 0.5, np.full(len(types), 2.0), np.full(len(types), 6.0)]
f = lambda w: (np.logaddexp(0, -(2 * y - 1) * (X @ w)).sum() + (pen * w * w).sum() / 2, X.T @ (-(2 * y - 1) / (1 + np.exp((2 * y - 1) * (X @ w)))) + pen * w)
w = minimize(f, np.zeros(X.shape[1]), jac=True, method="L-BFGS-B").x
p = 1 / (1 + np.exp(-(X @ w)))
print("common", ", ".join(f"{v:.3f}" for v in w[:5]))
n = len(types)
for i, t in enumerate(types): print(f'            "{t[0].upper()+t[1:]}Call" => ({w[5+i]:.2f}, {w[5+n+i]:.2f}),')
for b in range(10):
    m = (p >= b / 10) & (p < (b + 1) / 10)
    if m.sum(): print(f"{b/10:.1f}-{(b+1)/10:.1f}: n {m.sum()} mean {p[m].mean():.3f} right {y[m].mean():.3f}")
