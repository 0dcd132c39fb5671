"""Features of the learned ear: the same rules as src/Stakeboat.Core/Calls/Learned, line by line."""
import re
from functools import lru_cache

TYPES = ["rate", "rateChange", "pace", "distance", "time", "strokesTo", "count", "margin", "want", "trend", "rivalMove",
         "move", "shift", "command", "steer", "technique", "conditions", "spirit"]
TYPE_ID = {t: i for i, t in enumerate(TYPES)}
REF = [None, "1", "2", "3", "4", "5", "6", "7", "8", "cox", "bow", "stern"]
OUR = ["boat"] + REF[1:]
FIELDS = {  # (type, field): classes
    ("rate", "sense"): ["now", "wanted"],
    ("rateChange", "sign"): ["up", "down"],
    ("distance", "sense"): ["gone", "left"],
    ("time", "sense"): ["gone", "untilEvent"],
    ("strokesTo", "to"): ["finish", "mark", "sprint", "move", "stop", "end", "other"],
    ("margin", "our"): OUR,
    ("margin", "their"): REF,
    ("margin", "side"): [None, "ahead", "behind", "level"],
    ("margin", "openWater"): [False, True],
    ("margin", "mirror"): [False, True],
    ("want", "their"): REF,
    ("trend", "who"): ["us", "them"],
    ("shift", "to"): ["start", "settle", "lengthen", "build", "sprint"],
    ("command", "do"): ["row", "stop", "holdWater", "back", "touch", "sitReady", "pressure", "switch", "drill"],
    ("command", "who"): ["all", "sternPair", "bowPair", "sternFour", "bowFour", "middleFour", "sternSix", "bowSix", "port", "starboard",
                         "1", "2", "3", "4", "5", "6", "7", "8"],
    ("steer", "side"): ["port", "starboard", "none"],
    ("steer", "how"): ["rudder", "pressure", "point"],
    ("technique", "topic"): ["catch", "finish", "legs", "length", "hands", "posture", "ratio", "set", "timing", "clean", "breathing"],
    ("conditions", "what"): ["headWind", "tailWind", "crossWind", "wake", "chop", "flat"],
}
FIELD_KEYS = list(FIELDS)
CREW_TYPES = ["margin", "want", "trend", "rivalMove"]
PHASES = ["before", "race", "practice", "after"]
HALFWAY = -1.0


def _grid():
    seats = [None] + [k / 4 for k in range(1, 17)] + [k / 2 for k in range(9, 25)]
    lengths = [None, .0625, .125, .25, .33, .375, .5, .67, .75, .875, 1, 1.25, 1.33, 1.5, 1.67, 1.75, 2, 2.25, 2.5, 2.75, 3, 3.5, 4, 4.5, 5, 6, 7, 8, 10]
    gap = [None] + [round(k * .3048, 2) for k in (.5, 1, 1.5, 2, 3, 4, 5, 6, 8, 10, 12, 15, 20)] + [.5, 1., 1.5] + [float(k) for k in range(2, 21)]
    return {
        "rate": [k / 2 for k in range(32, 97)],
        "by": [.5, 1, 1.5, 2, 2.5, 3, 4, 5, 6],
        "in": [None, 1, 2, 3, 4, 5, 10], "over": [None, 1, 2, 3, 4, 5, 6, 8, 10],
        "pace": [float(k) for k in range(84, 150)],
        "distance": [HALFWAY] + [float(k) for k in range(50, 2001, 50)],
        "time": [10., 15., 20., 30., 40., 45., 60., 90., 120., 150., 180., 210., 240., 270., 300., 360., 420.],
        "strokesTo": [float(k) for k in range(1, 21)] + [25., 30., 40.],
        "count": [float(k) for k in range(1, 21)],
        "seats": seats, "lengths": lengths, "gap": gap,
        "wantSeats": seats, "trendSeats": seats,
        "move": [None, 1., 2., 3., 4., 5., 6., 7., 8., 10., 12., 15., 20., 25., 30., 40.],
    }


QUANTITIES = _grid()
QUANT_KEYS = list(QUANTITIES)
QUANT_OF = {  # type -> (quantity, field)
    "rate": [("rate", "spm")], "rateChange": [("by", "by"), ("in", "inStrokes"), ("over", "overStrokes")], "pace": [("pace", "secPer500")],
    "distance": [("distance", "metres")], "time": [("time", "seconds")], "strokesTo": [("strokesTo", "strokes")], "count": [("count", "n")],
    "margin": [("seats", "seats"), ("lengths", "lengths"), ("gap", "metres")], "want": [("wantSeats", "seats")],
    "trend": [("trendSeats", "seats")], "move": [("move", "strokes")],
}
TOLERANCE = {"rate": .26, "pace": .5, "seats": .13, "lengths": .03, "gap": .16, "wantSeats": .13, "trendSeats": .13}

# ---- tokens ---------------------------------------------------------------------------------------------------------------

_TOKEN = re.compile(r"[a-z0-9']+(?:[.:/][0-9]+)*")


def tokenise(text):
    """-> [(token, break_before)] ; hyphens divide, marks set the flag of the next word."""
    text = text.lower().replace("’", "'")
    out, at = [], 0
    for m in _TOKEN.finditer(text):
        w = m.group().strip("'")
        if not w:
            continue
        gap = text[at:m.start()]
        out.append((w, at == 0 or any(c in gap for c in ".,;!?:\n")))
        at = m.end()
    return out


def lookup(word, vocab):
    """The vocabulary's index of a word: itself, without 's, else 1 (unknown). 0 is nothing."""
    i = vocab.get(word)
    if i is not None:
        return i
    if word.endswith("'s"):
        i = vocab.get(word[:-2])
        if i is not None:
            return i
    if word.endswith("s") and len(word) > 4:
        i = vocab.get(word[:-1])
        if i is not None:
            return i
    return 1


CHARS = "abcdefghijklmnopqrstuvwxyz0123456789'.:/"
MAXCHARS = 14


def char_ids(word):
    ids = [CHARS.find(c) + 1 for c in word[:MAXCHARS]]
    return ids + [0] * (MAXCHARS - len(ids))


# ---- numbers ----------------------------------------------------------------------------------------------------------------

UNITS = {"zero": 0, "oh": 0, "one": 1, "two": 2, "three": 3, "four": 4, "five": 5, "six": 6, "seven": 7, "eight": 8, "nine": 9}
SOUNDS = {"to": 2, "too": 2, "for": 4, "fore": 4, "won": 1, "tree": 3, "free": 3, "threw": 3, "ate": 8, "hate": 8, "sex": 6, "sick": 6, "sicks": 6,
          "sticks": 6, "fife": 5, "fine": 5, "heaven": 7, "line": 9, "nein": 9, "then": 10, "tan": 10, "tin": 10, "floor": 4,
          "forty's": 40, "plenty": 20, "dirty": 30, "fitty": 50}
TEENS = {"ten": 10, "eleven": 11, "twelve": 12, "thirteen": 13, "fourteen": 14, "fifteen": 15, "sixteen": 16, "seventeen": 17, "eighteen": 18,
         "nineteen": 19}
TENS = {"twenty": 20, "thirty": 30, "forty": 40, "fourty": 40, "fifty": 50, "sixty": 60, "seventy": 70, "eighty": 80, "ninety": 90}
FRACTIONS = {"half": .5, "have": .5, "quarter": .25, "third": .33, "quarters": .25, "thirds": .33}
SPECIAL = {"couple": 2, "dozen": 12}
_INT = re.compile(r"^[0-9]{1,5}$")
_DEC = re.compile(r"^([0-9]{1,3})\.([0-9]{1,2})$")
_CLOCK = re.compile(r"^([0-9]{1,2}):([0-9]{2})$")
_FRAC = re.compile(r"^([0-9])/([0-9])$")


def atom(w):
    """-> (kind, value, sounds_like) ; kind: u unit, e teen, t tens, h hundred, k thousand, f fraction, d digits, c clock, x decimal, s special, '' none."""
    if w.endswith("'s"):
        w = w[:-2]
    if w in UNITS: return "u", UNITS[w], False
    if w in TEENS: return "e", TEENS[w], False
    if w in TENS: return "t", TENS[w], False
    if w == "hundred" or w == "hundreds": return "h", 100, False
    if w == "thousand": return "k", 1000, False
    if w in FRACTIONS: return "f", FRACTIONS[w], w == "have"
    if w in SPECIAL: return "s", SPECIAL[w], False
    if w in SOUNDS:
        v = SOUNDS[w]
        return ("u" if v < 10 else "e" if v < 20 else "t"), v, True
    if _INT.match(w): return "d", int(w), False
    m = _DEC.match(w)
    if m: return "x", int(m.group(1)) + int(m.group(2)) / (10 if len(m.group(2)) == 1 else 100), False
    m = _CLOCK.match(w)
    if m: return "c", int(m.group(1)) * 60 + int(m.group(2)), False
    m = _FRAC.match(w)
    if m and m.group(2) != "0":
        v = int(m.group(1)) / int(m.group(2))
        return "f", (.33 if abs(v - 1 / 3) < .01 else .67 if abs(v - 2 / 3) < .01 else v), False
    return "", 0, False


ATOM_KINDS = "uethkfdcxs"
NUMBER_DIMS = 10 + 1 + 10 + 11 + 4


def number_features(w):
    """One-hots: kind(10), sounds like(1), units(10), tens 0..9 or more(11), size of digits(4)."""
    f = [0.0] * NUMBER_DIMS
    kind, v, s = atom(w)
    if not kind:
        return f
    f[ATOM_KINDS.index(kind)] = 1.0
    if s: f[10] = 1.0
    if kind in "uetd" and v < 100:
        f[11 + int(v) % 10] = 1.0
        f[21 + int(v) // 10] = 1.0
    elif kind in "uetdc":
        f[31] = 1.0
    if kind in "dx":
        f[32 if v < 16 else 33 if v <= 50 else 34 if v < 100 else 35] = 1.0
    return f


def _cardinal(a, i):
    """The longest plain number that starts at i: (end, value, sounds) or None. a: atoms."""
    n = len(a)
    kind, v, s = a[i]
    if kind in ("u", "e"):
        end, value = i, v
    elif kind == "t":
        end, value = i, v
        if i + 1 < n and a[i + 1][0] in ("u", "d") and 1 <= a[i + 1][1] <= 9:
            end, value, s = i + 1, v + a[i + 1][1], s or a[i + 1][2]
    elif kind == "d":
        end, value = i, v
    elif kind in ("x", "c", "s"):
        return i, v, s
    elif kind == "h":
        end, value = i - 1, 1
    elif kind == "k":
        return i, 1000, s
    else:
        return None
    if value >= 1 and value < 100 and end + 1 < n and a[end + 1][0] == "h":
        end, value = end + 1, value * 100
        j = end + 1
        if j < n and a[j][0] == "+" and j + 1 < n and a[j + 1][0] in ("t", "e", "u"):
            j += 1
        if j < n and a[j][0] in ("t", "e", "u") and not a[j][2]:
            value += a[j][1]; end = j
            if a[j][0] == "t" and j + 1 < n and a[j + 1][0] == "u" and 1 <= a[j + 1][1] <= 9 and not a[j + 1][2]:
                value += a[j + 1][1]; end = j + 1
    elif value < 100 and end + 1 < n and a[end + 1][0] == "k":
        end, value = end + 1, max(value, 1) * 1000
    return end, value, s


SPAN_KINDS = ["plain", "pair", "elided", "clock", "fraction", "mixed"]


def number_spans(words):
    """All readings of number words: [(start, end, value, kind, sounds)] in order of start, then length."""
    a = [atom(w) for w in words]
    a = [("+", 0, False) if not x[0] and w in ("and", "in", "point", "&") else x for x, w in zip(a, words)]
    out, n = [], len(a)
    for i in range(n):
        kind, v, s = a[i]
        if not kind or kind == "+":
            continue
        if kind == "f":
            out.append((i, i, v, 4, s)); continue
        first = len(out)
        c = _cardinal(a, i)
        if c is None:
            continue
        end, value, s = c
        out.append((i, end, value, 3 if kind == "c" else 5 if kind == "x" else 0, s))
        if kind == "t" and end > i:
            out.append((i, i, v, 0, a[i][2]))
        if kind in ("u", "e", "d") and v < 100 and i + 1 < n:
            k2, v2, s2 = a[i + 1]
            if kind in ("u", "d") and v < 10 and k2 in ("u", "d") and v2 < 10:
                if 1 <= v <= 5: out.append((i, i + 1, v * 10 + v2, 1, s or s2))
                if v2 == 0 and i + 2 < n and a[i + 2][0] in ("u", "d") and a[i + 2][1] < 10:
                    out.append((i, i + 2, v * 60 + a[i + 2][1], 3, s or s2))
                if i + 2 < n and a[i + 2][0] in ("u", "d") and a[i + 2][1] < 10 and v2 < 6:
                    out.append((i, i + 2, v * 60 + v2 * 10 + a[i + 2][1], 3, s or s2 or a[i + 2][2]))
            if 1 <= v < 21 and (k2 in ("t", "e") or (k2 == "d" and 10 <= v2 < 100)):
                d = _cardinal(a, i + 1)
                if d and d[1] < 100:
                    out.append((i, d[0], v * 100 + d[1], 2, s or s2))
                    if v < 10 and d[1] < 60: out.append((i, d[0], v * 60 + d[1], 3, s or s2))
        if kind == "d" and 100 <= v < 1000 and v % 100 < 60 and v // 100 < 10:
            out.append((i, i, (v // 100) * 60 + v % 100, 3, s))
        for k in range(first, len(out)):
            st, en, value, kd, s = out[k]
            j = en + 1
            if j < n and kd in (0, 1, 3) and not (kd == 0 and kind == "h"):
                if a[j][0] == "f" and kd == 0 and words[j].endswith("s"):
                    out.append((st, j, round(value * a[j][1], 2) if value != 2 or a[j][1] != .33 else .67, 4, s))
                if words[j] in ("and", "in", "end", "an", "point", "+"):
                    j2 = j + 1
                    if j2 < n and words[j2] in ("a", "ah", "the", "of"):
                        j2 += 1
                    if j2 < n:
                        if a[j2][0] == "f": out.append((st, j2, value + a[j2][1], 5, s))
                        elif words[j2] in ("bit", "change", "bits"): out.append((st, j2, value + .25, 5, s))
                        elif words[j] == "point" and a[j2][0] in ("u", "d") and a[j2][1] < 10: out.append((st, j2, value + a[j2][1] / 10, 5, s))
                        elif j2 + 1 < n and a[j2][0] in ("u", "d") and a[j2][1] in (2, 3) and a[j2 + 1][0] == "f":
                            out.append((st, j2 + 1, value + (.67 if a[j2 + 1][1] == .33 else a[j2][1] * a[j2 + 1][1]), 5, s))
                elif a[j][0] == "f" and a[j][1] == .5:
                    out.append((st, j, value + .5, 5, s))
                elif words[j] == "flat":
                    out.append((st, j, value, kd, s))
    return out


def candidates(quantity, spans, t):
    """Readings of the spans near token t: [(span index, transform, value)]; transform: 0 plain, 1 minutes, 2 feet, 3 a minute and, 4 canvases."""
    out = []
    for k, (st, en, v, kind, s) in enumerate(spans):
        if en < t - 9 or en > t + 2:
            continue
        if quantity == "rate":
            if 14 <= v <= 56 and (v * 2) % 1 == 0: out.append((k, 0, v))
        elif quantity == "by":
            if 0 < v <= 8: out.append((k, 0, v))
        elif quantity in ("in", "over", "count", "strokesTo", "move"):
            if 1 <= v <= (40 if quantity != "count" else 60) and v % 1 == 0: out.append((k, 0, v))
        elif quantity == "pace":
            if 75 <= v <= 180: out.append((k, 0, v))
            elif 20 <= v < 60: out.append((k, 3, 60 + v))
        elif quantity == "distance":
            if 20 <= v <= 8000: out.append((k, 0, v))
        elif quantity == "time":
            if 1 <= v <= 3600: out.append((k, 0, v))
            if .25 <= v <= 30: out.append((k, 1, v * 60))
        elif quantity in ("seats", "wantSeats", "trendSeats"):
            if 0 < v <= 14: out.append((k, 0, v))
        elif quantity == "lengths":
            if 0 < v <= 12: out.append((k, 0, v)); out.append((k, 4, v * .25))
        elif quantity == "gap":
            if 0 < v <= 60: out.append((k, 0, v)); out.append((k, 2, v * .3048))
    return out[-24:]


CAND_DIMS = 5 + 6 + 6 + 12 + 2 + 8


def candidate_features(spans, cand, t, row=None):
    k, tr, value = cand
    st, en, v, kind, s = spans[k]
    f = [0.0] * CAND_DIMS
    f[tr] = 1.0
    f[5 + kind] = 1.0
    f[11 + min(en - st, 5)] = 1.0
    f[17 + min(max(t - en + 2, 0), 11)] = 1.0
    if s: f[29] = 1.0
    f[30] = 1.0 if any(o[0] <= st and o[1] >= en and o[1] - o[0] > en - st for o in spans) else 0.0
    f[31 + (0 if v < 1 else 1 if v < 3 else 2 if v < 9 else 3 if v < 16 else 4 if v < 26 else 5 if v < 46 else 6 if v < 100 else 7)] = 1.0
    return f


def consistent(quantity, value, truth):
    if truth is None or value is None:
        return truth is None and value is None
    return abs(value - truth) <= TOLERANCE.get(quantity, .01) + 1e-9


# ---- names by sound -------------------------------------------------------------------------------------------------------------

_VOWELS = "aeiouy"


@lru_cache(maxsize=400000)
def sound_key(text):
    """Letters -> a coarse key of sounds. Consonants: b d f g j k l m n p r s t v w h S C T; vowels a e i o u."""
    s = "".join(c for c in text if "a" <= c <= "z")
    out, i, n = [], 0, len(s)
    while i < n:
        c = s[i]
        d = s[i + 1] if i + 1 < n else ""
        if c in _VOWELS and not (c == "y" and i == 0):
            v = "i" if c == "y" else c
            if not out or out[-1] not in "aeiou":
                out.append(v)
            i += 1
            continue
        step, k = 1, c
        if c == d and c not in "c": i += 1; continue
        if c == "p" and d == "h": k, step = "f", 2
        elif c == "s" and d == "h": k, step = "S", 2
        elif c == "c" and d == "h": k, step = "C", 2
        elif c == "t" and d == "h": k, step = "T", 2
        elif c == "c" and d == "k": k, step = "k", 2
        elif c == "g" and d == "h": k, step = ("g" if i == 0 else ""), 2
        elif c == "w" and d == "h": k, step = "w", 2
        elif c == "k" and d == "n" and i == 0: k, step = "n", 2
        elif c == "w" and d == "r": k, step = "r", 2
        elif c == "d" and d == "g": k, step = "j", 2
        elif c == "c": k = "s" if d and d in "eiy" else "k"
        elif c == "q": k, step = "kw", (2 if d == "u" else 1)
        elif c == "x": k = "ks" if i else "s"
        elif c == "z": k = "s"
        elif c == "y": k = "j"
        elif c == "h": k = "h" if i == 0 or s[i - 1] not in _VOWELS or (d and d in _VOWELS) else ""
        elif c == "w": k = "w" if d and d in _VOWELS else ""
        for x in k:
            if not out or out[-1] != x: out.append(x)
        i += step
    return "".join(out)


_CLOSE = {frozenset(p) for p in ("bp", "dt", "gk", "fv", "sS", "mn", "lr", "jC", "SC", "Tt", "Tf", "Td", "Ts", "kC", "wv", "wr", "gj", "bv", "sj", "dj")}


def _sub(x, y):
    if x == y: return 0.0
    vx, vy = x in "aeiou", y in "aeiou"
    if vx and vy: return .3
    if vx or vy: return 1.2
    return .45 if frozenset((x, y)) in _CLOSE else 1.0


def _del(x):
    return .4 if x in "aeiou" else .5 if x in "hwr" else .8


@lru_cache(maxsize=2000000)
def sounds_alike(a, b):
    """Likeness in [0, 1] of two keys: one less their weighted edit distance over the longer one's weight."""
    wa, wb = sum(map(_del, a)), sum(map(_del, b))
    top = max(wa, wb)
    if top <= 0 or abs(wa - wb) > .5 * top: return 0.0
    prev = [0.0]
    for y in b: prev.append(prev[-1] + _del(y))
    for x in a:
        dx = _del(x)
        cur = [prev[0] + dx]
        for j, y in enumerate(b):
            cur.append(min(prev[j] + _sub(x, y), prev[j + 1] + dx, cur[j] + _del(y)))
        prev = cur
    return max(0.0, 1.0 - prev[-1] / top)


GENERIC = {"college", "school", "academy", "club", "rowing", "university", "state", "hall", "girls", "boys", "women", "men", "tech", "the", "b", "a", "jv", "frosh", "saint", "st"}
MENTION = .6


def crew_keys(name):
    """Keys of a crew's name: the whole, without generic words, its first telling word."""
    words = [w for w in re.split(r"[^a-z]+", name.lower().replace("'", "")) if w]
    keys = ["".join(words)]
    telling = [w for w in words if w not in GENERIC]
    if telling and telling != words: keys.append("".join(telling))
    if telling and len(telling) > 1 and len(telling[0]) >= 4: keys.append(telling[0])
    if telling and len(telling) > 1 and len(telling[1]) >= 6: keys.append(telling[1])
    out = []
    for k in keys:
        k = sound_key(k)
        if len(k) >= 2 and k not in out: out.append(k)
    return out


def mentions(words, crews):
    """Where each crew is named: per crew a list of (start, end, likeness), no two overlapping, best first taken over all crews."""
    clean = [w[:-2] if w.endswith("'s") else w for w in words]
    clean = [re.sub(r"[^a-z]", "", w) for w in clean]
    found = []
    n = len(words)
    keys = [crew_keys(c) for c in crews]
    for i in range(n):
        text = ""
        for j in range(i, min(i + 4, n)):
            if not clean[j]: break
            text += clean[j]
            if len(text) > 26: break
            if len(text) < 3: continue
            key = sound_key(text)
            if len(key) < 2: continue
            for c, ks in enumerate(keys):
                for q, k in enumerate(ks):
                    s = sounds_alike(key, k)
                    if len(k) < 4: s -= .15
                    if s >= MENTION: found.append((-(s + .012 * len(k)), i, j, c, s))
    found.sort()
    taken, out = [False] * n, [[] for _ in crews]
    for _, i, j, c, s in found:
        if any(taken[i:j + 1]): continue
        for k in range(i, j + 1): taken[k] = True
        out[c].append((i, j, s))
    for m in out: m.sort()
    return out


TOKEN_EXTRA = 5 + 1 + 3 + 6 + 2


def token_extras(words, breaks, cues, crews, us, talk_of, phase, names, seats):
    """Per token: mention likeness, begins, within, of the crew talked of, us; a name; break, cue's first, cues known; phase; seats; talkOf known."""
    n = len(words)
    x = [[0.0] * TOKEN_EXTRA for _ in range(n)]
    ms = mentions(words, list(crews) + ([us] if us else []))
    for c, m in enumerate(ms):
        for i, j, s in m:
            for k in range(i, j + 1):
                if us and c == len(crews):
                    x[k][4] = s
                else:
                    x[k][0] = s
                    x[k][1 if k == i else 2] = 1.0
    nk = [sound_key(re.sub(r"[^a-z]", "", w.lower())) for w in names]
    for k in range(n):
        key = sound_key(re.sub(r"[^a-z]", "", words[k][:-2] if words[k].endswith("'s") else words[k]))
        best = 0.0
        if len(key) >= 2:
            for q in nk:
                if len(q) >= 2:
                    s = sounds_alike(key, q)
                    if s > best: best = s
        x[k][5] = best if best >= .7 else 0.0
        x[k][6] = 1.0 if breaks[k] else 0.0
        x[k][7] = 1.0 if k == 0 or cues[k] != cues[k - 1] else 0.0
        x[k][8] = 0.0
        x[k][9 + (PHASES.index(phase) if phase in PHASES else 4)] = 1.0
        x[k][14] = 1.0 if len(crews) > 0 else 0.0
        x[k][15] = 1.0 if seats == 4 else 0.0
    return x, ms[:len(crews)]


CREW_DIMS = 23


def _far(d):
    return 0 if d <= 0 else 1 if d <= 2 else 2 if d <= 5 else 3 if d <= 10 else 4 if d <= 25 else 5


def crew_rows(ms, crews, talk_of, t):
    """For the call complete at t: a feature row for "nobody" and one for each crew."""
    n = len(crews)
    last = []
    old = -1
    for k, m in enumerate(ms):
        b = None
        for i, j, s in m:
            if i <= t:
                if t - j > 25:
                    if j > old: old, talk_of = j, crews[k]
                else: b = (t - j, s)
        last.append(b)
    after = []
    for m in ms:
        b = None
        for i, j, s in m:
            if i > t and i <= t + 8: b = (i - t, s); break
        after.append(b)
    newest = min((b[0] for b in last if b), default=None)
    rows = []
    for k in range(n + 1):
        f = [0.0] * CREW_DIMS
        if k == 0:
            f[0] = 1.0
            f[22] = 1.0 if talk_of is not None or newest is not None else 0.0
        else:
            b, c = last[k - 1], after[k - 1]
            f[1 + (_far(b[0]) if b else 6)] = 1.0
            if b: f[8] = b[1]
            if b and b[0] == newest: f[9] = 1.0
            if c:
                f[10 + min(_far(c[0]) - 1, 3)] = 1.0
                f[14] = c[1]
            f[15] = 1.0 if talk_of is not None and crews[k - 1] == talk_of and newest is None else 0.0
            f[16] = 1.0 if talk_of is not None and crews[k - 1] == talk_of else 0.0
            f[22] = 1.0 if newest is None and talk_of is None else 0.0
        f[17 + min(n, 3)] = 1.0 if n <= 3 else 0.0
        f[21] = 1.0 if n > 3 else 0.0 if k == 0 else f[21]
        rows.append(f)
    return rows

# ---- a faster twin of sounds_alike where a C compiler built it (EAR_ALIKE names the library) ------------------------------------------
import ctypes as _ct, os as _os
if _os.environ.get("EAR_ALIKE"):
    _lib = _ct.CDLL(_os.environ["EAR_ALIKE"]); _lib.alike.restype = _ct.c_double; _lib.alike.argtypes = [_ct.c_char_p, _ct.c_char_p]
    sounds_alike_slow = sounds_alike

    @lru_cache(maxsize=1000000)
    def sounds_alike(a, b):
        return _lib.alike(a.encode(), b.encode())
