#!/usr/bin/env python3
"""Grows the trees of the second look: train-second.py DUMP-PREFIX OUT-PREFIX [FOLD ...]

DUMP-PREFIX-k.tsv (k = 0..3) holds what stood after the first look in one fold, the first look made without that fold: which truth it is (0: none),
where from, first and last word, type, call, score of the first look, numbers. Gradient boosting (scikit-learn 1.2.1); one set of trees for each fold
left out (OUT-PREFIX-k.txt) and one of all (OUT-PREFIX.txt). Prints the log loss on each left-out fold beside that of the first look alone, and F1 of
a plain greedy choice.
"""
import collections, os, sys
import numpy as np
from sklearn.ensemble import HistGradientBoostingClassifier as Boost

prefix, out = sys.argv[1:3]
only = [int(k) for k in sys.argv[3:]] or [0, 1, 2, 3]
LEAST = -3.6
X, Y, rows = [], [], []
for k in range(4):
    x, y, r = [], [], []
    for line in open(f"{prefix}-{k}.tsv", encoding="utf-8"):
        p = line.rstrip("\n").split("\t")
        if float(p[6]) <= LEAST: continue
        x.append([float(v) for v in p[7:]]); y.append(p[0] != "0"); r.append((p[1], int(p[0]), int(p[2]), int(p[3]), p[4]))
    X.append(np.array(x, dtype=np.float32)); Y.append(np.array(y)); rows.append(r)
print([len(y) for y in Y], flush=True)


def grow(parts):
    m = Boost(max_iter=140, learning_rate=0.07, max_leaf_nodes=14, min_samples_leaf=80, l2_regularization=10, max_bins=64, early_stopping=False, random_state=1)
    return m.fit(np.vstack([X[j] for j in parts]), np.concatenate([Y[j] for j in parts]))


def save(path, m):
    with open(path, "w", encoding="utf-8") as o:
        o.write("# Trees of the second look by oracles/calls/train-second.py\n")
        o.write(f"base {float(np.ravel(m._baseline_prediction)[0]):.5f}\n")
        for (t,) in m._predictors:
            o.write("tree\n")
            for n in t.nodes:
                if n["is_leaf"]: o.write(f"leaf {n['value']:.4f}\n")
                else: o.write(f"{n['feature_idx']} {min(n['num_threshold'], 1e9):.6g} {int(n['missing_go_to_left'])} {n['left']} {n['right']}\n")


POS = {"margin", "want", "trend", "rivalMove"}
tp, np_, nt = (collections.Counter() for _ in range(3))
L = lambda z, y: np.logaddexp(0, -(2 * y - 1) * z).sum()
if not os.environ.get("FOLDS_ONLY"): save(out + ".txt", grow([0, 1, 2, 3]))
for k in only:
    m = grow([j for j in range(4) if j != k]); save(out + f"-{k}.txt", m)
    z = m.decision_function(X[k]); print(k, "log loss: first look", round(L(X[k][:, 0], Y[k])), "second", round(L(z, Y[k])), flush=True)
    for line in open(f"{os.path.dirname(prefix)}/truth-{k}.tsv"):
        p = line.rstrip("\n").split("\t")
        for t in p[1:]: nt[(p[0][0], t)] += 1
    taken, done = collections.defaultdict(set), set()
    for i in np.argsort(-z):
        if z[i] < -0.6: break
        src, truth, a, b, t = rows[k][i]
        if any(q in taken[src] for q in range(a, b + 1)): continue
        taken[src].update(range(a, b + 1)); np_[(src[0], t)] += 1
        if truth and (src, truth) not in done: done.add((src, truth)); tp[(src[0], t)] += 1
for part, name in (("b", "bank"), ("f", "races with cues")):
    r = []
    for label, sel in (("position", lambda t: t in POS), ("all", lambda t: t != "spirit")):
        a, b, c = (sum(v for (s, t), v in q.items() if s == part and sel(t)) for q in (tp, np_, nt))
        r.append(f"{label} P {a/max(1,b):.3f} R {a/max(1,c):.3f} F {2*a/max(1,b+c):.3f}")
    print(name, "(greedy, crew left open where unnamed):", "; ".join(r))
