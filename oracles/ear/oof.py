"""What the ear does on voices it was not trained on: oof.py NET0 NET1 NET2 NET3 OUTDIR (a net that is "-" is left out). Reads the bank and the races of each fold with the net that
left it out, fits the calibration on all of them, writes calibration.json, scores.json, candidates and the tables of the page."""
import collections, json, math, os, pickle, random, sys
import numpy as np, torch
torch.set_num_threads(1)
from earlib import *
import augment, data, evaluate, model, run, train

OUT = sys.argv[5]
os.makedirs(OUT, exist_ok=True)


def read_stream(net, vocab, seq, piece=1500):
    return evaluate.merge(model.read(net, vocab, seq))


def line_cands():
    vocab, words, vec = pickle.load(open(os.path.join(train.WORK, "vocab.pkl"), "rb"))
    bank = pickle.load(open(os.path.join(train.WORK, "bank.pkl"), "rb"))
    lines, races = [], []
    for f in range(4):
        if sys.argv[1 + f] == "-": continue
        net = model.Ear(vec); net.load_state_dict(torch.load(sys.argv[1 + f])); net.eval()
        files, folders = data.FOLDS[f]
        for x, j, before in run.in_context([x for x in bank if x["file"] in files]):
            s = augment.as_heard(j, random.Random(1))
            c = []
            if s and x["heard"]:
                s["crews"] = j["crews"]
                c = [[q[0] - before, *q[1:]] for q in evaluate.merge(model.read(net, vocab, s)) if q[0] >= before]
            lines.append((x, c))
        for r in folders:
            for plain in (True, False):
                rr = data.race(r, plain)
                if not plain and not os.path.exists(os.path.join(data.CORPUS, r, "words.json")): continue
                t = rr["tokens"]
                s = dict(words=[a[0] for a in t], breaks=[a[1] for a in t], cues=[a[2] for a in t], crews=rr["crews"], us=rr["us"], talkOf=None, phase=None,
                         names=rr["names"], seats=rr["seats"], distance=rr["distance"])
                races.append((rr, plain, evaluate.merge(model.read(net, vocab, s))))
    return lines, races


def mark_lines(lines):
    rows = []
    for x, cands in lines:
        used = set(); truth = [c for _, c in x["said_calls"]]
        for c in sorted(cands, key=lambda c: -c[2] * c[4]):
            good = next((k for k, y in enumerate(truth) if k not in used and y["type"] == c[1] and all(evaluate.sc.equal(f, c[3].get(f), y) for f in evaluate.sc.DECISIVE[y["type"]])), None)
            if good is not None: used.add(good)
            rows.append((c, good is not None))
    return rows


def mark_race(rr, cands):
    rows, used = [], set()
    toks, calls = rr["tokens"], rr["calls"]
    for c in sorted(cands, key=lambda c: -c[2] * c[4]):
        t = toks[c[0]][3]
        ok = lambda y: abs(y["t"] - t) <= 3 or (rr["blocks"] and evaluate.sc.block_of(y["t"], rr["blocks"]) == evaluate.sc.block_of(t, rr["blocks"]))
        good = next((k for k, y in sorted(enumerate(calls), key=lambda z: abs(z[1]["t"] - t)) if k not in used and y["type"] == c[1] and ok(y) and all(evaluate.sc.equal(f, c[3].get(f), y) for f in evaluate.sc.DECISIVE[y["type"]])), None)
        if good is not None: used.add(good)
        rows.append((c, good is not None))
    return rows


def logistic(rows):
    X = np.zeros((len(rows), 2 + len(TYPES))); y = np.zeros(len(rows))
    for i, (c, good) in enumerate(rows):
        p = min(max(c[2], 1e-6), 1 - 1e-6)
        X[i, 0] = math.log(p / (1 - p)); X[i, 1] = math.log(max(c[4], 1e-9)); X[i, 2 + TYPE_ID[c[1]]] = 1; y[i] = good
    prior = np.zeros(X.shape[1]); prior[:2] = 1
    lam = np.full(X.shape[1], 2.0); lam[:2] = .01
    w = prior.copy()
    for _ in range(40):
        q = 1 / (1 + np.exp(-X @ w)); g = X.T @ (q - y) + lam * (w - prior)
        Hs = (X * (q * (1 - q))[:, None]).T @ X + np.diag(lam)
        w -= np.linalg.solve(Hs, g)
    return w


def prob(w, c):
    p = min(max(c[2], 1e-6), 1 - 1e-6)
    return 1 / (1 + math.exp(-(w[0] * math.log(p / (1 - p)) + w[1] * math.log(max(c[4], 1e-9)) + w[2 + TYPE_ID[c[1]]])))


if __name__ == "__main__":
    lines, races = line_cands()
    rows = mark_lines(lines)
    for rr, plain, c in races:
        if plain: rows += mark_race(rr, c)
    w = logistic(rows)
    json.dump({"present": round(float(w[0]), 5), "fields": round(float(w[1]), 5), "type": [round(float(v), 5) for v in w[2:]]}, open(os.path.join(OUT, "calibration.json"), "w"))
    # calibration: probabilities of each file of voices from a fit to the other files
    table = collections.defaultdict(lambda: [0, 0, 0.0])
    files_read = sorted({l[0]["file"] for l in lines})
    for held in files_read:
        files, folders = [held], (sorted({rr["name"] for rr, _, _ in races}) if held == files_read[0] else [])
        a = mark_lines([l for l in lines if l[0]["file"] not in files]); b = mark_lines([l for l in lines if l[0]["file"] in files])
        for rr, plain, c in races:
            if plain: (b if rr["name"] in folders else a).extend(mark_race(rr, c))
        wf = logistic(a)
        for c, good in b:
            p = prob(wf, c); k = min(int(p * 10), 9); table[k][0] += 1; table[k][1] += good; table[k][2] += p
    print("| given | candidates | mean given | right |"); print("|---|---|---|---|")
    for k in range(10):
        n, g, s = table[k]
        if n: print(f"| .{k}-{'1.0' if k == 9 else '.' + str(k + 1)} | {n} | {s / n:.3f} | {g / n:.3f} |")
    scores = {}
    for bar in (.3, .35, .4, .45, .5):
        acc = collections.Counter()
        for x, cands in lines:
            evaluate.tally([c[3] for c in cands if prob(w, c) >= bar], [c for _, c in x["said_calls"]], acc)
        r = evaluate.report(acc); print("lines", bar, "all", r["all"], "numbers", r["numbers"], "position", r["position"])
        if bar == .4: scores["lines"] = r
    per = {}
    for f in files_read:
        acc = collections.Counter()
        for x, cands in lines:
            if x["file"] == f: evaluate.tally([c[3] for c in cands if prob(w, c) >= .4], [c for _, c in x["said_calls"]], acc)
        r = evaluate.report(acc); per[f"voices-{f}"] = {k: r[k] for k in ("all", "numbers", "position")}
    scores["files"] = per
    tot = {True: collections.Counter(), False: collections.Counter()}
    for rr, plain, cands in races:
        pred = []
        for c in sorted(cands, key=lambda c: c[0]):
            if prob(w, c) >= .4: pred.append({"t": round(rr["tokens"][c[0]][3], 2), **c[3]})
        base = os.path.join(train.WORK, "pred.jsonl")
        with open(base, "w") as fh:
            for p in pred: fh.write(json.dumps(p) + "\n")
        args = [sys.executable, os.path.join(data.CORPUS, "score-calls.py"), base, os.path.join(data.CORPUS, rr["name"], "calls.jsonl"), "--json"]
        if rr["blocks"]: args += ["--blocks", os.path.join(data.CORPUS, rr["name"], "captions.txt")]
        import subprocess
        s = json.loads(subprocess.run(args, capture_output=True, text=True).stdout)
        scores[f"{rr['name']} {'captions' if plain else 'words'}"] = {k: s[k] for k in ("all but spirit", "with numbers", "position")}
        print(rr["name"], "captions" if plain else "words", {k: s[k]["f1"] for k in ("all but spirit", "with numbers", "position")})
        for k, v in s.items():
            tot[plain][k, "t"] += round(v["recall"] * v["true"]); tot[plain][k, "n"] += v["true"]; tot[plain][k, "p"] += v["predicted"]
    for plain in (True, False):
        print("races", "captions" if plain else "words", {k: round(2 * tot[plain][k, "t"] / max(tot[plain][k, "n"] + tot[plain][k, "p"], 1), 3) for k in ("all but spirit", "with numbers", "position")})
    print("| type | labelled | predicted | precision | recall | F1 | found |"); print("|---|---|---|---|---|---|---|")
    for k, v in scores["lines"].items(): print("|", k, "|", " | ".join(str(z) for z in v), "|")
    json.dump(scores, open(os.path.join(OUT, "scores.json"), "w"), indent=0)
    with open(os.path.join(OUT, "lines.jsonl"), "w") as fh:
        for x, cands in lines:
            for c in sorted(cands, key=lambda c: c[0]):
                if prob(w, c) >= .02:
                    call = {k: v for k, v in c[3].items() if v is not None and v is not False and k != "type"}
                    fh.write(json.dumps([x["file"], x["line"], c[0], c[1], round(prob(w, c), 3), call], separators=(",", ":")) + "\n")
    with open(os.path.join(OUT, "races.jsonl"), "w") as fh:
        for rr, plain, cands in races:
            for c in sorted(cands, key=lambda c: c[0]):
                if plain and prob(w, c) >= .02:
                    call = {k: v for k, v in c[3].items() if v is not None and v is not False and k != "type"}
                    fh.write(json.dumps([rr["name"], round(rr["tokens"][c[0]][3], 2), c[0], c[1], round(prob(w, c), 3), call], separators=(",", ":")) + "\n")
