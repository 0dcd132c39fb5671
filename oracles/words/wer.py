#!/usr/bin/env python3
"""Word error rate of captions against the true lines of a labelled race.
wer.py CAPTIONS.json calls.jsonl: words of the captions within the spans of the labelled lines are aligned with the lines' words.
The truth has only lines that hold a call, so insertions are counted inside their spans alone (from the end of the line before, at most
4 s back, to 0.5 s after the call is complete)."""
import json, re, sys


def norm(text):
    return re.sub(r"[^a-z' ]+", " ", text.lower()).split()


def distance(a, b):
    row = list(range(len(b) + 1))
    for i, x in enumerate(a, 1):
        prev, row[0] = row[0], i
        for j, y in enumerate(b, 1):
            prev, row[j] = row[j], min(row[j] + 1, row[j - 1] + 1, prev + (x != y))
    return row[-1]


def words_of(path):
    out = []
    for s in json.load(open(path))["segments"]:
        for w in s["words"]:
            for t in norm(w["word"]):
                out.append((0.5 * (w["start"] + w["end"]), t))
    return sorted(out)


def main(captions, calls):
    heard = words_of(captions)
    lines, last = [], None
    for row in open(calls):
        c = json.loads(row)
        if c["text"] == last:
            lines[-1][1] = c["t"]
        else:
            lines.append([c["t"], c["t"], c["text"]])
        last = c["text"]
    errors = total = 0
    before = -99.0
    for first, end, text in lines:
        truth = norm(text)
        start = max(before, end - 0.45 * len(truth) - 2.0)
        got = [w for t, w in heard if start <= t <= end + 0.5]
        # Words of the line before it may stand in the span: the best stretch counts.
        best = min((distance(truth, got[i:]) for i in range(0, max(1, len(got) - len(truth) + 1))), default=len(truth))
        errors += min(best, max(len(truth), len(got)))
        total += len(truth)
        before = end + 0.2
    return errors / total, total


if __name__ == "__main__":
    rate, n = main(*sys.argv[1:3])
    print(f"{rate:.3f} of {n} words")
