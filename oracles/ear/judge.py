"""Judges what the nets did on what was left out of them: judge.py DIR FOLD.pkl... Fits the calibration on all of it for the weights that ship; every figure here
is from a calibration and a bar fitted without the fold that is scored. Writes calibration.json (and one for each fold from the
others), scores.json and the candidates with their probabilities."""
import collections, json, math, os, pickle, sys
import numpy as np
from earlib import *
import data, evaluate

POSITION = ["margin", "want", "trend", "rivalMove"]
NUMBERS = sorted(evaluate.sc.QUANTITATIVE)
ALL = [k for k in evaluate.sc.DECISIVE if k != "spirit"]


def features(c):
    p = min(max(c[2], 1e-6), 1 - 1e-6)
    return math.log(p / (1 - p)), math.log(max(c[4], 1e-9))


def logistic(rows):
    """Slope on presence, slope on the fields, an offset for each type; ridge towards 1, 1, 0 (Newton's method)."""
    X = np.zeros((len(rows), 2 + len(TYPES))); y = np.zeros(len(rows))
    for i, (c, good) in enumerate(rows):
        X[i, :2] = features(c); X[i, 2 + TYPE_ID[c[1]]] = 1; y[i] = good
    prior = np.zeros(X.shape[1]); prior[:2] = 1
    lam = np.full(X.shape[1], 2.0); lam[:2] = .01
    w = prior.copy()
    for _ in range(40):
        q = 1 / (1 + np.exp(-X @ w)); g = X.T @ (q - y) + lam * (w - prior)
        w -= np.linalg.solve((X * (q * (1 - q))[:, None]).T @ X + np.diag(lam), g)
    return w


def prob(w, c):
    a, b = features(c)
    return 1 / (1 + math.exp(-(w[0] * a + w[1] * b + w[2 + TYPE_ID[c[1]]])))


def rows_of(fold):
    return [r for l in fold["lines"] for r in l[2]] + [(c, good) for f, source, rows, calls in fold["races"] if source == "captions" for c, t, good in rows]


def tally_of(fold, w, bar, acc, what):
    """Counts labels, found and right of a fold's lines or races of one source."""
    groups = [(l[2], l[3]) for l in fold["lines"]] if what == "lines" else [([(c, good) for c, t, good in rows], calls) for f, source, rows, calls in fold["races"] if source == what]
    for rows, truth in groups:
        for y in truth: acc["n", y["type"]] += 1
        for c, good in rows:
            if prob(w, c) >= bar: acc["p", c[1]] += 1; acc["t", c[1]] += good


def f1(acc, types):
    t, p, n = (sum(acc[k, x] for x in types) for k in "tpn")
    return round(2 * t / max(p + n, 1), 3)


def three(acc):
    return {"position": f1(acc, POSITION), "numbers": f1(acc, NUMBERS), "all": f1(acc, ALL)}


if __name__ == "__main__":
    out = sys.argv[1]; os.makedirs(out, exist_ok=True)
    folds = [pickle.load(open(p, "rb")) for p in sys.argv[2:]]
    def write(w, name): json.dump({"present": round(float(w[0]), 5), "fields": round(float(w[1]), 5), "type": [round(float(v), 5) for v in w[2:]]}, open(os.path.join(out, name), "w"))
    write(logistic([r for f in folds for r in rows_of(f)]), "calibration.json")
    table = collections.defaultdict(lambda: [0, 0, 0.0]); spoilt = collections.defaultdict(lambda: [0, 0, 0.0])
    total = {k: collections.Counter() for k in ("lines", *data.SOURCES)}
    scores, fl, fr = {}, [], []
    for f in folds:
        others = [g for g in folds if g is not f] or [f]
        wf = logistic([r for g in others for r in rows_of(g)])
        write(wf, f"calibration-{f['fold']}.json")
        best = None
        for bar in (.3, .35, .4, .45, .5):
            acc = collections.Counter()
            for g in others:
                for what in ("lines", "captions"): tally_of(g, wf, bar, acc, what)
            s = f1(acc, ALL)
            if best is None or s > best[0]: best = (s, bar)
        bar = best[1]
        for what in total:
            acc = collections.Counter(); tally_of(f, wf, bar, acc, what); total[what].update(acc)
            scores[f"fold {f['fold']} {what}"] = three(acc)
        print("fold", f["fold"], "bar", bar, {k: v for k, v in scores.items() if k.startswith(f"fold {f['fold']} ")})
        for what in ("files", "races"):
            names = sorted({l[0] for l in f["lines"]}) if what == "files" else sorted({r[0] for r in f["races"]})
            for n in names:
                sub = {"lines": [l for l in f["lines"] if l[0] == n], "races": [r for r in f["races"] if r[0] == n]}
                for source in (["lines"] if what == "files" else [r[1] for r in sub["races"]]):
                    acc = collections.Counter(); tally_of(sub, wf, bar, acc, source); scores[f"voices-{n}" if what == "files" else f"{n} {source}"] = three(acc)
        for c, good in rows_of(f):
            p = prob(wf, c); k = min(int(p * 10), 9); table[k][0] += 1; table[k][1] += good; table[k][2] += p
        for name, source, rows, calls in f["races"]:
            for c, t, good in rows:
                p = prob(wf, c)
                if source == "recogniser": k = min(int(p * 10), 9); spoilt[k][0] += 1; spoilt[k][1] += good; spoilt[k][2] += p
                if p >= .02: fr.append([name, source, t, c[0], c[1], round(p, 3), {k: v for k, v in c[3].items() if v is not None and v is not False and k != "type"}])
        for file, line, rows, truth in f["lines"]:
            for c, good in rows:
                p = prob(wf, c)
                if p >= .02: fl.append([file, line, c[0], c[1], round(p, 3), {k: v for k, v in c[3].items() if v is not None and v is not False and k != "type"}])
    for what, acc in total.items():
        scores[what] = three(acc); print(what, scores[what])
    print("| type | labelled | predicted | precision | recall | F1 |\n|---|---|---|---|---|---|")
    for what in ("lines", "captions"):
        acc = total[what]
        for k in ALL:
            if acc["n", k]: print(f"| {what} {k} | {acc['n', k]} | {acc['p', k]} | {acc['t', k] / max(acc['p', k], 1):.3f} | {acc['t', k] / acc['n', k]:.3f} | {f1(acc, [k])} |")
    for name, t in (("plain", table), ("recogniser", spoilt)):
        print(f"| {name}: given | candidates | mean given | right |\n|---|---|---|---|")
        for k in range(10):
            n, g, s = t[k]
            if n: print(f"| .{k}-{'1.0' if k == 9 else '.' + str(k + 1)} | {n} | {s / n:.3f} | {g / n:.3f} |")
    json.dump(scores, open(os.path.join(out, "scores.json"), "w"), indent=0)
    for name, rows in (("lines.jsonl", fl), ("races.jsonl", fr)):
        with open(os.path.join(out, name), "w") as fh:
            for r in rows: fh.write(json.dumps(r, separators=(",", ":")) + "\n")
