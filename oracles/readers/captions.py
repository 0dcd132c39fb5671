#!/usr/bin/python3
"""What python3-webvtt and python3-srt read in small caption files and in the labelled races (captions.json).
Run: /usr/bin/python3 oracles/readers/captions.py   (Debian: python3-webvtt python3-srt)"""
import glob, json, os, re, subprocess as sp
import srt, webvtt

here = os.path.dirname(os.path.abspath(__file__))
root = os.path.dirname(os.path.dirname(here))
own = os.path.join(here, "captions")
os.makedirs(own, exist_ok=True)
files = {
    "short.vtt": "WEBVTT\n\n00:01.500 --> 00:03.000\nOn the thousand, now.\n\n01:00:02.000 --> 01:00:04.250 align:start position:10%\nThree seats,\nfour seats.\n",
    "ids.vtt": "WEBVTT - a title\nKind: captions\n\nNOTE made by hand\nover two lines\n\nSTYLE\n::cue { color: red }\n\nfirst\n00:00:00.000 --> 00:00:02.000\n<v Cox>Sit ready</v>\n\n2\n00:00:02.000 --> 00:00:05.125\nAttention &amp; <i>go</i>\n",
    "plain.srt": "1\n00:00:01,500 --> 00:00:03,000\nOn the thousand, now.\n\n2\n00:01:02,000 --> 00:01:04,250\nThree seats,\nfour seats.\n\n3\n01:00:00,000 --> 01:00:01,000\n<i>Power ten</i>\n",
    "crlf.srt": "\ufeff1\r\n00:00:01,500 --> 00:00:03,000\r\nBlade in.\r\n\r\n2\r\n00:00:04,000 --> 00:00:05,500\r\n42\r\n\r\n",
}
for n, t in files.items():
    with open(os.path.join(own, n), "w", newline="", encoding="utf-8") as f:
        f.write(t)


def squeeze(t):
    return re.sub(r"\s+", " ", re.sub(r"<[^>]*>", "", t)).strip()


def read(p):
    if p.endswith(".vtt"):
        return [[c.start_in_seconds, c.end_in_seconds, squeeze(c.text)] for c in webvtt.read(p)]
    with open(p, encoding="utf-8-sig") as f:
        return [[c.start.total_seconds(), c.end.total_seconds(), squeeze(c.content)] for c in srt.parse(f.read())]


out = {"versions": dict(line.split() for line in sp.run(["dpkg-query", "-W", "python3-webvtt", "python3-srt"], capture_output=True, text=True).stdout.splitlines()), "files": {}}
for p in sorted(glob.glob(own + "/*")) + sorted(glob.glob(root + "/data/corpus/*/*.vtt") + glob.glob(root + "/data/corpus/*/*.srt")):
    out["files"][os.path.relpath(p, root)] = read(p)
json.dump(out, open(os.path.join(here, "captions.json"), "w"), separators=(",", ":"))
print(out["versions"], {k: len(v) for k, v in out["files"].items()})
