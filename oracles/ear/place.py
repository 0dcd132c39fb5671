"""Places the calls of the races on words with a net that has seen generated talk alone. place.py NET"""
import json, math, os, pickle, sys
import torch
from earlib import *
import data, model, oof, train

vocab, words, vec = pickle.load(open(os.path.join(train.WORK, "vocab.pkl"), "rb"))
net = model.Ear(vec); net.load_state_dict(torch.load(sys.argv[1])); net.eval()
moved = total = 0
for name in [f for g in data.FOLDS for f in g[1]]:
    r = data.race(name)
    w = [t[0] for t in r["tokens"]]
    with torch.no_grad(): p = torch.sigmoid(net.present(model.hear(net, vocab, oof.race_seq(r))[0])).numpy()
    out, taken = [], set()
    for near, c, (first, last), t in data.race_labels(r):
        ty = TYPE_ID[c["type"]]
        lo, hi = max(0, min(first, near - 5)), min(len(w) - 1, max(last, near + 5))
        if r["blocks"]: lo, hi = max(0, first - 1), min(len(w) - 1, last + 1)
        best = None
        for k in range(lo, hi + 1):
            if (k, ty) in taken: continue
            a = atom(w[k])
            s = math.log(p[k, ty] + 2e-3) - .25 * abs(k - near)
            if c["type"] == "count": s += 4 if a[0] and a[1] == c["n"] else 0
            if first <= k <= last: s += .3
            if best is None or s > best[0]: best = (s, k)
        k = best[1] if best else near
        taken.add((k, ty)); total += 1; moved += k != near
        out.append((k, c))
    json.dump(out, open(os.path.join(train.WORK, f"placed-{name}.json"), "w"))
print(total, moved)
