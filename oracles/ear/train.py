"""Trains the ear. train.py FOLD|all [--epochs N] [--init FILE] --out FILE"""
import argparse, json, os, pickle, random, sys, time
import numpy as np, torch
torch.set_num_threads(1)
from earlib import *
import augment, data, model, noise as noising

WORK = os.environ["EAR_WORK"]


def vocabulary(extra_words):
    keep, m = pickle.load(open(os.path.join(WORK, "glove.pkl"), "rb"))
    size = 15000
    words = ["", "<unknown>"] + keep[:size]
    at = {w: i for i, w in enumerate(keep)}
    have = set(words)
    more = [w for w in extra_words if w not in have]
    vec = np.zeros((len(words) + len(more), model.EMB), np.float32)
    vec[1] = m[2000:12000].mean(0)
    vec[2:2 + size] = m[:size]
    parts = {"'s": [], "'re": ["are"], "'ve": ["have"], "'ll": ["will"], "'m": ["am"], "n't": ["not"], "'d": ["would"]}
    for i, w in enumerate(more):
        k = len(words) + i
        if w in at: vec[k] = m[at[w]]; continue
        for p, e in parts.items():
            if w.endswith(p) and w[:-len(p)] in at:
                vec[k] = m[[at[w[:-len(p)]]] + [at[x] for x in e]].mean(0) * 1.3; break
    words += more
    return {w: i for i, w in enumerate(words) if w}, words, vec * .8


def races_of(folders):
    return [data.race(f) for f in folders]


def race_seqs(r, labels, rng, piece=60):
    """A race cut into pieces of some 60 words, each with what was spoken of before."""
    toks = r["tokens"]
    words = [t[0] for t in toks]
    ms = mentions(words, r["crews"])
    out, i = [], 0
    while i < len(words):
        j = min(len(words), i + rng.randint(piece // 2, piece))
        last = max(((e, c) for c, m in enumerate(ms) for s, e, _ in m if e < i), default=None)
        cl = [(t - i, c) for t, c in labels if i <= t < j]
        go = next((t for t, c in labels if c["type"] == "shift" and c.get("to") == "start"), 0)
        out.append(dict(words=words[i:j], breaks=[t[1] for t in toks[i:j]], cues=[t[2] for t in toks[i:j]], crews=r["crews"], us=r["us"],
                        talkOf=r["crews"][last[1]] if last else None, phase="race" if r["distance"] and j > go else None, names=r["names"], seats=r["seats"],
                        distance=r["distance"], calls=cl))
        i = j
    return out


def batches(seqs, rng, tokens=520, stream=.5):
    pool = list(seqs); rng.shuffle(pool)
    joined, i = [], 0
    while i < len(pool):
        k = 1 if rng.random() > stream else rng.randint(2, 5)
        joined.append(model.join(pool[i:i + k], rng)); i += k
    joined.sort(key=lambda s: len(s["idx"]) + rng.random() * 6)
    out, cur, n = [], [], 0
    for s in joined:
        cur.append(s); n += len(s["idx"])
        if n >= tokens: out.append(cur); cur, n = [], 0
    if cur: out.append(cur)
    rng.shuffle(out)
    return out


@torch.no_grad()
def settle_places(net, tab, seqs, table):
    """Labels say where a call is complete, but each hand drew the line elsewhere ("two seats up" or "two seats up on them"). Each label moves to the word
    within three that a net of generated talk finds likeliest, so that all lines follow one habit."""
    net.eval()
    wid, chars, num = tab
    moved = 0
    order = sorted(range(len(seqs)), key=lambda i: len(seqs[i]["idx"]))
    for at in range(0, len(order), 64):
        part = order[at:at + 64]
        L = max(len(seqs[i]["idx"]) for i in part)
        idx = np.zeros((len(part), L), np.int64); x = np.zeros((len(part), L, TOKEN_EXTRA), np.float32)
        for b, i in enumerate(part):
            n = len(seqs[i]["idx"]); idx[b, :n] = seqs[i]["idx"]; x[b, :n] = seqs[i]["x"]
        uniq, inv = np.unique(idx, return_inverse=True)
        u = torch.from_numpy(uniq)
        h = net.encode(net.words(wid[u], chars[u], num[u]), torch.from_numpy(inv.reshape(idx.shape)), torch.from_numpy(x), torch.tensor([len(seqs[i]["idx"]) for i in part]))
        p = torch.log(torch.sigmoid(net.present(h)) + 2e-3).numpy()
        for b, i in enumerate(part):
            s = seqs[i]; n = len(s["idx"]); taken, calls, change = set(), [], False
            for t, c in s["calls"]:
                ty = TYPE_ID[c["type"]]
                k = t
                if c["type"] != "count":
                    ks = [k for k in range(max(0, t - 3), min(n, t + 4)) if (k, ty) not in taken]
                    if ks: k = max(ks, key=lambda k: p[b, k, ty] - .25 * abs(k - t))
                taken.add((k, ty)); change |= k != t; calls.append((k, c))
            if change:
                s["calls"] = calls; model.prepare(s, table); moved += 1
    return moved


def fit(net, tab, draw, passes, lr, rng, log, seconds=1e9):
    emb = [p for n, p in net.named_parameters() if n == "emb.weight"]
    rest = [p for n, p in net.named_parameters() if n != "emb.weight"]
    opts = [torch.optim.Adam([{"params": rest, "lr": lr, "base": lr}]), torch.optim.SparseAdam([{"params": emb, "lr": lr * .12, "base": lr * .12}])]
    t0 = time.time()
    for ep in range(passes):
        bs = batches(draw(ep), rng)
        tot, parts = 0.0, {}
        net.train()
        for k, b in enumerate(bs):
            done = max((ep + k / len(bs)) / passes, min((time.time() - t0) / seconds, 1))
            f = min(1.0, (ep * len(bs) + k + 1) / 100) * (1 - .93 * done)
            for o in opts:
                for g in o.param_groups: g["lr"] = g["base"] * f
                o.zero_grad(set_to_none=True)
            loss, p, n = model.batch_loss(net, tab, b, rng)
            loss.backward()
            torch.nn.utils.clip_grad_norm_(rest, 4.0)
            for o in opts: o.step()
            tot += float(loss)
            for a, v in p.items(): parts[a] = parts.get(a, 0) + v
        print(f"{log} pass {ep} loss {tot / len(bs):.4f} {({a: round(v) for a, v in parts.items()})} {time.time() - t0:.0f}s", flush=True)
        if time.time() - t0 > seconds: break
