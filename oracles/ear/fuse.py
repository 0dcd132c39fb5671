"""Weighs the written ear and the learned one together: fuse.py PAIRS.jsonl OUT.txt. PAIRS: what each ear proposes on lines and tracks that it had not seen,
oracles/calls/leaveout --both --ears DIR --pairs PAIRS.jsonl. A logistic model of each proposal being right, from the log odds of both ears, whether they agree, and the
type; fitted on all lines and plain captions for OUT; every figure is with the fold left out of weights and bar."""
import collections, json, math, os, sys
import numpy as np
from earlib import *
import data, evaluate, judge

sc = evaluate.sc
REACH = 2
BARS = (.2, .25, .3, .35, .4, .45)
# both say it; the written ear alone; the written one against the learned; and the same two seen from the learned ear
KINDS = {"agree": 2, "written": 1, "against": 2, "learned": 1, "other": 2}
GROUPS = {"agree": 0, "written": 1, "against": 1, "learned": 2, "other": 2}
COLUMNS, n = {}, 0
for k, slopes in KINDS.items():
    COLUMNS[k] = n; n += 1 + slopes
TYPE_AT = n
WIDTH = n + 3 * len(TYPES)


def odds(p):
    p = min(max(p, .01), .99)
    return math.log(p / (1 - p))


def alike(a, b, t):
    fs = [f for f in sc.DECISIVE[t] if f != "crew"]
    return all(sc.equal(f, a.get(f), b) and sc.equal(f, b.get(f), a) for f in fs)


def proposals(written, learned):
    """[(kind, odds, type, word, call, second)]; written, learned: [(word, type, probability, call, second)]."""
    out, used = [], {}
    for w, t, p, c, s in written:
        best = None
        for k, (lw, lt, lp, lc, _) in enumerate(learned):
            if lt == t and abs(lw - w) <= REACH and (t != "count" or lc.get("n") == c.get("n")) and (best is None or lp > learned[best][2]): best = k
        if best is None: out.append(("written", (odds(p),), t, w, c, s)); continue
        lp = learned[best][2]
        if alike(c, learned[best][3], t):
            used[best] = "agree"; out.append(("agree", (odds(p), odds(lp)), t, w, c, s))
        else:
            out.append(("against", (odds(p), odds(lp)), t, w, c, s))
            if used.get(best) != "agree": used[best] = p
    for k, (w, t, p, c, s) in enumerate(learned):
        if used.get(k) == "agree" or t == "spirit": continue
        out.append(("other", (odds(p), odds(used[k])), t, w, c, s) if k in used else ("learned", (odds(p),), t, w, c, s))
    return out


def row(p):
    x = np.zeros(WIDTH)
    k = COLUMNS[p[0]]
    x[k] = 1; x[k + 1:k + 1 + len(p[1])] = p[1]
    x[TYPE_AT + GROUPS[p[0]] * len(TYPES) + TYPE_ID[p[2]]] = 1
    return x


class Item:
    """A line or a track: proposals, labels, how near in time they must be."""
    def __init__(self, props, truth, fold, blocks):
        self.props, self.truth, self.fold, self.blocks = props, truth, fold, blocks
        self.X = np.array([row(p) for p in props]).reshape(len(props), WIDTH)
        self.right = [any(self.fits(p, y) for y in truth) for p in props]

    def fits(self, p, y):
        if y["type"] != p[2] or not all(sc.equal(f, p[4].get(f), y) for f in sc.DECISIVE[p[2]]): return False
        return p[5] is None or abs(p[5] - y["t"]) <= 3 or bool(self.blocks) and sc.block_of(y["t"], self.blocks) == sc.block_of(p[5], self.blocks)


def fit(items):
    X = np.concatenate([i.X for i in items]); y = np.array([r for i in items for r in i.right], float)
    lam = np.full(WIDTH, 3.0); lam[:TYPE_AT] = .1
    w = np.zeros(WIDTH)
    for _ in range(30):
        q = 1 / (1 + np.exp(-X @ w))
        w -= np.linalg.solve((X * (q * (1 - q))[:, None]).T @ X + np.diag(lam), X.T @ (q - y) + lam * w)
    return w


def trusted(w, items):
    """The same weights with their log odds stretched and shifted so that what is chosen is right as often as it says: of several right readings of one call
    only one is."""
    z, y = [], []
    for item in items:
        used = set()
        for q, p in choose(item, w, .2):
            near = sorted(range(len(item.truth)), key=lambda k: abs(item.truth[k]["t"] - p[5])) if p[5] is not None else range(len(item.truth))
            g = next((k for k in near if k not in used and item.fits(p, item.truth[k])), None)
            if g is not None: used.add(g)
            z.append(math.log(q / (1 - q))); y.append(g is not None)
    A = np.stack([np.ones(len(z)), np.array(z)], 1); y = np.array(y, float); v = np.array([0., 1.])
    for _ in range(30):
        q = 1 / (1 + np.exp(-A @ v))
        v -= np.linalg.solve((A * (q * (1 - q))[:, None]).T @ A + 1e-6 * np.eye(2), A.T @ (q - y))
    w = w * v[1]
    for k in KINDS: w[COLUMNS[k]] += v[0]
    return w


def choose(item, w, bar):
    """Likeliest first; one call of a type within reach, one call at a word; counts may follow word by word."""
    q = 1 / (1 + np.exp(-item.X @ w)) if item.props else []
    kept = []
    for k in sorted(range(len(item.props)), key=lambda k: -q[k]):
        if q[k] < bar: break
        p = item.props[k]
        if any((abs(o[3] - p[3]) <= REACH and (p[2] != "count" or o[3] == p[3] or o[4].get("n") == p[4].get("n"))) if o[2] == p[2] else o[3] == p[3] for _, o in kept): continue
        kept.append((q[k], p))
    return kept


def cause(item, y, kept):
    """Why a label was missed: nothing of its type there, or the first deciding field that is wrong."""
    same = [p for q, p in kept if p[2] == y["type"] and (p[5] is None or abs(p[5] - y["t"]) <= 3 or item.blocks and sc.block_of(y["t"], item.blocks) == sc.block_of(p[5], item.blocks))]
    if not same: return "not found"
    wrong = min(([f for f in sc.DECISIVE[y["type"]] if not sc.equal(f, p[4].get(f), y)] for p in same), key=len)
    return " and ".join(wrong[:2]) or "said twice"


def count(items, w, bar, acc, table=None, lost=None):
    for item in items:
        used = set()
        for y in item.truth: acc["n", y["type"]] += 1
        kept = choose(item, w, bar)
        for q, p in kept:
            acc["p", p[2]] += 1
            near = sorted(range(len(item.truth)), key=lambda k: abs(item.truth[k]["t"] - p[5])) if p[5] is not None else range(len(item.truth))
            g = next((k for k in near if k not in used and item.fits(p, item.truth[k])), None)
            if g is not None: used.add(g); acc["t", p[2]] += 1
            if table is not None: b = min(int(q * 10), 9); table[b][0] += 1; table[b][1] += g is not None; table[b][2] += q
        if lost is not None:
            for k, y in enumerate(item.truth):
                if k not in used and y["type"] != "spirit": lost[y["type"], cause(item, y, kept)] += 1


if __name__ == "__main__":
    said = collections.defaultdict(lambda: ([], []))
    for l in open(sys.argv[1]):
        r = json.loads(l); said[r["source"], r.get("line")][r["ear"] == "learned"].append((r["word"], r["type"], r["p"], r, r.get("t")))
    sets = {"lines": [], "captions": [], "recogniser": []}
    names = {s for s, _ in said}
    for k, (files, folders) in enumerate(data.FOLDS):
        for f in files:
            if f"voices-{f}" not in names: continue
            for i, l in enumerate(open(os.path.join(data.CORPUS, "phrases", f"voices-{f}.jsonl"), encoding="utf-8"), 1):
                sets["lines"].append(Item(proposals(*said[f"voices-{f}", i]), json.loads(l)["calls"], (k, f"voices-{f}"), None))
        for f in folders:
            for source in ("captions", "recogniser"):
                if f"{f} {source}" not in names: continue
                r = data.race(f, "captions")
                sets[source].append(Item(proposals(*said[f"{f} {source}", None]), r["calls"], (k, f), r["blocks"] if source == "captions" else None))
    folds = sorted({i.fold[0] for i in sets["lines"]})
    part = (lambda i: i.fold[0]) if len(folds) > 1 else (lambda i: i.fold[1])
    total = collections.defaultdict(collections.Counter); tables = collections.defaultdict(lambda: collections.defaultdict(lambda: [0, 0, 0.0])); single = {}; lost = collections.defaultdict(collections.Counter)
    for k in sorted({part(i) for i in sets["lines"] + sets["captions"]}, key=str):
        a = [i for s in ("lines", "captions") for i in sets[s] if part(i) != k]
        w = trusted(fit(a), a)
        def f1(bar):
            acc = collections.Counter(); count(a, w, bar, acc); return judge.f1(acc, judge.ALL)
        bar = max(BARS, key=f1)
        for s, items in sets.items():
            for i in items:
                if part(i) != k: continue
                acc = collections.Counter(); count([i], w, bar, acc, tables[s], lost[s]); total[s].update(acc); single.setdefault(i.fold[1] + ("" if s == "lines" else " " + s), collections.Counter()).update(acc)
        print("left out", k, "bar", bar)
    for s, acc in total.items():
        print(s, judge.three(acc), "precision", round(sum(acc["t", t] for t in judge.ALL) / max(1, sum(acc["p", t] for t in judge.ALL)), 3))
        print("  " + ", ".join(f"{t} {judge.f1(acc, [t])}" for t in judge.ALL if acc["n", t]))
    for s, acc in single.items(): print(s, judge.three(acc))
    for s, table in tables.items():
        print(s, "given/right:", "  ".join(f"{table[b][2] / table[b][0]:.2f}/{table[b][1] / table[b][0]:.2f} ({table[b][0]})" for b in sorted(table)))
    every = sets["lines"] + sets["captions"]
    for s, c in lost.items(): print(s, "lost:", ", ".join(f"{t} {why} {k}" for (t, why), k in c.most_common(24)), "of", sum(c.values()))
    w = trusted(fit(every), every)
    def f1(bar):
        acc = collections.Counter(); count(every, w, bar, acc); return judge.f1(acc, judge.ALL)
    print("bar", max(BARS, key=f1))
    with open(sys.argv[2], "w") as fh:
        fh.write("# How the two ears are weighed together; written by oracles/ear/fuse.py.\n")
        for k in KINDS: fh.write(k + " " + " ".join(f"{v:.4f}" for v in w[COLUMNS[k]:COLUMNS[k] + 1 + KINDS[k]]) + "\n")
        for g, name in enumerate(("both", "writtenOnly", "learnedOnly")):
            for i, t in enumerate(TYPES): fh.write(f"{name} {t} {w[TYPE_AT + g * len(TYPES) + i]:.4f}\n")
