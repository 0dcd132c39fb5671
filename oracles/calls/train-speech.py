#!/usr/bin/env python3
"""Counts what coxswains say and how captions mis-hear it: train-speech.py CORPUS OUT [--leave FOLD]

Reads the phrase bank (said, heard) and the labelled races (text) and writes the counts that the decoder uses: words, pairs of
words, and which words were heard for which. --leave 0..3 leaves out the three voice files and the two folders of that fold.
"""
import collections, difflib, glob, json, os, re, sys

corpus, out = sys.argv[1], sys.argv[2]
leave = int(sys.argv[sys.argv.index("--leave") + 1]) if "--leave" in sys.argv else None
FOLDERS = sorted(d for d in os.listdir(corpus) if os.path.isfile(os.path.join(corpus, d, "calls.jsonl")))
SMALL = "zero one two three four five six seven eight nine ten eleven twelve thirteen fourteen fifteen sixteen seventeen eighteen nineteen".split()
TENS = "x x twenty thirty forty fifty sixty seventy eighty ninety".split()


def fold_of_file(f): return (int(re.search(r"voices-(\d+)", f).group(1)) - 1) // 3
def fold_of_folder(d): return FOLDERS.index(d) // 2
def tokens(s): return re.findall(r"[a-z0-9']+(?:[:.][0-9]+)*", s.lower().replace("\u2019", "'"))


def cardinal(n):
    w = []
    if n >= 1000: w += cardinal(n // 1000) + ["thousand"]; n %= 1000
    elif n == 0: return ["zero"]
    if n >= 100: w += [SMALL[n // 100], "hundred"]; n %= 100
    if n >= 20: w.append(TENS[n // 10]); n %= 10
    if n: w.append(SMALL[n])
    return w


def spell(t, said):
    """Figures as words: the reading that stands in what was said, if any."""
    if not re.fullmatch(r"[0-9:.]+", t): return [t]
    ways = []
    m = re.fullmatch(r"(\d+):(\d\d)", t)
    if m: ways.append(cardinal(int(m[1])) + (["oh"] if int(m[2]) < 10 else []) + cardinal(int(m[2])))
    elif t.isdigit() and len(t) <= 5:
        n = int(t)
        if n >= 100 and n % 100: ways.append(cardinal(n // 100) + (["oh"] if n % 100 < 10 else []) + cardinal(n % 100))
        if 1100 <= n < 10000 and n % 100 == 0 and n % 1000: ways.append(cardinal(n // 100) + ["hundred"])
        ways.append(cardinal(n))
    s = " ".join(said)
    for w in ways:
        if " ".join(w) in s: return w
    return ways[0] if ways else [t]


def crew_class(words, crews):
    """Names of crews as <crew>: the whole name, or its first word where that is no everyday word."""
    names = sorted((tokens(c) for c in crews if c), key=len, reverse=True)
    o, i = [], 0
    while i < len(words):
        for n in names:
            k = len(n)
            if words[i:i + k] == n: o.append("<crew>"); i += k; break
            if words[i:i + k - 1] == n[:-1] and i + k <= len(words) and words[i + k - 1] == n[-1] + "'s": o.append("<crew>"); i += k; break
        else:
            hit = next((n for n in names if len(n) > 1 and len(n[0]) > 4 and words[i] in (n[0], n[0] + "'s")), None)
            o.append("<crew>" if hit else words[i]); i += 1
    return o


uni, bi, conf, saidn = (collections.Counter() for _ in range(4))


def learn(words):
    uni.update(words)
    w = ["<s>"] + words + ["</s>"]
    bi.update(zip(w, w[1:])); uni["<s>"] += 1


for f in sorted(glob.glob(os.path.join(corpus, "phrases", "*.jsonl"))):
    if leave is not None and fold_of_file(f) == leave: continue
    for line in open(f, encoding="utf-8"):
        r = json.loads(line)
        said = tokens(r["said"])
        learn(crew_class(said, r["crews"]))
        heard = [w for t in tokens(r["heard"]) for w in spell(t, said)]
        for k in (1, 2, 3):
            for i in range(len(said) - k + 1): saidn[" ".join(said[i:i + k])] += 1
        named = {w for c in r["crews"] for w in tokens(c)} | {w + "'s" for c in r["crews"] for w in tokens(c)}
        for op, i, j, a, b in difflib.SequenceMatcher(None, said, heard, autojunk=False).get_opcodes():
            if op != "replace" or j - i > 3 or b - a > 3 or any(w in named for w in said[i:j]): continue
            conf[(" ".join(said[i:j]), " ".join(heard[a:b]))] += 1
            if j - i == b - a and j - i > 1:
                for x, y in zip(said[i:j], heard[a:b]): conf[(x, y)] += 1

for d in FOLDERS:
    if leave is not None and fold_of_folder(d) == leave: continue
    race = json.load(open(os.path.join(corpus, d, "race.json"), encoding="utf-8"))
    crews = [c for c in list(race.get("lanes", {}).values()) + race.get("crews", []) if c != race["us"]]
    names = {w for n in race["crewWords"].get("names", []) for w in tokens(n)}
    last = None
    for line in open(os.path.join(corpus, d, "calls.jsonl"), encoding="utf-8"):
        r = json.loads(line)
        if (r["text"], ) == last: continue
        last = (r["text"], )
        learn(["<name>" if w in names else w for w in crew_class(tokens(r["text"]), crews)])

with open(out, "w", encoding="utf-8") as o:
    o.write("# Counts from data/corpus by oracles/calls/train-speech.py" + (f", fold {leave} left out" if leave is not None else "") + "\n")
    for w, c in sorted(uni.items()): o.write(f"U\t{w}\t{c}\n")
    for (a, b), c in sorted(bi.items()):
        if c > 1 or (uni[a] > 2 and uni[b] > 2): o.write(f"B\t{a}\t{b}\t{c}\n")
    for (s, h), c in sorted(conf.items()):
        if c > 1 or len(s.split()) + len(h.split()) <= 3: o.write(f"C\t{s}\t{h}\t{c}\t{saidn[s]}\n")
