#!/usr/bin/env python3
"""Perplexities of races left out, computed without this program: perplexity.py FOLDER > oracles/words/perplexity.csv
1. Interpolated Witten-Bell and Kneser-Ney counted here anew from lines.txt (lines with names of crews and people left out), over the left-out
   race's lines of known words.
2. sphinx_lm_eval (Debian's sphinxbase-utils) over the left-out race's true lines with the file talk.lm that the program wrote:
   stakeboat words data/corpus/NAME --leave-out NAME --write-model FOLDER/NAME
"""
import collections, json, math, os, platform, re, subprocess, sys, tempfile
ROOT = os.path.join(os.path.dirname(os.path.abspath(__file__)), "..", "..")
RACES = ["autumn-lake-8", "dual-8", "masters-1000", "practice-morning"]
BEGIN, END = "<s>", "</s>"


def lines():
    for line in open(os.path.join(ROOT, "src/Stakeboat.Words/Language/lines.txt")):
        if line[0] != "#":
            source, text = line.rstrip("\n").split("\t")
            if "<" not in text:
                yield source, text.split()


def grams(sentences):
    c = [collections.Counter() for _ in range(4)]
    for s in sentences:
        x = [BEGIN] + s + [END]
        for i in range(1, len(x)):
            for n in (1, 2, 3):
                if i - n + 1 >= 0:
                    c[n][tuple(x[i - n + 1:i + 1])] += 1
    return c


def witten_bell(c, size):
    total, types = [collections.Counter() for _ in range(4)], [collections.Counter() for _ in range(4)]
    for n in (1, 2, 3):
        for g, k in c[n].items():
            total[n][g[:-1]] += k
            types[n][g[:-1]] += 1

    def p(w, h):
        if h is None:
            return 1 / size
        lower = p(w, h[1:] if h else None)
        n = len(h) + 1
        if total[n][h] == 0:
            return lower
        return (c[n][h + (w,)] + types[n][h] * lower) / (total[n][h] + types[n][h])
    return p


def kneser_ney(c, size):
    k = [None, collections.Counter(), collections.Counter(), c[3]]
    for n in (2, 1):
        for g in c[n + 1]:
            k[n][g[1:]] += 1
        for g, v in c[n].items():
            if g[0] == BEGIN:
                k[n][g] = v
    discount, total, types = {}, {}, {}
    for n in (1, 2, 3):
        ones, twos = sum(v == 1 for v in k[n].values()), sum(v == 2 for v in k[n].values())
        discount[n] = ones / (ones + 2 * twos)
        total[n], types[n] = collections.Counter(), collections.Counter()
        for g, v in k[n].items():
            total[n][g[:-1]] += v
            types[n][g[:-1]] += 1

    def p(w, h):
        if h is None:
            return 1 / size
        lower = p(w, h[1:] if h else None)
        n = len(h) + 1
        if total[n][h] == 0:
            return lower
        d = discount[n]
        return (max(0, k[n][h + (w,)] - d) + d * types[n][h] * lower) / total[n][h]
    return p


def perplexity(p, sentences):
    log = count = 0
    for s in sentences:
        x = [BEGIN] + s + [END]
        for i in range(1, len(x)):
            log += math.log(p(x[i], tuple(x[max(0, i - 2):i])))
            count += 1
    return math.exp(-log / count), count


def truth(race):
    last = None
    for row in open(os.path.join(ROOT, "data/corpus", race, "calls.jsonl")):
        text = json.loads(row)["text"]
        if text != last:
            yield re.sub(r"[^a-z' ]+", " ", text.lower().replace("’", "'")).split()
        last = text


def main(folder):
    print(f"# python {platform.python_version()}; sphinx_lm_eval of sphinxbase-utils 0.8+5prealpha+1-16; by oracles/words/perplexity.py")
    print("race,model,perplexity,words")
    everything = list(lines())
    for race in RACES:
        train = [w for s, w in everything if s != race]
        known = {w for s in train for w in s} | {END}
        held = [w for s, w in everything if s == race and all(x in known for x in w)]
        c = grams(train)
        for name, make in (("witten-bell", witten_bell), ("kneser-ney", kneser_ney)):
            value, n = perplexity(make(c, len(known)), held)
            print(f"{race},{name},{value:.6f},{n}")
        with tempfile.NamedTemporaryFile("w", suffix=".lsn") as lsn:
            for i, words in enumerate(truth(race)):
                lsn.write(f"<s> {' '.join(words)} </s> (u{i})\n")
            lsn.flush()
            said = subprocess.run(["sphinx_lm_eval", "-lm", os.path.join(folder, race, "talk.lm"), "-lsn", lsn.name], capture_output=True, text=True)
        text = said.stdout + said.stderr
        value = float(re.search(r"perplexity: ([\d.]+)", text)[1])
        n, oov = int(re.search(r"(\d+) words evaluated", text)[1]), int(re.search(r"(\d+) OOVs", text)[1])
        print(f"{race},talk.lm by sphinx_lm_eval,{value:.4f},{n}")


if __name__ == "__main__":
    main(sys.argv[1])
