"""Labelled lines and races as token sequences with calls at tokens."""
import glob, json, os, re
from earlib import *

HERE = os.path.dirname(os.path.abspath(__file__))
CORPUS = os.path.join(HERE, "..", "..", "data", "corpus")
FOLDS = [([1, 2, 3], ["autumn-lake-8", "dual-8"]), ([4, 5, 6], ["estuary-4", "long-river-head"]),
         ([7, 8, 9], ["masters-1000", "practice-morning"]), ([10, 11, 12], ["school-quad-1500", "spring-canal-8w"])]
DIGITS = {v: k for k, v in {**UNITS, **TEENS, **TENS}.items()}


def plain(word):
    """A key to compare a said and a heard word by."""
    w = word[:-2] if word.endswith("'s") else word
    if _isnum(w): w = DIGITS.get(int(w), w)
    return sound_key(w) or w


def _isnum(w): return w.isdigit() and len(w) < 4


def align(said, heard):
    """Token alignment by sound: list of (said indices, heard indices) segments in order (1-1, 1-2, 2-1, 1-0, 0-1)."""
    n, m = len(said), len(heard)
    ks, kh = [plain(w) for w in said], [plain(w) for w in heard]
    INF = 1e9
    D = [[INF] * (m + 1) for _ in range(n + 1)]; B = [[None] * (m + 1) for _ in range(n + 1)]
    D[0][0] = 0
    for i in range(n + 1):
        for j in range(m + 1):
            d = D[i][j]
            if d >= INF: continue
            for a, b in ((1, 1), (1, 2), (2, 1), (2, 2), (1, 0), (0, 1), (1, 3), (3, 1), (3, 2), (2, 3)):
                if i + a > n or j + b > m: continue
                if a == 0 or b == 0: c = .75
                elif a == 1 and b == 1: c = 0 if said[i] == heard[j] else 1.25 * (1 - sounds_alike(ks[i], kh[j]))
                else:
                    s = sounds_alike("".join(ks[i:i + a]), "".join(kh[j:j + b]))
                    c = (.12 + 1.3 * (1 - s)) * max(a, b)
                if d + c < D[i + a][j + b]:
                    D[i + a][j + b] = d + c; B[i + a][j + b] = (a, b)
    out, i, j = [], n, m
    while i or j:
        a, b = B[i][j]
        out.append((list(range(i - a, i)), list(range(j - b, j))))
        i, j = i - a, j - b
    return out[::-1]


def at_index(words, phrase, start=0):
    """Index of the last word of the phrase in words, searched from start on, else from the beginning, else None."""
    p = [w for w, _ in tokenise(phrase)]
    for lo in (start, 0):
        for i in range(lo, len(words) - len(p) + 1):
            if words[i:i + len(p)] == p: return i + len(p) - 1
    return None


def clean_call(c):
    d = {k: v for k, v in c.items() if k not in ("at", "t", "text")}
    return d


def bank(files):
    """-> lines: dict(file, line, run, crews, talkOf, phase, said tokens, said calls, heard tokens, heard calls)."""
    out = []
    for f in files:
        for i, row in enumerate(open(os.path.join(CORPUS, "phrases", f"voices-{f}.jsonl"), encoding="utf-8"), 1):
            r = json.loads(row)
            st, ht = tokenise(r["said"]), tokenise(r["heard"])
            said, heard = [w for w, _ in st], [w for w, _ in ht]
            seg = align(said, heard)
            to = {}
            lastj = -1
            for a, b in seg:
                if b: lastj = b[-1]
                for x in a: to[x] = max(lastj, 0)
            calls_s, calls_h, at = [], [], 0
            for c in r["calls"]:
                k = at_index(said, c["at"], at)
                if k is None: k = len(said) - 1
                # repeated at: the next place
                calls_s.append((k, clean_call(c)))
                if heard: calls_h.append((to.get(k, len(heard) - 1), clean_call(c)))
            # a call said in words that were dropped altogether cannot be learned from the heard line
            out.append(dict(file=f, line=i, run=r.get("run"), crews=r["crews"], talkOf=r["talkOf"], phase=r["phase"], us=None, names=[],
                            said=st, said_calls=calls_s, heard=ht, heard_calls=calls_h, seg=seg))
    return out


def _seconds(s):
    p = s.replace(",", ".").split(":")
    v = 0.0
    for x in p: v = v * 60 + float(x)
    return v


def race_tokens(folder, source="captions"):
    """-> tokens [(word, break, cue, end time)] of a race folder's "captions", its "words" or what its "recogniser" wrote, and the block starts if blocks."""
    d = os.path.join(CORPUS, folder)
    cues = []
    blocks = None
    if source == "words":
        js = json.load(open(os.path.join(d, "words.json"), encoding="utf-8"))
        toks = []
        for ci, s in enumerate(js["segments"]):
            for w in s["words"]:
                for k, (t, b) in enumerate(tokenise(w["word"])): toks.append([t, w["word"], ci, w["end"]])
        out = []
        for i, (t, raw, ci, e) in enumerate(toks):
            b = i == 0 or ci != toks[i - 1][2] or any(c in toks[i - 1][1] for c in ".,;!?:")
            out.append((t, b, ci, e))
        return out, None
    for name in ("captions.vtt", "captions.srt") if source == "captions" else ("recogniser.srt",):
        p = os.path.join(d, name)
        if os.path.exists(p):
            txt = open(p, encoding="utf-8").read().replace("\r", "")
            for block in re.split(r"\n\s*\n", txt):
                m = re.search(r"([0-9:.,]+)\s+-->\s+([0-9:.,]+)[^\n]*\n(.*)", block, re.S)
                if m: cues.append((_seconds(m.group(1)), _seconds(m.group(2)), m.group(3).replace("\n", " ")))
    p = os.path.join(d, "captions.txt")
    if source == "captions" and not cues and os.path.exists(p):
        blocks = []
        for block in re.split(r"\n(?=\[)", open(p, encoding="utf-8").read()):
            m = re.match(r"\s*\[([0-9:]+)\]\s*(.*)", block, re.S)
            if m: blocks.append(_seconds(m.group(1))); cues.append([_seconds(m.group(1)), None, m.group(2).replace("\n", " ")])
        for i, c in enumerate(cues): c[1] = cues[i + 1][0] if i + 1 < len(cues) else c[0] + 20
    out = []
    for ci, (a, b, text) in enumerate(cues):
        ts = tokenise(text)
        total = sum(len(w) + 1 for w, _ in ts) or 1
        n = 0
        for w, br in ts:
            n += len(w) + 1
            out.append((w, br, ci, a + (b - a) * n / total))
    return out, blocks


SOURCES = {"captions": None, "words": "words.json", "recogniser": "recogniser.srt"}


def race(folder, source="captions"):
    d = os.path.join(CORPUS, folder)
    info = json.load(open(os.path.join(d, "race.json"), encoding="utf-8"))
    us = info.get("us")
    crews = [c for c in list(info.get("lanes", {}).values()) + info.get("crews", []) if c != us]
    crews = list(dict.fromkeys(crews))
    toks, blocks = race_tokens(folder, source)
    calls = [json.loads(l) for l in open(os.path.join(d, "calls.jsonl"), encoding="utf-8")]
    seats = info.get("geometry", {}).get("seats", 8)
    return dict(name=folder, us=us, crews=crews, seats=seats, distance=info.get("distance"), names=info.get("crewWords", {}).get("names", []),
                tokens=toks, blocks=blocks, calls=calls)


def race_labels(r):
    """Places the calls of a race on tokens: monotone, near their times, words of their line preferred. -> [(token, call)]"""
    toks = r["tokens"]
    keys = [plain(w) for w, *_ in toks]
    n = len(toks)
    places, floor = [], 0
    group_end = {}
    calls = r["calls"]
    spread = 4.0 if not r["blocks"] else 24.0
    # each distinct line is laid on the tokens near its time
    i = 0
    floor = 0
    while i < len(calls):
        j = i
        while j + 1 < len(calls) and calls[j + 1]["text"] == calls[i]["text"] and calls[j + 1]["t"] - calls[j]["t"] < 8: j += 1
        line = [w for w, _ in tokenise(calls[i]["text"])]
        lk = [plain(w) for w in line]
        t0, t1 = calls[i]["t"] - spread - .35 * len(line), calls[j]["t"] + spread
        lo = next((k for k in range(n) if toks[k][3] >= t0), n - 1); hi = next((k for k in range(n - 1, -1, -1) if toks[k][3] <= t1), 0)
        lo = max(lo, floor)
        if hi < lo: hi = min(lo + len(line) + 3, n - 1)
        # local alignment of the line within the window
        W = keys[lo:hi + 1]
        a, b = len(lk), len(W)
        S = [[0.0] * (b + 1) for _ in range(a + 1)]; P = [[None] * (b + 1) for _ in range(a + 1)]
        best = (0, 0, 0)
        for x in range(1, a + 1):
            for y in range(1, b + 1):
                s = sounds_alike(lk[x - 1], W[y - 1]); v = S[x - 1][y - 1] + (2 * s - .9); q = "d"
                if S[x - 1][y] - .45 > v: v, q = S[x - 1][y] - .45, "u"
                if S[x][y - 1] - .45 > v: v, q = S[x][y - 1] - .45, "l"
                if v < 0: v, q = 0.0, None
                S[x][y], P[x][y] = v, q
                if v > best[0] + 1e-9: best = (v, x, y)
        pairs = {}
        _, x, y = best
        while x and y and P[x][y]:
            if P[x][y] == "d": pairs[x - 1] = lo + y - 1; x, y = x - 1, y - 1
            elif P[x][y] == "u": x -= 1
            else: y -= 1
        if pairs: first, last = min(pairs.values()), max(pairs.values())
        else: first, last = lo, hi
        # extend to the line's ends
        if pairs:
            first = max(lo, first - min(pairs)); last = min(n - 1, last + (len(line) - 1 - max(pairs)))
        group = calls[i:j + 1]
        for q, c in enumerate(group):
            # the share of the line's time at which the call is complete: the last token of the line for the last call unless times say otherwise
            near = min(range(first, last + 1), key=lambda k: abs(toks[k][3] - c["t"])) if not r["blocks"] else last if q == len(group) - 1 else first + (last - first) * (q + 1) // len(group)
            places.append((near, clean_call(c), (first, last), c["t"]))
        if pairs: floor = max(floor, first)
        i = j + 1
    return places


if __name__ == "__main__":
    b = bank(range(1, 13))
    print(len(b), sum(len(x["heard_calls"]) for x in b))
    for x in b[:6]: print([w for w, _ in x["heard"]], x["heard_calls"], x["seg"])
    r = race("autumn-lake-8")
    for k, c, w, t in race_labels(r)[:40]: print(t, c["type"], [v for a, v in c.items() if v is not None][1:], "|", " ".join(x[0] for x in r["tokens"][w[0]:w[1] + 1]), "@", r["tokens"][k][0])
