"""Writes the weights for the library and the samples that hold both implementations together. export.py NET.pt WEIGHTS SAMPLES.json [CALIBRATION.json]"""
import json, os, pickle, random, struct, sys
import numpy as np, torch
from earlib import *
import augment, data, model, train

SKIP = {"emb.weight"}


def quantise(vec):
    s = np.abs(vec).max(1) / 127
    s[s == 0] = 1
    return np.clip(np.rint(vec / s[:, None]), -127, 127).astype(np.int8), s.astype(np.float32)


def rounded(net):
    """The net as the library will see it: vectors in bytes, the rest in half floats."""
    q, s = quantise(net.emb.weight.detach().numpy())
    with torch.no_grad():
        net.emb.weight.copy_(torch.tensor(q.astype(np.float32) * s[:, None]))
        for n, p in net.named_parameters():
            if n not in SKIP: p.copy_(p.half().float())
    return q, s


if __name__ == "__main__":
    path, out, samples = sys.argv[1:4]
    cal = json.load(open(sys.argv[4])) if len(sys.argv) > 4 else {"present": 1.0, "fields": 1.0, "type": [0.0] * len(TYPES)}
    vocab, words, vec = pickle.load(open(os.path.join(train.WORK, "vocab.pkl"), "rb"))
    net = model.Ear(vec); net.load_state_dict(torch.load(path)); net.eval()
    q, s = rounded(net)
    b = bytearray(struct.pack("<i", 0x31524145))
    text = "\n".join(words).encode()
    b += struct.pack("<i", len(text)) + text + struct.pack("<i", model.EMB) + s.tobytes() + q.tobytes()
    b += struct.pack("<i", len(QUANT_KEYS))
    for k in QUANT_KEYS:
        g = np.array([np.nan if v is None else v for v in QUANTITIES[k]], np.float32)
        b += struct.pack("<i", len(g)) + g.tobytes()
    ts = [(n, p.detach().numpy()) for n, p in net.named_parameters() if n not in SKIP]
    ts.append(("calibration", np.array([cal["present"], cal["fields"]] + cal["type"], np.float32)))
    b += struct.pack("<i", len(ts))
    for n, a in ts:
        b += struct.pack("<i", len(n)) + n.encode() + struct.pack("<i", a.size) + a.astype(np.float16).tobytes()
    open(out, "wb").write(b)
    print("weights", len(b))
    # samples: lines of the bank and a stretch of a race, all proposals
    rng = random.Random(5)
    bank = data.bank([2, 5, 8, 11]); seqs = []
    for x in rng.sample(bank, 48):
        h = augment.as_heard(x, random.Random(1))
        if h: h["crews"] = x["crews"]; seqs.append(h)
    r = data.race("dual-8"); t = r["tokens"][60:460]
    seqs.append(dict(words=[a[0] for a in t], breaks=[a[1] for a in t], cues=[a[2] for a in t], crews=r["crews"], us=r["us"], talkOf=None, phase="race", names=r["names"], seats=8, distance=r["distance"]))
    r = data.race("estuary-4"); t = r["tokens"][100:300]
    seqs.append(dict(words=[a[0] for a in t], breaks=[a[1] for a in t], cues=[a[2] for a in t], crews=r["crews"], us=r["us"], talkOf=None, phase=None, names=r["names"], seats=r["seats"], distance=r["distance"]))
    rows = []
    for q in seqs:
        found = []
        for tk, ty, p, call, pf in model.read(net, vocab, q):
            found.append({"token": tk, "type": ty, "present": round(p, 6), "fields": round(pf, 6), "call": {k: (round(v, 4) if isinstance(v, float) else v) for k, v in call.items() if k != "type"}})
        rows.append({k: q[k] for k in ("words", "breaks", "cues", "crews", "us", "talkOf", "phase", "names", "seats", "distance")} | {"proposals": found})
    import platform
    json.dump({"made": {"python": platform.python_version(), "torch": torch.__version__, "numpy": np.__version__}, "samples": rows}, open(samples, "w"), separators=(",", ":"))
    print("samples", len(rows), sum(len(r["proposals"]) for r in rows))
