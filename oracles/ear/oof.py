"""What a net does on the fold that was left out of it: oof.py FOLD NET OUT.pkl. Every candidate with its place, raw probabilities and whether it is right,
for the lines of the bank and for the races as plain captions, with word times and as the recogniser wrote them."""
import os, pickle, random, sys
import torch
from earlib import *
import data, evaluate, model, run, train


def mark(cands, truth, near=lambda c, y: True):
    """[(candidate, right)]: likeliest first, each label used once."""
    rows, used = [], set()
    for c in sorted(cands, key=lambda c: -c[2] * c[4]):
        good = next((k for k, y in truth(c) if k not in used and y["type"] == c[1] and near(c, y) and all(evaluate.sc.equal(f, c[3].get(f), y) for f in evaluate.sc.DECISIVE[y["type"]])), None)
        if good is not None: used.add(good)
        rows.append((list(c), good is not None))
    return sorted(rows, key=lambda r: r[0][0])


def race_seq(r):
    t = r["tokens"]
    return dict(words=[a[0] for a in t], breaks=[a[1] for a in t], cues=[a[2] for a in t], crews=r["crews"], us=r["us"], talkOf=None, phase=None, names=r["names"], seats=r["seats"], distance=r["distance"])


def near(r):
    toks = r["tokens"]
    return lambda c, y: abs(y["t"] - toks[c[0]][3]) <= 3 or (r["blocks"] and evaluate.sc.block_of(y["t"], r["blocks"]) == evaluate.sc.block_of(toks[c[0]][3], r["blocks"]))


if __name__ == "__main__":
    fold, path, out = sys.argv[1:4]
    files, folders = data.FOLDS[int(fold)]
    vocab, words, vec = pickle.load(open(os.path.join(train.WORK, "vocab.pkl"), "rb"))
    net = model.Ear(vec); net.load_state_dict(torch.load(path)); net.eval()
    bank = pickle.load(open(os.path.join(train.WORK, "bank.pkl"), "rb"))
    lines, races = [], []
    for x, cands in run.read_lines(net, vocab, [x for x in bank if x["file"] in files]):
        truth = [c for _, c in x["said_calls"]]
        lines.append((x["file"], x["line"], mark(evaluate.merge(cands), lambda c: enumerate(truth)), truth))
    for f in folders:
        for source, need in data.SOURCES.items():
            if need and not os.path.exists(os.path.join(data.CORPUS, f, need)): continue
            r = data.race(f, source)
            toks = r["tokens"]
            if not toks: continue
            rows = mark(evaluate.merge(model.read(net, vocab, race_seq(r))), lambda c: sorted(enumerate(r["calls"]), key=lambda z: abs(z[1]["t"] - toks[c[0]][3])), near(r))
            races.append((f, source, [(c, round(toks[c[0]][3], 2), good) for c, good in rows], r["calls"]))
    pickle.dump({"fold": int(fold), "lines": lines, "races": races}, open(out, "wb"))
    print(fold, len(lines), len(races))
