#!/usr/bin/env python3
"""Writes captions with the true words of a labelled race: what a recogniser without any error would give. The calls that are missed
even then are the call decoder's, the rest the recogniser's. true_words.py calls.jsonl OUT.json
A line's words end when its last call is complete and take 0.32 s each, never before the line before has ended; the truth has only
lines that hold a call."""
import json, re, sys


def main(calls, out):
    lines = []
    last = None
    for row in open(calls):
        c = json.loads(row)
        if c["text"] == last:
            lines[-1][0] = c["t"]
        else:
            lines.append([c["t"], c["text"]])
        last = c["text"]
    segments, before = [], 0.0
    for end, text in lines:
        words = re.sub(r"[^a-z0-9' ]+", " ", text.lower()).split()
        start = max(before, end - 0.32 * len(words))
        step = max(0.02, (end - start) / len(words))
        segments.append({"start": round(start, 2), "end": round(end, 2), "text": " ".join(words), "words": [
            {"word": w, "start": round(start + i * step, 2), "end": round(start + (i + 1) * step, 2), "probability": 0.99} for i, w in enumerate(words)]})
        before = end
    json.dump({"segments": segments}, open(out, "w"))


if __name__ == "__main__":
    main(*sys.argv[1:3])
