"""The net: words and their letters -> two layers of gated recurrence both ways -> what is complete at each word, with which fields."""
import math, random
import numpy as np, torch, torch.nn as nn, torch.nn.functional as F
from earlib import *

H, CH_EMB, CH_OUT, Z = 96, 16, 48, 128
EMB = 100
IN = EMB + CH_OUT + NUMBER_DIMS + TOKEN_EXTRA


class Ear(nn.Module):
    def __init__(self, vectors):
        super().__init__()
        self.emb = nn.Embedding.from_pretrained(torch.tensor(vectors), freeze=False, padding_idx=0, sparse=True)
        self.cemb = nn.Embedding(len(CHARS) + 1, CH_EMB, padding_idx=0)
        self.conv = nn.Conv1d(CH_EMB, CH_OUT, 3, padding=1)
        self.gru = nn.GRU(IN, H, 2, batch_first=True, bidirectional=True)
        self.present = nn.Linear(2 * H, len(TYPES))
        self.z = nn.Linear(2 * H, Z)
        self.fields = nn.Linear(Z, sum(len(FIELDS[k]) for k in FIELD_KEYS))
        self.quants = nn.Linear(Z, sum(len(QUANTITIES[k]) for k in QUANT_KEYS))
        self.q_here = nn.Linear(2 * H, 48); self.q_span = nn.Linear(2 * H, 48); self.q_feat = nn.Linear(CAND_DIMS, 48)
        self.q_kind = nn.Embedding(len(QUANT_KEYS), 48); self.q_out = nn.Linear(48, 1)
        self.c_here = nn.Linear(2 * H, 32); self.c_span = nn.Linear(2 * H, 32, bias=False); self.c_feat = nn.Linear(CREW_DIMS, 32); self.c_kind = nn.Embedding(len(CREW_TYPES), 32); self.c_out = nn.Linear(32, 1)
        self.drop = nn.Dropout(.35)
        nn.init.constant_(self.present.bias, -4.5); nn.init.normal_(self.c_span.weight, std=.02)
        o, self.f_at = 0, {}
        for k in FIELD_KEYS: self.f_at[k] = (o, o + len(FIELDS[k])); o += len(FIELDS[k])
        o, self.q_at = 0, {}
        for k in QUANT_KEYS: self.q_at[k] = (o, o + len(QUANTITIES[k])); o += len(QUANTITIES[k])

    def words(self, wid, chars, numf):
        """Rows for distinct words."""
        c = self.conv(self.cemb(chars).transpose(1, 2))
        mask = (chars > 0).unsqueeze(1)
        c = torch.where(mask, c, torch.full_like(c, -1e4)).max(2).values.clamp_min(0)
        return torch.cat([self.emb(wid), c, numf], 1)

    def encode(self, rows, idx, extra, lengths):
        x = torch.cat([rows[idx], extra], 2)
        x = F.dropout(x, .2, self.training)
        p = nn.utils.rnn.pack_padded_sequence(x, lengths, batch_first=True, enforce_sorted=False)
        h, _ = self.gru(p)
        h, _ = nn.utils.rnn.pad_packed_sequence(h, batch_first=True)
        return h


class Table:
    """Distinct words of all sequences."""
    def __init__(self, vocab):
        self.vocab, self.index, self.wid, self.chars, self.num = vocab, {}, [], [], []
        self.add("")

    def add(self, w):
        i = self.index.get(w)
        if i is None:
            i = self.index[w] = len(self.wid)
            self.wid.append(lookup(w, self.vocab) if w else 0); self.chars.append(char_ids(w)); self.num.append(number_features(w) if w else [0.0] * NUMBER_DIMS)
        return i

    def tensors(self):
        return torch.tensor(self.wid), torch.tensor(self.chars), torch.tensor(self.num, dtype=torch.float32)


def truth_of(c, seq):
    """Class targets of a call: fields {key: class}, quantities [(key, value or None)]."""
    t = c["type"]
    f = {}
    if t == "rateChange": f["rateChange", "sign"] = 0 if c["by"] > 0 else 1
    for key in FIELD_KEYS:
        if key[0] != t or key[1] == "sign": continue
        v = c.get(key[1])
        if key[1] == "openWater" or key[1] == "mirror": v = bool(v)
        if v is not None and not isinstance(v, bool): v = str(v)
        if key == ("steer", "side") and v is None: v = "none"
        if v in FIELDS[key]: f[key] = FIELDS[key].index(v)
    q = []
    for quantity, field in QUANT_OF.get(t, []):
        v = c.get(field)
        if quantity == "by": v = abs(v)
        q.append((quantity, float(v) if v is not None else None))
    return f, q


def prepare(seq, table):
    """A sequence ready for batches."""
    words = seq["words"]
    x, ms = token_extras(words, seq["breaks"], seq["cues"], seq["crews"], seq.get("us"), seq.get("talkOf"), seq.get("phase"), seq.get("names") or [], seq.get("seats", 8))
    seq["idx"] = np.array([table.add(w) for w in words], np.int64)
    seq["x"] = np.array(x, np.float32)
    spans = number_spans(words)
    y = np.zeros((len(words), len(TYPES)), np.float32)
    events = []
    for t, c in seq["calls"]:
        y[t, TYPE_ID[c["type"]]] = 1
        f, q = truth_of(c, seq)
        qs = []
        for quantity, v in q:
            cl = QUANTITIES[quantity]
            okc = [consistent(quantity, k, v) for k in cl]
            if quantity == "distance" and v is not None:
                half = (seq.get("distance") or 2000) / 2
                okc[0] = v == half and any(w.startswith(("half", "have", "middle", "way")) for w in words[max(0, t - 4):t + 2])
            cs = candidates(quantity, spans, t)
            okk = [v is not None and consistent(quantity, k[2], v) for k in cs]
            if not any(okc) and not any(okk): continue
            feats = [candidate_features(spans, k, t) for k in cs]
            where = [(spans[k[0]][0], spans[k[0]][1]) for k in cs]
            qs.append((QUANT_KEYS.index(quantity), okc, okk, feats, where))
        crew = None
        if c["type"] in CREW_TYPES:
            rows = crew_rows(ms, seq["crews"], seq.get("talkOf"), t)
            target = 0
            if c.get("crew"):
                if c["crew"] in seq["crews"]: target = 1 + seq["crews"].index(c["crew"])
                else: target = -1
            if target >= 0: crew = (CREW_TYPES.index(c["type"]), rows, target, crew_spots(ms, t))
        events.append((t, c["type"], f, qs, crew))
    seq["y"], seq["events"] = y, events
    return seq


def crew_spots(ms, t):
    """Where each crew was last named up to word t, else where it is named within eight words after it, else -1; nobody's is -1."""
    out = [-1]
    for m in ms:
        k = -1
        for i, j, s in m:
            if i <= t: k = i
            elif k < 0 and i <= t + 8: k = i; break
        out.append(k)
    return out


def join(parts, rng):
    """Several prepared lines as one stream."""
    if len(parts) == 1: return parts[0]
    off, ev = 0, []
    xs = []
    for p in parts:
        for t, ty, f, qs, crew in p["events"]:
            ev.append((t + off, ty, f, [(a, b, c, d, [(s + off, e + off) for s, e in w]) for a, b, c, d, w in qs],
                       crew and (*crew[:3], [k + off if k >= 0 else k for k in crew[3]])))
        xs.append(p["x"])
        off += len(p["idx"])
    x = np.concatenate(xs)
    return dict(idx=np.concatenate([p["idx"] for p in parts]), x=x, y=np.concatenate([p["y"] for p in parts]), events=ev)


def batch_loss(net, tab, batch, rng, train=True, drop_word=.1):
    wid, chars, num = tab
    L = max(len(s["idx"]) for s in batch); B = len(batch)
    idx = np.zeros((B, L), np.int64); x = np.zeros((B, L, TOKEN_EXTRA), np.float32); y = np.zeros((B, L, len(TYPES)), np.float32); mask = np.zeros((B, L, 1), np.float32)
    for b, s in enumerate(batch):
        n = len(s["idx"]); idx[b, :n] = s["idx"]; x[b, :n] = s["x"]; y[b, :n] = s["y"]; mask[b, :n] = 1
        if train:
            r = rng.random()
            if r < .45: x[b, :, 6] = 0
            if r < .75: x[b, :, 7] = 0
            if rng.random() < .25: x[b, :, 9:13] = 0; x[b, :, 13] = 1
            if rng.random() < .25: x[b, :, 5] = 0
    uniq, inv = np.unique(idx, return_inverse=True)
    u = torch.from_numpy(uniq)
    uw = wid[u].clone()
    if train and drop_word:
        gone = torch.rand(len(uw)) < drop_word
        uw[gone & (uw > 1)] = 1
    rows = net.words(uw, chars[u], num[u])
    h = net.encode(rows, torch.from_numpy(inv.reshape(B, L)), torch.from_numpy(x), torch.tensor([len(s["idx"]) for s in batch]))
    h = net.drop(h)
    logit = net.present(h)
    bce = F.binary_cross_entropy_with_logits(logit, torch.from_numpy(y), weight=torch.from_numpy(mask), reduction="sum")
    flat = h.reshape(B * L, -1)
    ev_pos, fk = [], {}
    qe, ce = [], []
    for b, s in enumerate(batch):
        for t, ty, f, qs, crew in s["events"]:
            e = len(ev_pos); ev_pos.append(b * L + t)
            for k, v in f.items(): fk.setdefault(k, []).append((e, v))
            for q in qs: qe.append((e, b, q))
            if crew: ce.append((e, b, crew))
    loss = bce
    parts = {"bce": float(bce)}
    if ev_pos:
        he = flat[torch.tensor(ev_pos)]
        z = net.drop(torch.relu(net.z(he)))
        fl = net.fields(z)
        lf = 0.0
        for k, l in fk.items():
            a, o = net.f_at[k]
            w = 1.0
            lf = lf + F.cross_entropy(fl[torch.tensor([e for e, _ in l]), a:o], torch.tensor([v for _, v in l]), reduction="sum")
        loss = loss + .7 * lf; parts["f"] = float(lf)
        if qe:
            ql = net.quants(z)
            C = max((len(q[3]) for _, _, q in qe), default=0)
            M = max(len(QUANTITIES[k]) for k in QUANT_KEYS)
            N = len(qe)
            cls = torch.full((N, M), -1e9); okm = torch.zeros(N, M + max(C, 1), dtype=torch.bool)
            allm = torch.zeros(N, M + max(C, 1), dtype=torch.bool)
            cols = []
            ei = torch.tensor([e for e, _, _ in qe])
            starts = [net.q_at[QUANT_KEYS[q[0]]] for _, _, q in qe]
            col = torch.zeros(N, M, dtype=torch.long)
            feats = np.zeros((N, max(C, 1), CAND_DIMS), np.float32); sp = np.zeros((N, max(C, 1), 2), np.int64)
            for i, (e, b, q) in enumerate(qe):
                a, o = starts[i]; m = o - a
                col[i, :m] = torch.arange(a, o); allm[i, :m] = True
                okm[i, :m] = torch.tensor(q[1])
                for j, (ft, (s0, s1)) in enumerate(zip(q[3], q[4])):
                    feats[i, j] = ft; sp[i, j] = (b * L + s0, b * L + s1); allm[i, M + j] = True; okm[i, M + j] = q[2][j]
            cls = torch.gather(ql[ei], 1, col)
            hs = flat[torch.from_numpy(sp[:, :, 0])] + flat[torch.from_numpy(sp[:, :, 1])]
            kind = torch.tensor([q[0] for _, _, q in qe])
            a = torch.tanh(net.q_here(he[ei]).unsqueeze(1) + net.q_span(hs) + net.q_feat(torch.from_numpy(feats)) + net.q_kind(kind).unsqueeze(1))
            sc = torch.cat([cls, net.q_out(a).squeeze(2)], 1)
            den = torch.logsumexp(sc.masked_fill(~allm, -1e9), 1); nom = torch.logsumexp(sc.masked_fill(~okm, -1e9), 1)
            lq = (den - nom).sum()
            loss = loss + .7 * lq; parts["q"] = float(lq)
        if ce:
            C = max(len(c[1]) for _, _, c in ce); N = len(ce)
            feats = np.zeros((N, C, CREW_DIMS), np.float32); m = np.zeros((N, C), bool); spot = np.zeros((N, C), np.int64); there = np.zeros((N, C, 1), np.float32)
            for i, (e, b, c) in enumerate(ce):
                feats[i, :len(c[1])] = c[1]; m[i, :len(c[1])] = True
                for j, k in enumerate(c[3]):
                    if k >= 0: spot[i, j] = b * L + k; there[i, j] = 1
            ei = torch.tensor([e for e, _, _ in ce]); kind = torch.tensor([c[0] for _, _, c in ce])
            hs = net.c_span(flat[torch.from_numpy(spot)]) * torch.from_numpy(there)
            a = torch.tanh(net.c_here(he[ei]).unsqueeze(1) + hs + net.c_feat(torch.from_numpy(feats)) + net.c_kind(kind).unsqueeze(1))
            sc = net.c_out(a).squeeze(2).masked_fill(~torch.from_numpy(m), -1e9)
            tg = torch.tensor([c[2] for _, _, c in ce])
            w = torch.where(tg == 0, .4, 1.0)
            lc = (F.cross_entropy(sc, tg, reduction="none") * w).sum()
            loss = loss + .7 * lc; parts["c"] = float(lc)
    n = max(len(ev_pos), 1)
    return loss / (n + 6), parts, n


@torch.no_grad()
def hear(net, vocab, seq):
    """What the net makes of each word, and where crews are named."""
    words = seq["words"]
    x, ms = token_extras(words, seq["breaks"], seq["cues"], seq["crews"], seq.get("us"), seq.get("talkOf"), seq.get("phase"), seq.get("names") or [], seq.get("seats", 8))
    wid = torch.tensor([lookup(w, vocab) for w in words]); chars = torch.tensor([char_ids(w) for w in words]); num = torch.tensor([number_features(w) for w in words], dtype=torch.float32)
    rows = net.words(wid, chars, num)
    return net.encode(rows, torch.arange(len(words)).unsqueeze(0), torch.tensor(x, dtype=torch.float32).unsqueeze(0), torch.tensor([len(words)]))[0], ms


@torch.no_grad()
def read(net, tab_fn, seq, threshold=.03, extra=None):
    """All candidates of one prepared-able sequence: [(token, type, p, call, p of fields)]."""
    words = seq["words"]
    h, ms = hear(net, tab_fn, seq)
    p = torch.sigmoid(net.present(h)).numpy()
    z = torch.relu(net.z(h))
    fl, ql = net.fields(z).numpy(), net.quants(z).numpy()
    qh, qsn = net.q_here(h).numpy(), net.q_span(h).numpy() - net.q_span.bias.numpy()
    ch, cs = net.c_here(h).numpy(), net.c_span(h).numpy()
    spans = number_spans(words)
    out = []
    for t in range(len(words)):
        for ty, name in enumerate(TYPES):
            if p[t, ty] < threshold: continue
            call, pf = decode(net, name, t, fl[t], ql[t], qh, qsn, (ch[t], cs), spans, ms, seq, extra)
            out.append((t, name, float(p[t, ty]), call, pf))
    return out


def first_best(s):
    """Crews of whom nothing tells one from another score the same but for rounding: the first is taken."""
    return int(np.argmax(s >= s.max() - 1e-6))


def softmax(v):
    v = np.asarray(v, np.float64); e = np.exp(v - v.max()); return e / e.sum()


DECISIVE_P = {"rate": ["spm"], "rateChange": ["by", "sign"], "pace": ["secPer500"], "distance": ["metres", "sense"], "time": ["seconds"], "strokesTo": ["strokes"], "count": ["n"],
              "margin": ["crew", "our", "their", "seats", "lengths", "metres", "openWater", "side"], "want": ["crew"], "trend": ["crew", "who"], "rivalMove": ["crew"], "move": ["strokes"], "shift": ["to"],
              "command": ["do", "who"], "steer": ["side"], "technique": ["topic"], "conditions": ["what"], "spirit": []}


def decode(net, name, t, fl, ql, qh, qsn, ch, spans, ms, seq, extra=None):
    call, prob = {"type": name}, {}
    for key in FIELD_KEYS:
        if key[0] != name: continue
        a, b = net.f_at[key]
        s = softmax(fl[a:b]); k = int(s.argmax())
        call[key[1]] = FIELDS[key][k]; prob[key[1]] = float(s[k])
    for quantity, field in QUANT_OF.get(name, []):
        a, b = net.q_at[quantity]
        cs = candidates(quantity, spans, t)
        sc = list(ql[a:b])
        kind = net.q_kind.weight[QUANT_KEYS.index(quantity)].numpy()
        for c in cs:
            f = np.array(candidate_features(spans, c, t), np.float32)
            st, en = spans[c[0]][0], spans[c[0]][1]
            v = np.tanh(qh[t] + qsn[st] + qsn[en] + net.q_span.bias.numpy() + f @ net.q_feat.weight.numpy().T + net.q_feat.bias.numpy() + kind)
            sc.append(float(v @ net.q_out.weight.numpy()[0] + net.q_out.bias.numpy()[0]))
        s = softmax(sc)
        mass = {}
        for k, v in enumerate(QUANTITIES[quantity]):
            if v == HALFWAY: v = (seq.get("distance") or 2000) / 2
            mass[v] = mass.get(v, 0) + s[k]
        for k, c in enumerate(cs):
            v = round(c[2], 4)
            for u in mass:
                if u is not None and abs(u - v) <= TOLERANCE.get(quantity, .01) * .5: v = u; break
            mass[v] = mass.get(v, 0) + s[len(QUANTITIES[quantity]) + k]
        v = max(mass, key=lambda u: mass[u])
        call[field] = v; prob[field] = float(mass[v])
    if name in CREW_TYPES:
        rows = np.array(crew_rows(ms, seq["crews"], seq.get("talkOf"), t), np.float32)
        here, span = ch
        spot = np.stack([span[k] if k >= 0 else np.zeros(span.shape[1], np.float32) for k in crew_spots(ms, t)])
        v = np.tanh(here + spot + rows @ net.c_feat.weight.numpy().T + net.c_feat.bias.numpy() + net.c_kind.weight[CREW_TYPES.index(name)].numpy())
        s = softmax(v @ net.c_out.weight.numpy()[0] + net.c_out.bias.numpy()[0])
        k = first_best(s)
        if k == 0 and len(s) > 1:
            j = 1 + first_best(s[1:])
            if s[j] > .3: k = j
        call["crew"] = seq["crews"][k - 1] if k else None
        prob["crew"] = float(s[k])
    if name == "rateChange": call["by"] = call["by"] * (1 if call.pop("sign") == "up" else -1)
    pf = 1.0
    for f in DECISIVE_P[name]: pf *= prob.get(f, 1.0)
    if name == "margin":
        if call["mirror"] and not call["our"].isdigit(): call["mirror"] = False
        if call["our"].isdigit(): call["mirror"] = True; call["their"] = None
    return call, pf
