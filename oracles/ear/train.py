"""Data for the ear, pass by pass, and the loop that fits it."""
import json, math, os, pickle, random, sys, time
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


def groups_of(lines):
    """Lines that follow each other."""
    out = []
    for x in lines:
        if out and x["run"] is not None and x["run"] == out[-1][-1]["run"] and x["file"] == out[-1][-1]["file"]: out[-1].append(x)
        else: out.append([x])
    return out


def race_seqs(r, labels, rng, piece=90):
    """A race cut into pieces, each with what was spoken of before."""
    toks = r["tokens"]
    words = [t[0] for t in toks]
    ms = mentions(words, r["crews"])
    out, i = [], 0
    while i < len(words):
        j = min(len(words), i + rng.randint(piece // 4, piece))
        last = max(((e, c) for c, m in enumerate(ms) for s, e, _ in m if e < i), default=None)
        cl = [(t - i, c) for t, c in labels if i <= t < j]
        go = next((t for t, c in labels if c["type"] == "shift" and c.get("to") == "start"), 0)
        crews = list(r["crews"]); rng.shuffle(crews)
        out.append(dict(words=words[i:j], breaks=[t[1] for t in toks[i:j]], cues=[t[2] for t in toks[i:j]], crews=crews, us=r["us"],
                        talkOf=r["crews"][last[1]] if last else None, phase="race" if r["distance"] and j > go else None, names=r["names"], seats=r["seats"],
                        distance=r["distance"], calls=cl))
        i = j
    return out


def cut(group, rng):
    """A run of lines in stretches of one to all of its lines."""
    r = rng.random()
    if r < .3: return [group[i:i + 14] for i in range(0, len(group), 14)]
    out, i = [], 0
    while i < len(group):
        k = 1 if r < .5 else rng.randint(1, 6)
        out.append(group[i:i + k]); i += k
    return out


def pass_of(groups, nz, names, rng, share=.4):
    """Every line once: as it was captioned or spoiled afresh, in stretches of its run."""
    out = []
    for g in groups:
        for part in cut(g, rng):
            j = augment.joined(part) if len(part) > 1 else part[0]
            if rng.random() < share: s = augment.as_heard(j, rng)
            else:
                w, c = augment.marked(j)
                s = augment.render(w, c, j["crews"], j["talkOf"], j["phase"], nz, rng, rng.choice([.0, .05, .1, .2, .3, .4]), name_pool=names)
            if s: out.append(s)
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
def said(net, tab, seqs):
    """Logarithm of presence at each word of some prepared sequences."""
    wid, chars, num = tab
    L = max(len(s["idx"]) for s in seqs)
    idx = np.zeros((len(seqs), L), np.int64); x = np.zeros((len(seqs), L, TOKEN_EXTRA), np.float32)
    for b, s in enumerate(seqs):
        n = len(s["idx"]); idx[b, :n] = s["idx"]; x[b, :n] = s["x"]
    uniq, inv = np.unique(idx, return_inverse=True)
    u = torch.from_numpy(uniq)
    h = net.encode(net.words(wid[u], chars[u], num[u]), torch.from_numpy(inv.reshape(idx.shape)), torch.from_numpy(x), torch.tensor([len(s["idx"]) for s in seqs]))
    return torch.log(torch.sigmoid(net.present(h)) + 2e-3).numpy()


@torch.no_grad()
def settle_places(net, groups, table):
    """Labels say where a call is complete, but each hand drew the line elsewhere ("two seats up" or "two seats up on them"). Each label moves to the word
    within three that a net of generated talk finds likeliest in the words as said, so that all lines follow one habit."""
    net.eval()
    parts = [g[at:at + 14] for g in groups for at in range(0, len(g), 14)]
    todo = []
    for part in parts:
        j = augment.joined(part) if len(part) > 1 else part[0]
        words = [w for w, _ in j["said"]]
        s = dict(words=words, breaks=[False] * len(words), cues=[0] * len(words), crews=j["crews"], talkOf=j["talkOf"], phase=j["phase"], calls=[])
        todo.append((part, model.prepare(s, table)))
    tab = table.tensors()
    todo.sort(key=lambda t: len(t[1]["words"]))
    moved = total = 0
    for at in range(0, len(todo), 24):
        some = [t for t in todo[at:at + 24] if t[1]["words"]]
        if not some: continue
        logp = said(net, tab, [s for _, s in some])
        for k, (part, _) in enumerate(some):
            p, base = logp[k], 0
            for x in part:
                n, taken, new = len(x["said"]), set(), []
                to, lastj = {}, -1
                for a, b in x["seg"]:
                    if b: lastj = b[-1]
                    for q in a: to[q] = max(lastj, 0)
                for t, c in x["said_calls"]:
                    ty, k2 = TYPE_ID[c["type"]], t
                    if c["type"] != "count":
                        ks = [q for q in range(max(0, t - 3), min(n, t + 4)) if (q, ty) not in taken]
                        if ks: k2 = max(ks, key=lambda q: p[base + q, ty] - .25 * abs(q - t))
                    taken.add((k2, ty)); moved += k2 != t; total += 1; new.append((k2, c))
                x["said_calls"] = new
                if x["heard"]: x["heard_calls"] = [(to.get(q, len(x["heard"]) - 1), c) for q, c in new]
                base += n
    return moved, total


def fit(net, table, draw, passes, lr, rng, log):
    """draw(pass) gives the sequences of a pass, prepared with the table of words."""
    emb = [p for n, p in net.named_parameters() if n == "emb.weight"]
    rest = [p for n, p in net.named_parameters() if n != "emb.weight"]
    opts = [torch.optim.Adam([{"params": rest, "lr": lr, "base": lr}]), torch.optim.SparseAdam([{"params": emb, "lr": lr * .12, "base": lr * .12}])]
    t0 = time.time()
    for ep in range(passes):
        bs = batches(draw(ep), rng)
        tab = table.tensors(); t1 = time.time()
        tot, parts = 0.0, {}
        net.train()
        for k, b in enumerate(bs):
            done = (ep + k / len(bs)) / passes
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
        print(f"{log} pass {ep} loss {tot / len(bs):.4f} {({a: round(v) for a, v in parts.items()})} {len(bs)} batches {time.time() - t1:.0f} of {time.time() - t0:.0f}s cpu {time.process_time():.0f}", flush=True)
