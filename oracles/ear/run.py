"""One training: run.py FOLD --out FILE [--init FILE] [--passes N]; FOLD 0..3 leaves that fold out, 'all' leaves none, 'pre' sees generated talk alone."""
import argparse, collections, json, os, pickle, random, sys, time
import numpy as np, torch
from earlib import *
import augment, data, evaluate, model, noise as noising, train


def in_context(lines, back=14):
    """Each run of lines read at once: (lines, joined, first word of each line in the joined words)."""
    for g in train.groups_of(lines):
        for i in range(0, len(g), back):
            part = g[i:i + back]
            j = augment.joined(part) if len(part) > 1 else part[0]
            starts, n = [], 0
            for x in part: starts.append(n); n += len(x["heard"])
            yield part, j, starts + [n]


def read_lines(net, vocab, lines):
    """[(line, candidates at words of the line)]"""
    out = []
    for part, j, starts in in_context(lines):
        s = augment.as_heard(j, random.Random(1))
        cands = []
        if s:
            s["crews"] = j["crews"]
            cands = model.read(net, vocab, s)
        for k, x in enumerate(part):
            out.append((x, [(c[0] - starts[k], *c[1:]) for c in cands if starts[k] <= c[0] < starts[k + 1]]))
    return out


if __name__ == "__main__":
    ap = argparse.ArgumentParser()
    ap.add_argument("fold"); ap.add_argument("--out"); ap.add_argument("--init"); ap.add_argument("--passes", type=int, default=8)
    ap.add_argument("--lr", type=float, default=3e-3); ap.add_argument("--sets", type=int, default=4, help="spoilings are made afresh for so many passes, then taken up again")
    ap.add_argument("--seed", type=int, default=1)
    ap.add_argument("--generated", nargs="*", default=[]); ap.add_argument("--gen", type=int, nargs="*", default=[], help="sequences a pass of each generated file")
    ap.add_argument("--share", type=float, default=.4, help="stretches taken as they were captioned")
    a = ap.parse_args()
    rng = random.Random(a.seed); np.random.seed(a.seed); torch.manual_seed(a.seed)
    t0 = time.time()
    bank = pickle.load(open(os.path.join(train.WORK, "bank.pkl"), "rb")) if os.path.exists(os.path.join(train.WORK, "bank.pkl")) else data.bank(range(1, 13))
    held = data.FOLDS[int(a.fold)] if a.fold.isdigit() else ([], [])
    lines = [x for x in bank if x["file"] not in held[0]] if a.fold != "pre" else []
    test = [x for x in bank if x["file"] in held[0]]
    vocab, words, vec = pickle.load(open(os.path.join(train.WORK, "vocab.pkl"), "rb"))
    gl = pickle.load(open(os.path.join(train.WORK, "glove.pkl"), "rb"))[0]
    sounds = noising.Sounds(gl[:20000])
    cache = os.path.join(train.WORK, "near.pkl")
    if os.path.exists(cache): sounds.cache = pickle.load(open(cache, "rb"))
    nz = noising.Noise(sounds, lines)
    pool = pickle.load(open(os.path.join(train.WORK, "names.pkl"), "rb"))
    nz.names, names = pool["heard"], pool["names"]
    known = len(nz.names)
    nz.learn_names(sorted({c for x in lines for c in x["crews"]} | {c.split()[0] for x in lines for c in x["crews"]}))
    if len(nz.names) > known: pickle.dump({"names": names, "heard": nz.names}, open(os.path.join(train.WORK, "names.pkl"), "wb"))
    net = model.Ear(vec); table = model.Table(vocab)
    if a.init: net.load_state_dict(torch.load(a.init), strict=False)
    settled = (a.init or "") + ".settled"
    if a.init and lines:
        if not os.path.exists(settled):
            print("moved", train.settle_places(net, train.groups_of(bank), table), f"{time.time() - t0:.0f}s", flush=True)
            pickle.dump(bank, open(settled, "wb"))
        lines = [x for x in pickle.load(open(settled, "rb")) if x["file"] not in held[0]]
    groups = train.groups_of(lines)
    races = []
    if a.fold != "pre":
        for f in [f for g in data.FOLDS for f in g[1] if f not in held[1]]:
            races.append((data.race(f), [tuple(z) for z in json.load(open(os.path.join(train.WORK, f"placed-{f}.json")))]))
    gen = [pickle.load(open(p, "rb")) for p in a.generated]
    print("ready", len(lines), len(groups), len(races), [len(p) for p in gen], f"{time.time() - t0:.0f}s", flush=True)

    made = []

    def draw(ep):
        if len(made) == a.sets: return made[ep % a.sets]
        out = train.pass_of(groups, nz, names, rng, a.share) if groups else []
        for r, labels in races: out += train.race_seqs(r, labels, rng)
        for pile, k in zip(gen, a.gen): out += [dict(s) for s in rng.sample(pile, min(len(pile), k))]
        made.append([model.prepare(s, table) for s in out if s["words"] and len(s["words"]) < 190])
        return made[-1]

    train.fit(net, table, draw, a.passes, a.lr, rng, a.fold)
    if a.out: torch.save(net.state_dict(), a.out)
    if a.fold != "pre": pickle.dump(sounds.cache, open(cache + a.fold, "wb"))
    if test:
        net.eval()
        keep = read_lines(net, vocab, test)
        for bar in (.3, .4, .5):
            for alpha in (.6, 1):
                acc = collections.Counter()
                for x, cands in keep:
                    evaluate.tally([c for t, n, p, c, pf in evaluate.merge(cands) if p * pf ** alpha >= bar], [c for _, c in x["said_calls"]], acc)
                r = evaluate.report(acc); print(bar, alpha, "all", r["all"], "position", r["position"], "numbers", r["numbers"])
                if bar == .4 and alpha == 1:
                    for k, v in r.items(): print(f"{k:14}", v)
        pickle.dump([(x["file"], x["line"], cands) for x, cands in keep], open((a.out or os.path.join(train.WORK, "x")) + ".oof", "wb"))
