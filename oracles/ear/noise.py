"""Spoils true lines the way captions do: a table of what was heard for what was said, and neighbours by sound."""
import collections, ctypes, os, pickle, random, re, subprocess
import numpy as np
from earlib import *

WORK = os.environ["EAR_WORK"]
VOWELS = "AA AE AH AO AW AY EH ER EY IH IY OW OY UH UW".split()
CONS = "B CH D DH F G HH JH K L M N NG P R S SH T TH V W Y Z ZH".split()
PH = {p: i for i, p in enumerate(VOWELS + CONS)}
NP = len(PH)


def costs():
    sub = np.ones((NP, NP), np.float32)
    cls = {}
    for group in ("P B", "T D", "K G", "F V", "S Z", "SH ZH", "CH JH", "TH DH", "M N NG", "L R", "W R", "F TH", "D DH", "TH T", "S SH", "SH CH", "V W", "V B", "HH F", "Y IY", "JH ZH"):
        g = group.split()
        for a in g:
            for b in g:
                if a != b: cls[a, b] = .35
    for a in PH:
        for b in PH:
            va, vb = a in VOWELS, b in VOWELS
            sub[PH[a], PH[b]] = 0 if a == b else cls.get((a, b), .9) if not va and not vb else .4 if va and vb else 1.4
    for a, b in (("IH", "IY"), ("AH", "UH"), ("AA", "AO"), ("EH", "AE"), ("AH", "IH"), ("UH", "UW"), ("AH", "AA"), ("EH", "EY"), ("AH", "EH"), ("ER", "AH"), ("OW", "AO"), ("EH", "IH")):
        sub[PH[a], PH[b]] = sub[PH[b], PH[a]] = .2
    dele = np.full(NP, .75, np.float32)
    for a in "HH AH IH".split(): dele[PH[a]] = .45
    return sub, dele


class Sounds:
    def __init__(self, top):
        """top: words by frequency that a recogniser may write."""
        self.dict = {}
        for line in open(os.path.join(WORK, "x-cmu-pronouncing-dictionary-3.0.0.tgz/package/index.js"), encoding="utf-8"):
            m = re.match(r"\s*(?:\"([^\"]+)\"|'([^']+)'|([a-z]+)): ['\"]([A-Z0-9 ]+)['\"]", line)
            if m:
                w = (m.group(1) or m.group(2) or m.group(3)).replace("\\", "")
                self.dict[w] = [PH[re.sub(r"\d", "", p)] for p in m.group(4).split()]
        self.words = [w for w in top if w in self.dict and len(self.dict[w]) < 12 and (len(w) > 2 or w in ("a", "i", "to", "in", "on", "up", "of", "it", "is", "we", "be", "he", "my", "so", "or", "us", "at", "an", "as", "do", "go", "no", "by", "me", "am", "if", "oh", "ah"))]
        self.rank = {w: i for i, w in enumerate(self.words)}
        n = len(self.words)
        self.keys = np.zeros((n, 12), np.uint8); self.len = np.zeros(n, np.int32)
        for i, w in enumerate(self.words):
            p = self.dict[w]; self.len[i] = len(p); self.keys[i, :len(p)] = p
        self.sub, self.dele = costs()
        self.lib = ctypes.CDLL(os.environ["EAR_ALIKE"])
        self.cache = {}

    def near(self, phones, k=8, limit=2.0):
        q = np.array(phones, np.uint8)
        best = np.zeros(k, np.int32); cost = np.zeros(k, np.float32)
        p = lambda a: a.ctypes.data_as(ctypes.c_void_p)
        self.lib.nearest(p(q), len(q), p(self.keys), p(self.len), len(self.words), 12, p(self.sub), p(self.dele), NP, ctypes.c_float(limit), p(best), p(cost), k)
        return [(self.words[b], float(c)) for b, c in zip(best, cost) if b >= 0]

    def phones(self, words):
        out = []
        for w in words:
            base = w[:-2] if w.endswith("'s") and w not in self.dict else w
            p = self.dict.get(w) or self.dict.get(base)
            if p is None: return None
            out += p
            if base != w and w.endswith("'s"): out = out + [PH["Z"]]
        return out

    def neighbours(self, words):
        """What may be heard for one or two words: [(heard words, cost)]; cached."""
        key = " ".join(words)
        if key in self.cache: return self.cache[key]
        self.cache[key] = r = self.of_phones(self.phones(words), key)
        return r

    def of_phones(self, p, key=""):
        if not p or len(p) > 22: return []
        out = []
        lim = .33 * len(p) + .35
        if len(p) <= 12: out += [([w], c + .00004 * self.rank[w]) for w, c in self.near(p, 8, lim) if w != key]
        if len(p) >= 5:
            cuts = range(2, len(p) - 1)
            for c in cuts:
                if len(p[:c]) > 11 or len(p[c:]) > 11: continue
                a = self.near(p[:c], 2, .28 * c + .25); b = self.near(p[c:], 2, .28 * (len(p) - c) + .25)
                for x, cx in a:
                    for y, cy in b:
                        if x + " " + y != key: out.append(([x, y], cx + cy + .25 + .00004 * (self.rank[x] + self.rank[y])))
        out.sort(key=lambda z: z[1])
        return out[:10]


IPA = [("tʃ", "CH"), ("dʒ", "JH"), ("aɪ", "AY"), ("aʊ", "AW"), ("eɪ", "EY"), ("oʊ", "OW"), ("əʊ", "OW"), ("ɔɪ", "OY"), ("ɪə", "IY"), ("eə", "EH"), ("ʊə", "UH"), ("ɜː", "ER"), ("ɚ", "ER"), ("ɝ", "ER"), ("iː", "IY"), ("uː", "UW"), ("ɑː", "AA"), ("ɔː", "AO"), ("ɛ", "EH"), ("æ", "AE"), ("a", "AE"), ("ə", "AH"), ("ɐ", "AH"), ("ʌ", "AH"), ("ɪ", "IH"), ("i", "IY"), ("ʊ", "UH"), ("u", "UW"), ("ɒ", "AA"), ("ɔ", "AO"), ("o", "OW"), ("e", "EH"), ("ɑ", "AA"), ("p", "P"), ("b", "B"), ("t", "T"), ("ɾ", "D"), ("d", "D"), ("k", "K"), ("ɡ", "G"), ("g", "G"), ("f", "F"), ("v", "V"), ("θ", "TH"), ("ð", "DH"), ("s", "S"), ("z", "Z"), ("ʃ", "SH"), ("ʒ", "ZH"), ("h", "HH"), ("x", "K"), ("m", "M"), ("n", "N"), ("ŋ", "NG"), ("l", "L"), ("ɹ", "R"), ("r", "R"), ("w", "W"), ("j", "Y"), ("ɬ", "L")]


def speak(names):
    """Phonemes of names by espeak-ng, in one call."""
    r = subprocess.run(["espeak-ng", "-q", "--ipa", "-v", "en-us"], input="\n".join(names), capture_output=True, text=True).stdout.strip().split("\n")
    out = []
    for line in r:
        s, p = line.replace("ˈ", "").replace("ˌ", "").replace(" ", ""), []
        while s:
            for a, b in IPA:
                if s.startswith(a): p.append(PH[b]); s = s[len(a):]; break
            else: s = s[1:]
        out.append(p)
    return out if len(out) == len(names) else [[] for _ in names]


class Noise:
    def __init__(self, sounds, lines):
        """lines: aligned lines (said, heard, seg) from which the table of confusions is counted."""
        self.sounds = sounds
        t = collections.defaultdict(collections.Counter)
        for x in lines:
            s = [w for w, _ in x["said"]]; h = [w for w, _ in x["heard"]]
            seg = x["seg"]
            for i in range(len(seg)):
                for k in (1, 2, 3):
                    if i + k > len(seg): break
                    a = tuple(s[q] for g in seg[i:i + k] for q in g[0]); b = tuple(h[q] for g in seg[i:i + k] for q in g[1])
                    if k > 1 and a == b: continue
                    if a and len(a) <= 3: t[a][b] += 1
        self.table = {a: [(b, n) for b, n in c.items()] for a, c in t.items() if any(b != a for b in c)}
        self.names = {}

    def learn_names(self, names):
        todo = [n for n in names if n not in self.names]
        for n, p in zip(todo, speak(todo)):
            self.names[n] = [h for h, c in self.sounds.of_phones(p)] if len(p) >= 3 else []

    def name(self, n, rng, level):
        """How a crew's name is heard."""
        words = [w for w, _ in tokenise(n)]
        heard = self.names.get(n)
        if not heard or rng.random() > level: return words
        return heard[min(int(rng.expovariate(.4)), len(heard) - 1)]

    def spoil(self, words, rng, level, digits):
        """-> (heard words, index of the last heard word for each said word)."""
        out, to, i, n = [], [], 0, len(words)
        while i < n:
            w = words[i]
            done = 0
            if digits and rng.random() < .8:
                d = digitise(words, i, rng)
                if d:
                    out.append(d[0]); to += [len(out) - 1] * d[1]; i += d[1]; continue
            if rng.random() < level * 1.6:
                for k in (3, 2, 1):
                    g = tuple(words[i:i + k])
                    if len(g) < k: continue
                    c = self.table.get(g)
                    if c and (k == 1 or rng.random() < .7):
                        b = rng.choices([x for x, _ in c], [y ** .7 for _, y in c])[0]
                        if b != g or k == 1:
                            out += b; to += [max(len(out) - 1, 0)] * k; i += k; done = 1
                            break
                if done: continue
            if rng.random() < level * .75:
                k = 2 if i + 1 < n and rng.random() < .35 else 1
                c = self.sounds.neighbours(tuple(words[i:i + k]))
                if c:
                    b = c[min(int(rng.expovariate(.55)), len(c) - 1)][0]
                    out += b; to += [len(out) - 1] * k; i += k; continue
            if rng.random() < level * .06:
                to.append(max(len(out) - 1, 0)); i += 1; continue
            out.append(w); to.append(len(out) - 1); i += 1
            if rng.random() < level * .03: out.append(rng.choice(["the", "a", "and", "uh", "in", "to", "it", "is", "of"]))
        return out, to


def digitise(words, i, rng):
    """Digits for number words that start at i: (text, words used) or None."""
    best = None
    for st, en, v, kind, s in number_spans(words[i:i + 6]):
        if st != 0 or s or kind > 3: continue
        if kind == 1 and rng.random() < .5: continue
        if kind == 3 and v >= 60 and v < 600:
            t = f"{int(v) // 60}:{int(v) % 60:02d}" if rng.random() < .7 else f"{int(v) // 60}{int(v) % 60:02d}"
        elif v == int(v): t = str(int(v))
        else: continue
        if best is None or en > best[2] or (en == best[2] and rng.random() < .4): best = (t, en + 1, en)
    if best and best[2] == 0 and rng.random() < .4: return None
    return best and best[:2]
