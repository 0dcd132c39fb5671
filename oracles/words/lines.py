#!/usr/bin/env python3
"""Writes src/Stakeboat.Words/Language/lines.txt: the true lines of the labelled races and of the phrase bank, one a line, with the
folder or file that each came from before a tab, names of crews as <crew>, first names as <name>, our own crew as <us>."""
import glob, json, os, re
root = os.path.join(os.path.dirname(__file__), "..", "..")
corpus = os.path.join(root, "data", "corpus")


def plain(text):
    text = text.lower().replace("’", "'")
    return re.sub(r"[^a-z0-9'<> ]+", " ", text).split()


def classes(text, crews, us, names):
    for mark, group in (("<crew>", crews), ("<us>", [us] if us else []), ("<name>", names)):
        for name in sorted(group, key=len, reverse=True):
            text = re.sub(r"\b" + re.escape(name) + r"\b", mark, text, flags=re.I)
    return text


out = []
for folder in sorted(d for d in os.listdir(corpus) if os.path.exists(os.path.join(corpus, d, "calls.jsonl"))):
    sheet = json.load(open(os.path.join(corpus, folder, "race.json")))
    us = sheet.get("us") if sheet.get("us") != "our boat" else None
    crews = [c for c in list(sheet.get("lanes", {}).values()) + sheet.get("crews", []) if c != us]
    names = sheet.get("crewWords", {}).get("names", [])
    last = None
    for line in open(os.path.join(corpus, folder, "calls.jsonl")):
        text = json.loads(line)["text"]
        if text != last:
            out.append((folder, classes(text, crews, us, names)))
        last = text
for file in sorted(glob.glob(os.path.join(corpus, "phrases", "*.jsonl"))):
    for line in open(file):
        row = json.loads(line)
        out.append((os.path.splitext(os.path.basename(file))[0], classes(row["said"], row.get("crews") or [], None, [])))
with open(os.path.join(root, "src", "Stakeboat.Words", "Language", "lines.txt"), "w") as f:
    f.write("# True lines of data/corpus by oracles/words/lines.py; source, tab, words\n")
    for source, text in out:
        words = plain(text)
        if words:
            f.write(source + "\t" + " ".join(words) + "\n")
print(len(out), "lines")
