"""Coxswains' talk put together from parts. generate.py COUNT SEED OUT.pkl : spoiled sequences with labels."""
import os, pickle, random, re, sys
from earlib import *
import augment, noise as noising, train

HERE = os.path.dirname(os.path.abspath(__file__))
NUM = ["zero", "one", "two", "three", "four", "five", "six", "seven", "eight", "nine", "ten", "eleven", "twelve", "thirteen", "fourteen", "fifteen", "sixteen", "seventeen", "eighteen", "nineteen"]
TEN = {2: "twenty", 3: "thirty", 4: "forty", 5: "fifty", 6: "sixty", 7: "seventy", 8: "eighty", 9: "ninety"}
PEOPLE = "tom will george harry jack ben sam max leo finn hugo felix oscar theo archie rory callum ewan angus hamish liam noah ethan mason owen rhys gareth dylan tess jess lucy emma sophie chloe olivia mia zoe ella grace ruby isla freya maisie molly daisy poppy hannah sarah kate beth amy nina priya ravi arjun wei ling kenji yuki sven lars ingrid anders mateo diego sofia lucia carlos pierre amelie giulia marco klaus heidi tane aroha wiremu nikau kiri johan pieter anika thabo naledi zola nat dov cass jem kit dax seb wilf piers tam gray fitz ezra clem dot hux bo ash marnie tilly bex dougie mack".split()


def num(v):
    v = int(v)
    if v < 20: return NUM[v]
    if v < 100: return TEN[v // 10] + (" " + NUM[v % 10] if v % 10 else "")
    if v % 100 == 0 and v < 2000 and v != 1000: return num(v // 100) + " hundred"
    if v < 1000: return num(v // 100) + " hundred and " + num(v % 100)
    return num(v // 1000) + " thousand" + (" " + num(v % 1000) if v % 1000 else "")


def seats(r):
    k = r.random()
    w = r.choice(["seat", "seat", "seat", "seats"])
    if k < .18: return r.choice(["a seat", "one seat", "a seat", "a single seat", "one", "a full seat", "a whole seat"]), 1
    if k < .27: return r.choice(["half a seat", "half a seat", "a half seat", "half a seat maybe", "a half"]), .5
    if k < .36: return r.choice(["a seat and a half", "one and a half seats", "one and a half", "one point five seats", "a seat and half"]), 1.5
    if k < .39: return r.choice(["three quarters of a seat", "three quarter seat"]), .75
    if k < .42: return r.choice(["a quarter of a seat", "a quarter seat"]), .25
    if k < .45: return r.choice(["a seat and a bit", "a seat and change", "a seat and a quarter"]), 1.25
    if k < .47: return r.choice(["a seat and three quarters", "one and three quarter seats"]), 1.75
    n = r.choice([2, 2, 2, 3, 3, 3, 4, 4, 5, 5, 6, 7, 8])
    if k < .55: return r.choice([f"{num(n)} and a half seats", f"{num(n)} and a half", f"{num(n)} seats and a half"]), n + .5
    if k < .58: return r.choice([f"{num(n)} and a bit", f"{num(n)} seats and a bit", f"{num(n)} and change"]), n + .25
    if k < .61 and n == 2: return r.choice(["a couple of seats", "a couple", "a pair of seats"]), 2
    if k < .63: return f"a seat off {num(n)}", n - 1
    if k < .65: return f"{num(n)} {num(n + 1)} seats", n + .5
    if k < .67: return f"{num(n)} maybe {num(n + 1)} seats", n + .5
    return r.choice([f"{num(n)} seats", f"{num(n)} seats", f"{num(n)} seats", f"a full {num(n)} seats", f"{num(n)} good seats", f"{num(n)} whole seats", f"about {num(n)} seats", f"like {num(n)} seats", f"{num(n)} seat"]), n


def bare(r):
    if r.random() < .2: n = r.choice([1, 2, 3, 4]); return f"{num(n)} and a half", n + .5
    if r.random() < .06: return r.choice(["a half", "half"]), .5
    n = r.choice([1, 1, 2, 2, 2, 3, 3, 4, 4, 5, 6, 7]); return num(n), n


def lengths(r):
    o = r.choice(["length", "length", "length", "length", "boat length", "boat"])
    return r.choice([
        (f"a {o}", 1), (f"one {o}", 1), (f"a full {o}", 1), (f"half a {o}", .5), (f"half a {o}", .5), (f"half a {o}", .5), (f"a half {o}", .5), (f"a {o} and a half", 1.5), (f"one and a half {o}s", 1.5),
        (f"a quarter of a {o}", .25), (f"a quarter {o}", .25), (f"quarter {o}", .25), (f"three quarters of a {o}", .75), (f"three quarter {o}", .75), (f"a third of a {o}", .33), (f"two thirds of a {o}", .67),
        (f"two {o}s", 2), (f"two and a half {o}s", 2.5), (f"three {o}s", 3), (f"two {o}s and a half", 2.5), (f"a {o} and a quarter", 1.25), (f"one and a quarter {o}s", 1.25), (f"a {o} and three quarters", 1.75), (f"a {o} and a bit", 1.25), (f"four {o}s", 4),
        ("a canvas", .25), ("a canvas", .25), ("the canvas", .25), ("one canvas", .25), ("half a canvas", .125), ("a canvas and a half", .375), ("a deck", .25), ("two canvases", .5), (f"a {o} and a third", 1.33), ("half a boat", .5), ("a boat", 1), ("a boat length", 1), ("a length a full length", 1)])


def N_TEXT(v, unit, r, short=False):
    """A number of seats or lengths as it is said."""
    w, part = int(v), v - int(v)
    one = "seat" if unit == "seats" else r.choice(["length", "length", "length", "boat length", "boat"])
    frac = {0: "", .25: "a quarter", .5: "a half", .75: "three quarters"}[part]
    if short and r.random() < .75:
        if not w: return r.choice(["half", "a half"]) if part == .5 else frac
        return num(w) + (" and " + frac if part else "")
    if not w: return r.choice([f"half a {one}", f"a half {one}"]) if part == .5 else f"{frac} of a {one}" if r.random() < .6 else f"{frac.replace('quarters', 'quarter')} {one}"
    if w == 1: return (r.choice([f"a {one}", f"one {one}"]) + (" and " + frac if part else "")) if r.random() < .6 or not part else f"one and {frac} {one}s"
    return f"{num(w)} and {frac} {one}s" if part and r.random() < .6 else f"{num(w)} {one}s" + (" and " + frac if part else "")


def gap(r):
    if r.random() < .5:
        n = r.choice([1, 2, 3, 4, 5, 6, 8, 10, 12]); u = r.choice(["feet", "foot"]) if n > 1 else "foot"
        return f"{num(n) if n > 1 or r.random() < .5 else 'a'} {u}", round(n * .3048, 2)
    n = r.choice([1, 2, 3, 4, 5, 6, 7, 8, 10, 12, 15]); u = r.choice(["metres", "meters"]) if n > 1 else r.choice(["metre", "meter"])
    if r.random() < .12: return f"{num(n)} and a half {r.choice(['metres', 'meters'])}", n + .5
    return f"{num(n) if n > 1 or r.random() < .5 else 'a'} {u}", float(n)


def their(r):
    k = r.random()
    if k < .6: n = r.randint(1, 8); return r.choice([num(n), f"{num(n)} seat", f"{num(n)} seat", f"{num(n)} man", f"number {num(n)}", f"{num(n)} girl", f"{num(n)}"]), str(n)
    return r.choice([("bow seat", "1"), ("bow man", "1"), ("bow person", "1"), ("stroke", "8"), ("stroke seat", "8"), ("stroke man", "8"), ("bow ball", "bow"), ("bow ball", "bow"), ("bow", "bow"), ("cox", "cox"), ("coxswain", "cox"), ("cox seat", "cox"), ("stern", "stern"), ("rudder", "stern"), ("stern deck", "stern"), ("eight man", "8")])


def their_bare(r):
    if r.random() < .12: return r.choice([("stroke", "8"), ("bow ball", "bow"), ("bow", "1")])
    n = r.randint(1, 8); return num(n), str(n)


def our(r):
    if r.random() < .14: return r.choice([("stroke", "8"), ("stroke seat", "8"), ("bow seat", "1"), ("bow man", "1")])
    n = r.randint(1, 8); return r.choice([num(n), f"{num(n)} seat", f"{num(n)} seat", f"{num(n)} man", f"number {num(n)}"]), str(n)


def rate(r):
    v = r.choice(list(range(16, 30)) + list(range(28, 46)) * 3)
    k = r.random()
    if k < .12: return r.choice([f"{num(v)} and a half", f"{num(v)} and a half", f"{num(v)} point five"]), v + .5
    if k < .22 and 20 < v and v % 10: return f"{num(v // 10)} {num(v % 10)}", v
    return num(v), v


def by(r):
    k = r.random()
    if k < .15: return r.choice(["half a beat", "half a pip", "a half", "half"]), .5
    if k < .4: return r.choice(["one", "a beat", "one beat", "a pip", "one pip", "a click", "a point"]), 1
    n = r.choice([2, 2, 2, 2, 3, 4]); 
    if k < .45: return r.choice(["a beat and a half", "one and a half"]), 1.5
    return r.choice([num(n), num(n), f"{num(n)} beats", f"{num(n)} pips", f"{num(n)} points", "a couple" if n == 2 else num(n)]), n


def strokes(r):
    n = r.choice([1, 2, 2, 3, 3, 4, 5, 5, 5, 6, 7, 8, 10, 10, 10, 12, 15, 20, 20, 30]); return num(n), n


def warning(r):
    n = r.choice([1, 2, 2, 2, 3, 3, 4, 5, 5, 6, 8, 10, 10, 10, 15, 20, 30]); return num(n), n


def pace(r):
    m, s = r.choice([(1, r.randint(28, 59))] * 4 + [(2, r.randint(0, 25))])
    t = m * 60 + s
    if s < 10: return r.choice([f"{num(m)} oh {num(s)}", f"{num(m)} zero {num(s)}"]) if s else f"{num(m)} flat", t
    k = r.random()
    if k < .1: return f"{num(m)} {num(s)} and a half", t + .5
    if k < .2: return f"{num(m)} {num(s)} flat", t
    if k < .3 and s % 10 and s > 20: return f"{num(m)} {num(s // 10)} {num(s % 10)}", t
    if k < .4 and m == 1 and s >= 30: return r.choice([num(s), num(s) + " flat"]), t
    return f"{num(m)} {num(s)}", t


def distance(r):
    v = r.choice([50, 100, 100, 150, 200, 200, 250, 250, 250, 300, 300, 350, 400, 500, 500, 500, 500, 600, 700, 750, 750, 800, 900, 1000, 1000, 1000, 1100, 1200, 1250, 1250, 1400, 1500, 1500, 1500, 1600, 1700, 1750, 1750, 1800, 1900, 2000, 140, 360, 640, 120, 180, 1150, 1350])
    m = r.choice(["", "", "", "", " metres", " meters", " metre", " mark"])
    if v == 1000: t = r.choice(["thousand", "thousand", "a thousand", "one thousand", "k"][:4])
    elif v % 100 == 50 and v > 100 and r.random() < .7: t = f"{num(v // 100)} fifty"
    elif v == 100: t = r.choice(["a hundred", "one hundred", "hundred"])
    else: t = num(v)
    return t + m, float(v)


def time(r):
    return r.choice([("one minute", 60.), ("a minute", 60.), ("two minutes", 120.), ("three minutes", 180.), ("four minutes", 240.), ("five minutes", 300.), ("thirty seconds", 30.), ("forty seconds", 40.), ("twenty seconds", 20.), ("ten seconds", 10.), ("fifteen seconds", 15.),
                     ("forty five seconds", 45.), ("sixty seconds", 60.), ("ninety seconds", 90.), ("a minute and a half", 90.), ("two and a half minutes", 150.), ("half a minute", 30.), ("six minutes", 360.), ("a minute thirty", 90.), ("two minutes thirty", 150.), ("one minute twenty", 80.), ("fifty seconds", 50.), ("three and a half minutes", 210.), ("two minute", 120.), ("one forty", 100.), ("ten minutes", 600.)])


WHO = [("all eight", "all"), ("all four", "all"), ("everyone", "all"), ("everybody", "all"), ("all", "all"), ("full crew", "all"), ("stern pair", "sternPair"), ("stern pair", "sternPair"), ("stern two", "sternPair"), ("bow pair", "bowPair"), ("bow pair", "bowPair"), ("bow two", "bowPair"), ("stern four", "sternFour"), ("stern four", "sternFour"),
       ("bow four", "bowFour"), ("bow four", "bowFour"), ("middle four", "middleFour"), ("engine room", "middleFour"), ("stern six", "sternSix"), ("bow six", "bowSix"), ("ports", "port"), ("port side", "port"), ("port", "port"), ("stroke side", "port"), ("strokeside", "port"), ("starboards", "starboard"), ("starboard", "starboard"), ("starboard side", "starboard"), ("bow side", "starboard")]
WHO1 = [("bow", "1"), ("bow seat", "1"), ("two", "2"), ("two seat", "2"), ("three", "3"), ("three seat", "3"), ("four", "4"), ("four seat", "4"), ("five", "5"), ("six", "6"), ("seven", "7"), ("seven seat", "7"), ("stroke", "8"), ("stroke seat", "8"), ("bow pair", "bowPair"), ("stern pair", "sternPair"), ("bow pair", "bowPair"), ("two seat", "2")]
PAIRS = [("stern pair", "sternPair", "bow pair"), ("bow pair", "bowPair", "stern pair"), ("stern four", "sternFour", "bow four"), ("bow four", "bowFour", "stern four"), ("bow pair", "bowPair", "middle four"), ("stern pair", "sternPair", "five and six"), ("stern six", "sternSix", "bow pair")]
SIDES = [("port", "port"), ("starboard", "starboard"), ("ports", "port"), ("starboards", "starboard"), ("stroke side", "port"), ("bow side", "starboard"), ("strokeside", "port"), ("port side", "port"), ("starboard side", "starboard")]


def load(name):
    groups, cur = {}, None
    for line in open(os.path.join(HERE, name), encoding="utf-8"):
        line = line.rstrip()
        if not line: continue
        if line.startswith("#"): cur = line[1:].strip(); groups.setdefault(cur, []); continue
        groups.setdefault(cur, []).append(line)
    return groups


def choose(text, r):
    """Resolves (a|b|) from the inside out."""
    while True:
        m = re.search(r"\(([^()]*)\)", text)
        if not m: return text
        text = text[:m.start()] + r.choice(m.group(1).split("|")) + text[m.end():]


class Maker:
    def __init__(self, seed):
        self.r = random.Random(seed)
        g = load("frames_position.txt"); o = load("frames_other.txt")
        self.position = [(k, f) for k, fs in g.items() for f in fs]
        self.other = [(k, f) for k, fs in o.items() for f in fs]
        self.groups = {k: fs for k, fs in list(g.items()) + list(o.items())}
        self.none = [f for fs in load("frames_none.txt").values() for f in fs]
        self.weights = {}
        for k in self.groups: self.weights[k] = 1.0
        for k, w in {"two at once": 4, "count runs": 2, "cox on their seat": 3, "bow ball on their seat": 2, "mirror": 2.5, "want": 4, "trend us": 4, "trend them": 3, "rival move": 3, "margin: we lead, by seats": 5, "margin: behind, by seats": 5, "margin: lengths": 4,
                     "command": 5, "strokesTo": 2, "distance gone": 2, "distance left": 2, "technique": 3, "rate": 2, "move": 2.5, "steer": 2.5, "shift": 2.5, "open water": 2, "level": 2, "rateChange": 2, "spirit": .7, "carried on": 3, "chatty margins": 4, "chatty wants and trends": 4, "more rate": 2, "more calls": 3, "people and bodies as seats": .6, "seconds and strokes": .5}.items():
            if k in self.weights: self.weights[k] = w
        self.keys = list(self.weights)

    def frame(self, text, spec, crews, talk, where):
        """-> (words with crew marks, calls) ; talk: crew talked of; where: index where this piece begins."""
        r = self.r
        vals = {}
        text = choose(text, r)
        second = [c for c in crews if c != talk]
        named = None
        out, marks = [], []
        for part in re.findall(r"\{[^}]*\}|#|[^{}#\s]+", text):
            if part == "#": marks.append(where + len(out) - 1); continue
            if not part.startswith("{"): out.append(part); continue
            s = part[1:-1]; base = re.sub(r"[2-9]$", "", s)
            if s in ("C", "C's", "X"):
                if s == "X":
                    c = r.choice([c for c in crews if c != vals.get("C")] or crews); vals["X"] = c
                else:
                    c = vals.get("C") or r.choice(crews); vals["C"] = c; named = c
                out.append(("crew", c, s == "C's", r.random() < .25)); continue
            if base == "N" and s in ("N", "N2", "N3"): out.append(r.choice(PEOPLE)); continue
            if s == "CNT":
                a = r.choice([1, 1, 1, 1, 2, 3, 4, 5, 6, 8]); n = r.choice([1, 2, 2, 3, 3, 4, 5, 10])
                back = a >= 3 and r.random() < .15
                for k in range(n):
                    v = a - k if back else a + k
                    if v < 1: break
                    if r.random() < .2: out.append(r.choice(["and", "that's", "good", "long", "legs", "yes"]) if k else "and")
                    if out and out[-1] in ("long", "legs") and False: pass
                    out.append(num(v) if v < 20 else "twenty"); marks.append(("count", v, where + len(out) - 1))
                continue
            fn = {"S": seats, "SN": bare, "L": lengths, "G": gap, "K": their, "KN": their_bare, "O": our, "R": rate, "BY": by, "W": warning, "P": pace, "D": distance, "TI": time, "MV": strokes}.get(base)
            if s == "D2": fn = distance
            if fn: t, v = fn(r)
            elif s == "NUM": v = r.randint(1, 8); t = num(v)
            elif s == "WHO": t, v = r.choice(WHO)
            elif s == "WHO1": t, v = r.choice(WHO1)
            elif s == "WHOP": t, v, q = r.choice(PAIRS); vals["WHOQ"] = q
            elif s == "WHOQ": t, v = vals.get("WHOQ", "bow pair"), None
            elif s == "SD": t, v = r.choice(SIDES)
            else: raise ValueError(part + " " + text)
            vals[s] = v
            out += t.split()
        calls = []
        if spec is None:
            for m in marks:
                if isinstance(m, tuple): calls.append((m[2], {"type": "count", "n": m[1]}))
            return out, calls, named
        pieces = [p.strip() for p in spec.split(";")]
        auto = {"rate": ("spm", "R"), "pace": ("secPer500", "P"), "distance": ("metres", "D"), "time": ("seconds", "TI"), "strokesTo": ("strokes", "W"), "move": ("strokes", "MV")}
        for k, p in enumerate(pieces):
            ws = p.split()
            c = {"type": ws[0]}
            for w in ws[1:]:
                a, b = w.split("=")
                sign = 1
                if b[0] in "+-": sign = -1 if b[0] == "-" else 1; b = b[1:]
                if b.startswith("$"): v = vals.get(b[1:])
                elif b == "HALF": v = "HALF"
                elif b in ("true", "false"): v = b == "true"
                else:
                    try: v = float(b)
                    except ValueError: v = b
                if a == "by": v = sign * float(v)
                c[a] = v
            t = c["type"]
            if t in auto and auto[t][0] not in c: c[auto[t][0]] = vals.get(auto[t][1])
            if t == "move": c.setdefault("purpose", None)
            if t == "command": c.setdefault("who", vals.get("WHO") or vals.get("WHO1") or vals.get("WHOP") or "all")
            if t in CREW_TYPES and "crew" not in c: c["crew"] = named or talk
            if t == "margin":
                for f in ("their", "seats", "lengths", "metres", "side"): c.setdefault(f, None)
                c.setdefault("openWater", False)
                if c.get("our") and c["our"] != "boat" and c.get("mirror"): c["our"] = str(c["our"])
            at = marks[k] if k < len(marks) and not isinstance(marks[k], tuple) else where + len(out) - 1
            calls.append((at, c))
        return out, calls, named

    def line(self, crews, talk, distance):
        r = self.r
        n = r.choices([1, 2, 3, 4], [.52, .27, .13, .08])[0]
        words, calls = [], []
        for k in range(n):
            u = r.random()
            if r.random() < .16: words += r.choice(["okay", "right", "so", "now", "and", "yes", "boys", "ladies", "gentlemen", "come on", "listen", "good", "um", "uh", "like", "well", "okay so", "alright", "guys", "hey", "look", "oh", "lads", "girls", "righto", "aye", "ja", "yeah nah", "mate", "there we go", "that's it", "oi", "folks", "my friends", "dear crew", "oh my god", "literally", "i think", "i reckon", "honestly", "apparently"]).split()
            if r.random() < .07: words.append(r.choice(PEOPLE))
            if u < .12:
                o, c, nm = self.frame(r.choice(self.none), None, crews, talk, len(words))
            else:
                key = r.choices(self.keys, [self.weights[x] for x in self.keys])[0]
                f = r.choice(self.groups[key])
                text, spec = f.split("=>") if "=>" in f else (f, None)
                o, c, nm = self.frame(text, spec, crews, talk, len(words))
            words += o
            for t, x in c:
                if x.get("metres") == "HALF": x["metres"] = (distance or 2000) / 2
                calls.append((t, x))
            if nm: talk = nm
            if r.random() < .1: words += r.choice(["please", "now", "for me", "boys", "ladies", "guys", "lads", "yes", "good", "let's go", "come on", "lovely", "thank you", "right now", "right here", "stay with it", "keep it there", "and it feels good", "i promise", "i'm not joking", "would you believe", "like my grandmother", "and they hate it", "which is nice", "don't panic", "as you were", "do you hear me", "hold that", "somebody tell my mum", "if you please", "my loves", "mate", "bro", "innit", "eh", "so"]).split()
        return words, calls, talk

    def sequence(self, noise, pool):
        r = self.r
        crews = r.sample(pool, r.choice([1, 1, 2, 2, 3, 3, 4, 5, 6]))
        given = r.choice(crews + [None]) if r.random() < .7 else None
        distance = r.choice([None, None, 1000, 1500, 1900, 2000, 2000])
        talk = given
        w, c, _ = self.line(crews, talk, distance)
        if not w: return None
        phase = r.choice(["race", "race", "race", "practice", "before", None])
        if any(x["type"] in ("command",) for _, x in c): phase = r.choice(["practice", "before", "practice", "before", None, "race", "after"])
        names = [x.capitalize() for x in r.sample(PEOPLE, 8)] if r.random() < .3 else []
        return augment.render(w, c, crews, given, phase, noise, r, r.choice([0, .05, .1, .15, .2, .3, .4]), rename=False, us=r.choice(pool) if r.random() < .3 else None, names=names, distance=distance)


if __name__ == "__main__":
    count, seed, out = int(sys.argv[1]), int(sys.argv[2]), sys.argv[3]
    gl = pickle.load(open(os.path.join(train.WORK, "glove.pkl"), "rb"))[0]
    sounds = noising.Sounds(gl[:20000])
    nz = noising.Noise(sounds, [])
    pool = pickle.load(open(os.path.join(train.WORK, "names.pkl"), "rb"))
    nz.names = pool["heard"]
    mk = Maker(seed)
    if out == "-":
        for _ in range(count):
            s = mk.sequence(nz, pool["names"])
            if s: print(" ".join(s["words"]), "|", [(t, " ".join(f"{k}={v}" for k, v in c.items() if v is not None and v is not False)) for t, c in s["calls"]], s["crews"][:2])
    else:
        seqs = [s for s in (mk.sequence(nz, pool["names"]) for _ in range(count)) if s]
        pickle.dump(seqs, open(out, "wb")); print(len(seqs))
        cache = os.path.join(train.WORK, "near.pkl")
        pickle.dump(sounds.cache, open(cache, "wb"))
