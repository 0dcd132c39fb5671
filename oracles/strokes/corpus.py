"""Strokes, rate, distance, splits and clocks of the labelled races against their truth.

Run: /usr/bin/python3 oracles/strokes/corpus.py stakeboat COMMAND...   (the command that starts the command line, e.g. dotnet PATH/stakeboat.dll)
Needs a build of src/Stakeboat.Cli; reads data/corpus; prints the tables of docs/strokes/corpus.md. The program itself never reads truth.json or calls.jsonl.
"""
import csv
import io
import json
import os
import subprocess
import sys

import numpy as np

ROOT = os.path.join(os.path.dirname(os.path.abspath(__file__)), "..", "..", "data", "corpus")
COMMAND = sys.argv[1:]


def run(verb, folder, *more):
    r = subprocess.run([*COMMAND, verb, os.path.join(ROOT, folder), *more], capture_output=True, text=True)
    return r.stdout


def table(text):
    rows = list(csv.reader(io.StringIO(text)))
    return rows[0], rows[1:]


def number(x):
    return float(x) if x else np.nan


print("| folder | strokes | rate against truth: mean, rms | called less rowed rate: n, median, middle half | counts: rows, strokes said / found | clock off, s | way, rms m | race time ours / true | 500 m splits off, s |")
print("|---|---|---|---|---|---|---|---|---|")
for folder in sorted(os.listdir(ROOT)):
    here = os.path.join(ROOT, folder)
    if not os.path.exists(os.path.join(here, "track.gpx")):
        continue
    truth = json.load(open(os.path.join(here, "truth.json")))
    own = truth["own"]
    tt = np.array([o["t"] for o in own])
    tm = np.array([o["metres"] for o in own])
    tr = np.array([o["rate"] for o in own], float)
    _, strokes = table(run("strokes", folder, "--csv") or "t\n")
    at = np.array([number(r[0]) for r in strokes])
    rate = np.array([number(r[1]) for r in strokes])
    _, hull = table(run("hull", folder, "--csv", "--hz", "10"))
    ht = np.array([number(r[0]) for r in hull])
    hm = np.array([number(r[1]) for r in hull])
    document = json.loads(run("debrief", folder, "--json"))
    joined = document["clock"].get("maps") or []

    # The shift of our clock that fits the truth's distances from the start best.
    best = None
    for shift in np.arange(-700, 700, 0.05) if not joined else np.arange(-12, 12, 0.05):
        ours = np.interp(tt + shift, ht, hm, left=np.nan, right=np.nan)
        d = ours - ours[0] - tm
        if np.isnan(d).any():
            continue
        rms = np.sqrt((d ** 2).mean())
        if best is None or rms < best[0]:
            best = (rms, shift, ours[0])
    rms, shift, zero = best
    line = [folder, str(len(strokes))]
    if len(strokes):
        mine = np.array([rate[np.abs(at - (t + shift)).argmin()] if np.abs(at - (t + shift)).min() < 2 else np.nan for t in tt])
        d = (mine - tr)[(tt > tt[0] + 10) & ~np.isnan(mine)]
        line.append(f"{d.mean():+.2f}, {np.sqrt((d ** 2).mean()):.2f}")
    else:
        # From sound and what else the vote took.
        r = (document.get("rowed") or {}).get("rate") or []
        if r:
            mine = np.interp(tt, [x["t"] for x in r], [x["rate"] for x in r])
            d = (mine - tr)[tt > tt[0] + 10]
            line.append(f"{d.mean():+.2f}, {np.sqrt((d ** 2).mean()):.2f} (from {', '.join(sorted({x['source'] for x in r}))})")
        else:
            line.append("refused")
    calls = [json.loads(x) for x in open(os.path.join(here, "calls.jsonl"))]
    if len(strokes):
        said = [(c["spm"] - rate[np.abs(at - (c["t"] + shift - 3)).argmin()]) for c in calls if c["type"] == "rate" and c["sense"] == "now" and np.abs(at - (c["t"] + shift - 3)).min() < 3]
        line.append(f"{len(said)}, {np.median(said):+.1f}, {np.quantile(said, .25):+.1f} to {np.quantile(said, .75):+.1f}" if said else "none")
        rows, last = [], None
        for c in calls:
            if c["type"] != "count":
                continue
            if last and c["n"] == last["n"] + 1 and c["t"] - last["t"] < 4:
                rows[-1].append(c)
            else:
                rows.append([c])
            last = c
        rows = [r for r in rows if len(r) >= 4]
        spoken = sum(r[-1]["n"] - r[0]["n"] for r in rows)
        # A number is complete some tenths after its catch; half a stroke of room.
        found = sum(int(((at - shift > r[0]["t"] - 0.9) & (at - shift <= r[-1]["t"] - 0.9)).sum()) for r in rows)
        line.append(f"{len(rows)}, {spoken} / {found}" if rows else "none")
    else:
        line += ["", ""]
    line.append(f"{shift:+.2f}" if joined else "not joined")
    line.append(f"{rms:.1f}")
    length = tm[-1]
    go = tt[0]
    when = lambda m, t, x: np.interp(m, x, t)
    rising = np.maximum.accumulate(hm - zero)
    finish = when(length, ht - shift, rising) - go
    line.append(f"{finish:.2f} / {truth['finishAt'] - go if truth.get('finishAt') else tt[-1] - go:.2f}")
    marks = np.arange(500, length + 1, 500)
    off = [(when(m, ht - shift, rising) - when(m - 500, ht - shift, rising)) - (when(m, tt, tm) - when(m - 500, tt, tm)) for m in marks[1:]]
    line.append(", ".join(f"{o:+.2f}" for o in off[:6]))
    print("| " + " | ".join(line) + " |")
    print("".join(f"<!-- {folder}: {m['clock']} at {m['offset']:.2f} s, sd {m['offsetSd']:.2f}, {m['how']} -->\n" for m in joined), end="")
