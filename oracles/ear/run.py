"""One training: run.py FOLD --out FILE [--init FILE] [--passes N] [--minutes M]; FOLD 0..3 leaves that fold out, 'all' leaves none."""
import argparse, collections, json, os, pickle, random, sys, time
import numpy as np, torch
torch.set_num_threads(1)
from earlib import *
import augment, data, evaluate, model, noise as noising, train


def in_context(lines, back=4):
    """Each line with up to four lines of its run before it: (line, joined, words before)."""
    for i, x in enumerate(lines):
        part = [x]
        k = i - 1
        while k >= 0 and len(part) <= back and x["run"] is not None and lines[k]["run"] == x["run"] and lines[k]["file"] == x["file"]:
            part.insert(0, lines[k]); k -= 1
        j = augment.joined(part) if len(part) > 1 else x
        yield x, j, len(j["heard"]) - len(x["heard"])


def test_lines(net, vocab, lines, acc, keep=None, bar=.5, alpha=.5):
    net.eval()
    for x, j, before in in_context(lines):
        s = augment.as_heard(j, random.Random(1))
        cands = []
        if s and x["heard"]:
            s["crews"] = j["crews"]
            cands = [(c[0] - before, *c[1:]) for c in model.read(net, vocab, s) if c[0] >= before]
        if keep is not None: keep.append((x, cands, s))
        pred = [c for t, n, p, c, pf in evaluate.merge(cands) if p * (pf ** alpha) >= bar]
        evaluate.tally(pred, [c for _, c in x["said_calls"]], acc)


if __name__ == "__main__":
    ap = argparse.ArgumentParser()
    ap.add_argument("fold"); ap.add_argument("--out"); ap.add_argument("--init"); ap.add_argument("--passes", type=int, default=8)
    ap.add_argument("--minutes", type=float, default=8); ap.add_argument("--lr", type=float, default=2e-3); ap.add_argument("--seed", type=int, default=1)
    ap.add_argument("--spoiled", type=int, default=2); ap.add_argument("--generated", default=None); ap.add_argument("--gen_share", type=float, default=.3)
    ap.add_argument("--most", type=int, default=10 ** 9)
    ap.add_argument("--no-races", action="store_true")
    a = ap.parse_args()
    rng = random.Random(a.seed); np.random.seed(a.seed); torch.manual_seed(a.seed)
    allx = pickle.load(open(os.path.join(train.WORK, "bank.pkl"), "rb")) if os.path.exists(os.path.join(train.WORK, "bank.pkl")) else data.bank(range(1, 13))
    pickle.dump(allx, open(os.path.join(train.WORK, "bank.pkl"), "wb"))
    held = data.FOLDS[int(a.fold)] if a.fold.isdigit() else ([], [])
    lines = [x for x in allx if x["file"] not in held[0]] if a.fold != "pre" else []
    test = [x for x in allx if x["file"] in held[0]]
    vocab, words, vec = pickle.load(open(os.path.join(train.WORK, "vocab.pkl"), "rb"))
    gl = pickle.load(open(os.path.join(train.WORK, "glove.pkl"), "rb"))[0]
    sounds = noising.Sounds(gl[:20000])
    nz = noising.Noise(sounds, lines)
    cache = os.path.join(train.WORK, "near.pkl")
    if os.path.exists(cache): sounds.cache = pickle.load(open(cache, "rb"))
    pool = pickle.load(open(os.path.join(train.WORK, "names.pkl"), "rb"))
    nz.names = pool["heard"]
    names = pool["names"]
    nz.learn_names(list({c for x in lines for c in x["crews"]} | {c.split()[0] for x in lines for c in x["crews"]}))
    table = model.Table(vocab)
    t0 = time.time()
    real, spoiled = [], []
    chained = augment.runs(lines, rng)
    for x in lines + chained:
        s = augment.as_heard(x, rng)
        if s: real.append(model.prepare(s, table))
        w, c = augment.marked(x)
        for k in range(a.spoiled):
            s = augment.render(w, c, x["crews"], x["talkOf"], x["phase"], nz, rng, rng.choice([.0, .1, .2, .3, .4]), name_pool=names)
            if s: spoiled.append(model.prepare(s, table))
    if not a.no_races and a.fold != "pre":
        for f in [f for g in data.FOLDS for f in g[1] if f not in held[1]]:
            r = data.race(f)
            labels = [(k, c) for k, c, _, _ in data.race_labels(r)]
            rp = os.path.join(train.WORK, f"placed-{f}.json")
            if os.path.exists(rp): labels = [tuple(z) for z in json.load(open(rp))]
            for k in range(3):
                for s in train.race_seqs(r, labels, rng): (real if k == 0 else spoiled).append(model.prepare(s, table))
    gen = []
    if a.generated:
        gen = [model.prepare(s, table) for s in pickle.load(open(a.generated, "rb"))[:a.most]]
    if a.fold != "pre": pickle.dump(sounds.cache, open(cache + a.fold, "wb"))
    print("prepared", len(real), len(spoiled), len(gen), f"{time.time() - t0:.0f}s", flush=True)
    net = model.Ear(vec)
    tab = table.tensors()
    if a.init:
        net.load_state_dict(torch.load(a.init))
        print("moved", train.settle_places(net, tab, real + spoiled, table), f"{time.time() - t0:.0f}s", flush=True)
        tab = table.tensors()

    def draw(ep):
        if a.fold == "pre": return rng.sample(gen, min(len(gen), 12000))
        base = real + rng.sample(spoiled, min(len(spoiled), len(real)))
        if gen: base = base + rng.sample(gen, min(len(gen), int(a.gen_share * len(base))))
        return base

    train.fit(net, tab, draw, a.passes, a.lr, rng, a.fold, a.minutes * 60)
    if a.out: torch.save(net.state_dict(), a.out)
    if test:
        keep = []
        acc = collections.Counter(); test_lines(net, vocab, test, acc, keep)
        for k, v in evaluate.report(acc).items(): print(f"{k:14}", v)
        for bar in (.3, .4, .5, .6):
            for alpha in (.3, .6, 1):
                acc = collections.Counter()
                for x, cands, s in keep:
                    pred = [c for t, n, p, c, pf in evaluate.merge(cands) if p * pf ** alpha >= bar]
                    evaluate.tally(pred, [c for _, c in x["said_calls"]], acc)
                r = evaluate.report(acc); print(bar, alpha, r["all"], r["position"], r["numbers"])
        pickle.dump([(x["file"], x["line"], cands) for x, cands, s in keep], open((a.out or os.path.join(train.WORK, "x")) + ".oof", "wb"))
