"""Multiplies labelled lines: other crews, other seats, other mis-hearings. A line becomes what the captions might have had."""
import random, re
from earlib import *
import data

FIRST = "ald amber ash bar beck bel ben birch black blen bram bran brook bur cal car cas cedar clo col corn cran crow dal dar del din dor dun east eden elm el fal farn fen fern fin flax flint fox gal gar glen gold gran green grim hal ham har hart haw hazel heath hel hol horn iron ivy jar kel ken kes kin lan lark lin loch long mal mar may mel mer mill mon moor mor nar nel nor north oak oster otter pal pel pen pine pol quar quill raven ren rook ross row rush salt san sed sel shel sil sky sor stan stone sul swan tal tam tar tern thorn thistle tor tre ul van vel ver wal war wel west wex whin wil win wolf wood wren yar zel tarn pori waka kura moana tuku rangi kiri boon bool billa curra jinda wattle mulga kook vlei rooi kraal duiker swart blom berg kaap aber llan pont tra ynys cwm porth auchter inver kil dal strath glen kirk".split()
LAST = "bank barrow bay beck bourne bridge brook bury by combe cote dale den don dun ell erton fall field firth ford gate grove ham hampton haven head hill holm holt hurst hythe ing inga lake land ley low lock loch marsh mead mere mill minster moor more mouth ness nook over pool port quay reach ridge rock sea shaw shore side slip stead stoke stone stow sand ton vale ville wade water weir well wharf wick wood worth yard bong doola roo garra wirra burra fontein drift kloof poort spruit dam kop rand koura nui roa wai hau puke tara mara".split()
SECOND = "lake harbor harbour reach point bend creek hollow cove bay island weir lock school college academy hall club state bridge ferry mill pier rock narrows slip head sound hill park grammar girls women tech boat juniors mere notch inlet sluice landing eyot foot stairs wharf lagoon flat".split()


def invent(rng):
    a = rng.choice(FIRST) + rng.choice(LAST)
    r = rng.random()
    if r < .55: return a.capitalize()
    if r < .85: return a.capitalize() + " " + rng.choice(SECOND).capitalize()
    if r < .9: return rng.choice(["Saint ", "St ", "Porth ", "Llan ", "Te ", "Glen ", "Little ", "Upper ", "North ", "Old ", "New "]) + a.capitalize()
    return rng.choice("Copper Blue Silver Amber Iron Gilded Black White Granite Hidden Crooked Hollow Twin Bright Still Misty Garter Cedar Maple Heron Otter Plover Kestrel Badger Grouse Falcon Pelican Egret Willow Poplar Juniper Sorrel Bramble Thistle Clover Saffron".split()) + " " + rng.choice(SECOND).capitalize()


def nick(name, rng):
    """How a cox shortens a crew's name."""
    w = name.split()
    if len(w) > 1 and rng.random() < .35 and w[0].lower() not in GENERIC and len(w[0]) > 3: return w[0]
    return name


def marked(line):
    """Said words of a bank line with crews as marks: [word or ('crew', name, possessive)] and calls moved onto them."""
    words = [w for w, _ in line["said"]]
    ms = mentions(words, line["crews"])
    spans = sorted((i, j, c) for c, m in enumerate(ms) for i, j, s in m if s > .8)
    out, to, k = [], [], 0
    at = {i: (j, c) for i, j, c in spans}
    while k < len(words):
        if k in at:
            j, c = at[k]
            short = len(line["crews"][c].split()) > (j - k + 1)
            out.append(("crew", line["crews"][c], words[j].endswith("'s") and not line["crews"][c].lower().endswith("'s"), short))
            to += [len(out) - 1] * (j - k + 1); k = j + 1
        else:
            out.append(words[k]); to.append(len(out) - 1); k += 1
    return out, [(to[i], dict(c)) for i, c in line["said_calls"]]


SEATWORDS = ["one", "two", "three", "four", "five", "six", "seven", "eight"]


def other_numbers(words, calls, rng):
    """Another seat or number of seats where exactly one word and one field hold it."""
    for q, (t, c) in enumerate(calls):
        for field in ("their", "our", "seats", "n", "strokes"):
            v = c.get(field)
            if v is None: continue
            try: k = int(float(v))
            except ValueError: continue
            if not 2 <= k <= 7 or float(v) != k: continue
            word = SEATWORDS[k - 1]
            places = [i for i, w in enumerate(words) if isinstance(w, str) and (w == word or w == word + "'s" or w == str(k))]
            holders = [1 for _, d in calls for f in d if d[f] is not None and f not in ("crew", "type") and str(d[f]).replace(".0", "") == str(k)]
            if len(places) == 1 and len(holders) == 1 and rng.random() < .7:
                new = rng.randint(2, 7)
                i = places[0]
                words = words[:i] + [words[i].replace(word, SEATWORDS[new - 1]).replace(str(k), str(new))] + words[i + 1:]
                c[field] = str(new) if isinstance(v, str) else type(v)(new)
    return words


def render(words, calls, crews, talk_of, phase, noise, rng, level, rename=True, us=None, names=(), seats=8, distance=None, name_pool=None):
    """Marked words -> a heard sequence with labels."""
    calls = [(t, dict(c)) for t, c in calls]
    words = list(words)
    mapping = {c: c for c in crews}
    if rename:
        words = other_numbers(words, calls, rng)
        if name_pool and rng.random() < .85:
            mapping = {c: rng.choice(name_pool) for c in crews}
        if len(set(mapping.values())) < len(mapping): mapping = {c: c for c in crews}
    digits = rng.random() < .5
    out, ends = [], []
    buf, where = [], []

    def flush():
        if buf:
            h, to = noise.spoil(buf, rng, level, digits)
            base = len(out)
            out.extend(h)
            for k, i in enumerate(where): ends[i] = max(base + to[k], 0)
            buf.clear(); where.clear()

    for i, w in enumerate(words):
        ends.append(len(out))
        if isinstance(w, tuple):
            flush()
            name = mapping.get(w[1], w[1])
            if len(w) > 3 and w[3] and len(name.split()) > 1:
                parts = name.split()
                spoken = parts[0] if parts[0].lower() not in GENERIC else parts[1]
            else: spoken = name
            h = list(noise.name(spoken, rng, min(1, level * 1.9)))
            if w[2] and h and rng.random() < .85: h[-1] = h[-1] + ("'s" if rng.random() < .6 else "s")
            out.extend(h); ends[i] = max(len(out) - 1, 0)
        else:
            buf.append(w); where.append(i)
    flush()
    if not out: return None
    hc = []
    for t, c in calls:
        if c.get("crew"): c["crew"] = mapping.get(c["crew"], c["crew"])
        hc.append((min(ends[t], len(out) - 1), c))
    ring = list(mapping.values())
    rng.shuffle(ring)
    breaks = breaks_for(len(out), [t for t, _ in hc], rng)
    return dict(words=out, breaks=breaks, cues=[0] * len(out), crews=ring, us=us, talkOf=mapping.get(talk_of, talk_of) if talk_of else None,
                phase=phase, names=list(names), seats=seats, distance=distance, calls=hc)


def breaks_for(n, ends, rng):
    """Punctuation as a recogniser may put it: often at ends of calls, sometimes anywhere, sometimes never."""
    r = rng.random()
    b = [False] * n
    if n: b[0] = True
    if r < .4: return b
    for e in ends:
        if e + 1 < n and rng.random() < .6: b[e + 1] = True
    for i in range(1, n):
        if rng.random() < .05: b[i] = True
    return b


def as_heard(line, rng):
    """A bank line exactly as its captions were."""
    words = [w for w, _ in line["heard"]]
    if not words: return None
    breaks = [b for _, b in line["heard"]]
    crews = list(line["crews"]); rng.shuffle(crews)
    return dict(words=words, breaks=breaks, cues=line.get("cues") or [0] * len(words), crews=crews, us=None, talkOf=line["talkOf"], phase=line["phase"], names=[],
                seats=8, distance=None, calls=[(t, dict(c)) for t, c in line["heard_calls"]])


def runs(lines, rng, longest=5):
    """Lines that follow each other, in windows of two to five, each as one line: said and heard joined, calls moved along."""
    groups, cur = [], []
    for x in lines:
        if cur and x["run"] is not None and x["run"] == cur[-1]["run"] and x["file"] == cur[-1]["file"]: cur.append(x)
        else:
            if len(cur) > 1: groups.append(cur)
            cur = [x] if x["run"] is not None else []
    if len(cur) > 1: groups.append(cur)
    out = []
    for g in groups:
        i = 0
        while i < len(g):
            k = rng.randint(2, longest)
            part = g[max(0, i - 1):i + k]; i += k
            if len(part) > 1: out.append(joined(part))
    return out


def joined(part):
    crews = list(dict.fromkeys(c for x in part for c in x["crews"]))
    r = dict(file=part[-1]["file"], line=part[-1]["line"], run=part[-1]["run"], crews=crews, talkOf=part[0]["talkOf"], phase=part[-1]["phase"], us=None, names=[], said=[], heard=[],
             said_calls=[], heard_calls=[], cues=[], seg=[])
    for n, x in enumerate(part):
        a, b = len(r["said"]), len(r["heard"])
        r["said"] += x["said"]; r["heard"] += [(w, k == 0 or br) for k, (w, br) in enumerate(x["heard"])]
        r["cues"] += [n] * len(x["heard"])
        r["said_calls"] += [(t + a, c) for t, c in x["said_calls"]]; r["heard_calls"] += [(t + b, c) for t, c in x["heard_calls"]]
    return r
