"""Scores candidates with the rules of the corpus's own scorers, on lines and on races."""
import collections, importlib.util, json, os, sys
import numpy as np
import data, model
from earlib import *

spec = importlib.util.spec_from_file_location("score_calls", os.path.join(data.CORPUS, "score-calls.py"))
sc = importlib.util.module_from_spec(spec); spec.loader.exec_module(sc)
POSITION = {"margin", "want", "trend", "rivalMove"}


def same(a, b):
    return a["type"] == b["type"] and all(a.get(f) == b.get(f) for f in sc.DECISIVE[a["type"]])


def merge(cands, reach=3):
    """Candidates of one type close to each other are one call whose place is in doubt: the likeliest place takes the sum."""
    out = []
    for t, name, p, call, pf in sorted(cands, key=lambda c: -c[2]):
        for o in out:
            if o[1] == name and abs(o[0] - t) <= reach and (name not in ("count", "margin") and not (name in ("command", "technique")) or same(o[3], call) or (o[2] + p < 1.05 and name != "count")):
                o[2] = min(.995, o[2] + p); break
        else: out.append([t, name, p, call, pf])
    return out


def tally(pred, truth, acc):
    used = set()
    for c in truth:
        acc["n", c["type"]] += 1
        close = [k for k, p in enumerate(pred) if k not in used and p["type"] == c["type"]]
        good = [k for k in close if all(sc.equal(f, pred[k].get(f), c) for f in sc.DECISIVE[c["type"]])]
        if close: acc["l", c["type"]] += 1
        if good: used.add(good[0]); acc["t", c["type"]] += 1
    for p in pred: acc["p", p["type"]] += 1
    return used


def report(acc, label=""):
    def prf(types):
        t, p, n, l = (sum(acc[k, x] for x in types) for k in "tpnl")
        a, b = t / max(p, 1), t / max(n, 1)
        return n, p, round(a, 3), round(b, 3), round(2 * a * b / max(a + b, 1e-9), 3), round(l / max(n, 1), 3)
    rows = {k: prf([k]) for k in sc.DECISIVE}
    rows["all"] = prf([k for k in sc.DECISIVE if k != "spirit"]); rows["numbers"] = prf(sorted(sc.QUANTITATIVE)); rows["position"] = prf(sorted(POSITION))
    return rows
