#!/usr/bin/python3
"""Has gpsbabel write a small track in its formats (tracks/) and read them and our own conversions back (tracks.json).
Run after building src/Stakeboat.Cli: /usr/bin/python3 oracles/readers/tracks.py   (Debian: gpsbabel python3-webvtt python3-srt)"""
import json, math, os, subprocess as sp
import xml.etree.ElementTree as ET
from datetime import datetime, timedelta, timezone

here = os.path.dirname(os.path.abspath(__file__))
root = os.path.dirname(os.path.dirname(here))
dir_ = os.path.join(here, "tracks")
os.makedirs(dir_, exist_ok=True)
cli = ["dotnet", os.path.join(root, "src/Stakeboat.Cli/bin/Release/net10.0/stakeboat.dll")]


def path(n):
    return os.path.join(dir_, n)


def run(*a):
    return sp.run(a, check=True, capture_output=True, cwd=dir_).stdout


T0 = datetime(2026, 4, 4, 10, 0, 0, tzinfo=timezone.utc)
points = []
lat, lon = 48.2133955, -86.4470991
for i in range(80):
    v = 4.8 + 0.3 * math.sin(i / 7)
    lat += v * math.cos(0.7 + i / 200) / 111200
    lon += v * math.sin(0.7 + i / 200) / 74100
    t = T0 + timedelta(seconds=i + (7 if i > 50 else 0))
    points.append((round(lat, 7), round(lon, 7), t, 182 + i % 3 * 0.2, v, 140 + i % 20, 30 + i % 5))
ns = 'xmlns="http://www.topografix.com/GPX/1/1" xmlns:gpxtpx="http://www.garmin.com/xmlschemas/TrackPointExtension/v1"'
with open(path("source.gpx"), "w") as f:
    f.write(f'<?xml version="1.0" encoding="UTF-8"?>\n<gpx version="1.1" creator="test" {ns}>\n<trk><name>reach</name><trkseg>\n')
    for la, lo, t, e, v, h, c in points:
        f.write(f'<trkpt lat="{la:.7f}" lon="{lo:.7f}"><ele>{e:.1f}</ele><time>{t:%Y-%m-%dT%H:%M:%SZ}</time><extensions><gpxtpx:TrackPointExtension>'
                f'<gpxtpx:hr>{h}</gpxtpx:hr><gpxtpx:cad>{c}</gpxtpx:cad></gpxtpx:TrackPointExtension></extensions></trkpt>\n')
    f.write("</trkseg></trk></gpx>\n")

formats = {"gpx": "gpx", "gpx10": "gpx,gpxver=1.0", "tcx": "gtrnctr", "fit": "garmin_fit", "nmea": "nmea"}
names = {"gpx": "babel.gpx", "gpx10": "babel10.gpx", "tcx": "babel.tcx", "fit": "babel.fit", "nmea": "babel.nmea"}
for k, f in formats.items():
    run("gpsbabel", "-t", "-i", "gpx", "-f", "source.gpx", "-o", f, "-F", names[k])
# gpsbabel marks what it writes as not valid and then does not read it; and it gives a GGA that follows its RMC the time of the next RMC.
# So: the same sentences marked valid, GGA first.
with open(path("babel.nmea")) as f, open(path("valid.nmea"), "w") as g:
    pair = []
    for line in f:
        q = line.strip()[1:].split("*")[0].split(",")
        q[2 if q[0].endswith("RMC") else 6] = "A" if q[0].endswith("RMC") else "1" if q[0].endswith("GGA") else q[6]
        body = ",".join(q)
        x = 0
        for ch in body:
            x ^= ord(ch)
        pair.insert(0, f"${body}*{x:02X}\r\n")
        if len(pair) == 2:
            g.writelines(pair)
            pair = []
    assert not pair


def referee(fmt, file):
    """Fixes as gpsbabel reads them: unix time, degrees, and what it keeps of the rest."""
    xml = run("gpsbabel", "-t", "-i", fmt, "-f", file, "-o", "gpx,garminextensions", "-F", "-")
    out = [p for p in ET.fromstring(xml).iter() if p.tag.split("}")[1] in ("trkpt", "rtept")]
    rows = []
    for p in out:
        t = hr = cad = ele = None
        for e in p.iter():
            n = e.tag.split("}")[1]
            if n == "time":
                t = datetime.fromisoformat(e.text.replace("Z", "+00:00")).timestamp()
            elif n == "hr":
                hr = float(e.text)
            elif n == "cad":
                cad = float(e.text)
            elif n == "ele":
                ele = float(e.text)
        rows.append([t, float(p.get("lat")), float(p.get("lon")), ele, hr, cad])
    return rows


result = {"versions": {"gpsbabel": run("gpsbabel", "-V").decode().strip()}, "read": {}, "ours": {}}
for k, f in formats.items():
    n = "valid.nmea" if k == "nmea" else names[k]
    result["read"][n] = referee(f.split(",")[0], n)
# What we write, gpsbabel reads.
for k in formats:
    ours = "ours-" + k + ".gpx"
    run(*cli, "convert", names[k], "-o", ours)
    result["ours"][ours] = {"from": names[k], "fixes": referee("gpx", ours)}
run(*cli, "convert", names["tcx"], "-o", "ours.csv")
result["ours"]["ours.csv"] = {"from": names["tcx"], "fixes": referee("unicsv", "ours.csv")}
run(*cli, "convert", names["fit"], "-o", "ours.geojson")
result["ours"]["ours.geojson"] = {"from": names["fit"], "fixes": referee("geojson", "ours.geojson")}
json.dump(result, open(os.path.join(here, "tracks.json"), "w"), separators=(",", ":"))
print({k: len(v) for k, v in result["read"].items()}, {k: len(v["fixes"]) for k, v in result["ours"].items()})
