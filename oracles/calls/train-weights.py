#!/usr/bin/env python3
"""Trains the weights of evidence: train-weights.py DUMP0 DUMP1 DUMP2 DUMP3 OUTDIR

Each dump holds the proposals of one fold (made with a speech model that had not seen the fold): right or wrong, where from, evidence.
Logistic regression with a quadratic penalty (L-BFGS); one set of weights for each fold left out (weights-k.txt) and one of all (weights.txt).
"""
import sys, numpy as np, scipy.sparse as sp
from array import array
from scipy.optimize import minimize

dumps, out = sys.argv[1:5], sys.argv[5]
PENALTY, LEAST = float(sys.argv[6]) if len(sys.argv) > 6 else 2.0, 5
ids, counts = {}, []
X = []
for k, d in enumerate(dumps):
    y, ptr, idx = array('b'), array('q', [0]), array('i')
    for line in open(d, encoding="utf-8"):
        p = line.rstrip("\n").split("\t")
        y.append(int(p[0]))
        for f in set(p[2:]):
            i = ids.get(f)
            if i is None: i = ids[f] = len(ids); counts.append(0)
            counts[i] += 1; idx.append(i)
        ptr.append(len(idx))
    X.append((np.frombuffer(y, dtype=np.int8).astype(np.float32), np.frombuffer(ptr, dtype=np.int64), np.frombuffer(idx, dtype=np.int32)))
keep = np.array(counts) >= LEAST
new = np.cumsum(keep) - 1
n = int(keep.sum())
mats = []
for y, ptr, idx in X:
    m = keep[idx]
    c = np.concatenate([[0], np.cumsum(m)])
    mats.append((sp.csr_matrix((np.ones(int(m.sum()), dtype=np.float32), new[idx[m]].astype(np.int32), c[ptr]), shape=(len(y), n)), y))
print(len(ids), "pieces of evidence,", n, "kept", flush=True)


def train(parts, w0=None):
    A = sp.vstack([mats[k][0] for k in parts]).tocsr(); y = np.concatenate([mats[k][1] for k in parts])
    s = 2 * y - 1; At = A.T.tocsr()
    def f(w):
        z = A @ w.astype(np.float32); m = s * z
        loss = np.logaddexp(0, -m).sum(); g = -s / (1 + np.exp(m))
        return loss + PENALTY / 2 * (w @ w), (At @ g).astype(np.float64) + PENALTY * w
    r = minimize(f, np.zeros(n) if w0 is None else w0, jac=True, method="L-BFGS-B", options={"maxiter": 60, "maxcor": 8})
    return r.x


names = np.array([None] * n, dtype=object)
for f, i in ids.items():
    if keep[i]: names[new[i]] = f


def save(path, w):
    with open(path, "w", encoding="utf-8") as o:
        o.write("# Weights of evidence by oracles/calls/train-weights.py\n")
        for i in np.argsort(names):
            if abs(w[i]) >= 0.04: o.write(f"{w[i]:.2f}\t{names[i]}\n")


full = train([0, 1, 2, 3]); save(out + "/weights.txt", full); print("all", flush=True)
for k in range(4):
    w = train([j for j in range(4) if j != k], full * 0.0); save(out + f"/weights-{k}.txt", w)
    z = mats[k][0] @ w; y = mats[k][1]
    print(k, "log loss", np.logaddexp(0, -(2 * y - 1) * z).mean(), "base", -(y.mean() * np.log(y.mean()) + (1 - y.mean()) * np.log(1 - y.mean())), flush=True)
