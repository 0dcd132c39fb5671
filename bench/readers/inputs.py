"""Makes the inputs of the readers' benchmark: a 6-hour 1 Hz track as GPX and FIT, 90 minutes at 100 Hz as CSV (motion, and positions as gpsbabel's unicsv reads them).

Run: /usr/bin/python3 bench/readers/inputs.py FOLDER
"""
import datetime
import math
import os
import random
import struct
import sys

folder = sys.argv[1]
os.makedirs(folder, exist_ok=True)
random.seed(20260404)
START = datetime.datetime(2026, 4, 4, 10, 0, 0, tzinfo=datetime.timezone.utc)
NIBBLE = [0x0000, 0xCC01, 0xD801, 0x1400, 0xF001, 0x3C00, 0x2800, 0xE401, 0xA001, 0x6C00, 0x7800, 0xB401, 0x5000, 0x9C01, 0x8801, 0x4400]


def crc(data):
    c = 0
    for b in data:
        c = (c >> 4) ^ NIBBLE[c & 15] ^ NIBBLE[b & 15]
        c = (c >> 4) ^ NIBBLE[c & 15] ^ NIBBLE[b >> 4]
    return c


def track(seconds, hertz):
    """Latitude, longitude, altitude, speed, heart rate, cadence along a lake, up and down."""
    for i in range(int(seconds * hertz) + 1):
        t = i / hertz
        along = 3000 * abs(((t * 4.5 / 3000) % 2) - 1)
        yield (t, 48.1 + along / 111200 + random.gauss(0, 2e-7), 9.1 + 2e-5 * math.sin(t / 40) + random.gauss(0, 2e-7), 402 + random.gauss(0, 0.3),
               4.5 + random.gauss(0, 0.1), 140 + int(20 * math.sin(t / 300)), 24 + i % 3)


with open(f"{folder}/six-hours.gpx", "w") as f:
    f.write('<?xml version="1.0" encoding="UTF-8"?>\n<gpx version="1.1" creator="watch" xmlns="http://www.topografix.com/GPX/1/1" '
            'xmlns:gpxtpx="http://www.garmin.com/xmlschemas/TrackPointExtension/v1">\n <trk><name>Six hours</name><trkseg>\n')
    for t, la, lo, alt, v, hr, cad in track(6 * 3600, 1):
        at = (START + datetime.timedelta(seconds=t)).strftime("%Y-%m-%dT%H:%M:%S.000Z")
        f.write(f'  <trkpt lat="{la:.7f}" lon="{lo:.7f}">\n   <ele>{alt:.1f}</ele>\n   <time>{at}</time>\n   <extensions>\n    <gpxtpx:TrackPointExtension>\n'
                f'     <gpxtpx:hr>{hr}</gpxtpx:hr>\n     <gpxtpx:cad>{cad}</gpxtpx:cad>\n    </gpxtpx:TrackPointExtension>\n   </extensions>\n  </trkpt>\n')
    f.write(" </trkseg></trk>\n</gpx>\n")

data = bytearray([0x40, 0, 0, 0, 0, 3, 0, 1, 0, 1, 2, 0x84, 4, 4, 0x86, 0, 4, 1, 0]) + struct.pack("<I", 1144231200)
data += bytes([0x41, 0, 0, 20, 0, 8, 253, 4, 0x86, 0, 4, 0x85, 1, 4, 0x85, 5, 4, 0x86, 2, 2, 0x84, 6, 2, 0x84, 3, 1, 2, 4, 1, 2])
for t, la, lo, alt, v, hr, cad in track(6 * 3600, 1):
    data += struct.pack("<BIiiIHHBB", 1, 1144231200 + int(t), round(la * 2**31 / 180), round(lo * 2**31 / 180), int(t * 450), round((alt + 500) * 5), round(v * 1000), hr, cad)
head = struct.pack("<BBHI4s", 14, 0x20, 2100, len(data), b".FIT")
head += struct.pack("<H", crc(head))
with open(f"{folder}/six-hours.fit", "wb") as f:
    f.write(head + data + struct.pack("<H", crc(head + data)))

with open(f"{folder}/motion.csv", "w") as f:
    f.write("time_ms,acc_x (m/s2),acc_y (m/s2),acc_z (m/s2),gyro_x (rad/s),gyro_y (rad/s),gyro_z (rad/s),speed (m/s),heartrate\n")
    for i in range(540000):
        g = [random.gauss(0, 1) for _ in range(6)]
        f.write(f"{i * 10},{g[0]:.6f},{g[1]:.6f},{9.80665 + g[2]:.6f},{g[3] / 10:.6f},{g[4] / 10:.6f},{g[5] / 10:.6f},{4.5 + g[0] / 10:.3f},{150 + i % 7}\n")

with open(f"{folder}/positions.csv", "w") as f:
    f.write("utc_d,utc_t,latitude,longitude,altitude,speed,course,hdop,heartrate\n")
    for t, la, lo, alt, v, hr, cad in track(5400, 100):
        at = START + datetime.timedelta(seconds=t)
        f.write(f"{at:%Y/%m/%d},{at:%H:%M:%S}.{at.microsecond // 1000:03d},{la:.7f},{lo:.7f},{alt:.1f},{v:.2f},{(t * 3) % 360:.1f},0.9,{hr}\n")
