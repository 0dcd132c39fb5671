#!/usr/bin/python3
"""Makes tiny recordings with sox and ffmpeg, and writes what ffmpeg hears in them (sound.json).
Run: /usr/bin/python3 oracles/readers/sound.py   (Debian: sox libsox-fmt-mp3 ffmpeg flac python3-numpy)"""
import json, os, subprocess as sp
import numpy as np

here = os.path.join(os.path.dirname(os.path.abspath(__file__)), "sound")
os.makedirs(here, exist_ok=True)


def run(*a, **k):
    return sp.run(a, check=True, capture_output=True, **k).stdout


rng = np.random.default_rng(7)


def tone(rate, seconds, channels):
    """Silence, then a sweep with clicks: its beginning can be found to a sample."""
    t = np.arange(int(rate * seconds)) / rate
    x = 0.4 * np.sin(2 * np.pi * (200 * t + 700 * t * t)) * (t > 0.2) * np.minimum(1, (t - 0.2) * 50).clip(0)
    x += 0.01 * rng.standard_normal(len(t))
    y = np.stack([x * (1 - 0.3 * c) for c in range(channels)], 1)
    return (y * 32767).astype("<i2")


def src(rate, seconds, channels):
    path = "/tmp/readers-src.raw"
    tone(rate, seconds, channels).tofile(path)
    return ["-t", "raw", "-e", "signed", "-b", "16", "-r", str(rate), "-c", str(channels), path]


def sox(name, rate, seconds, channels, *out):
    run("sox", "-D", *src(rate, seconds, channels), *out, os.path.join(here, name))


sox("u8.wav", 8000, 0.6, 1, "-e", "unsigned", "-b", "8")
sox("s16.wav", 8000, 0.6, 1)
sox("s24.wav", 8000, 0.6, 2, "-b", "24")
sox("s32ext.wav", 8000, 0.6, 1, "-b", "32")
sox("f32.wav", 8000, 0.6, 1, "-e", "float", "-b", "32")
sox("f64.wav", 8000, 0.6, 1, "-e", "float", "-b", "64")
sox("s16.flac", 16000, 1.0, 1)
sox("s24st.flac", 16000, 0.5, 2, "-b", "24")
run("flac", "-8", "-f", "-s", "-m", "--no-padding", "-o", os.path.join(here, "best.flac"), os.path.join(here, "s24.wav"))
sox("mono.mp3", 16000, 1.0, 1)
sox("stereo.ogg", 16000, 1.0, 2)
sox("tmp.wav", 44100, 1.0, 2)
ff = ["ffmpeg", "-y", "-v", "error", "-bitexact", "-i", os.path.join(here, "tmp.wav")]
run(*ff, "-c:a", "libmp3lame", "-b:a", "64k", os.path.join(here, "lame.mp3"))
run(*ff, "-c:a", "libopus", "-b:a", "32k", os.path.join(here, "stereo.opus"))
run(*ff, "-ac", "1", "-c:a", "libopus", "-b:a", "24k", os.path.join(here, "mono.opus"))
run(*ff, "-ac", "1", "-c:a", "aac", "-b:a", "32k", os.path.join(here, "mono.m4a"))
run(*ff, "-ac", "1", "-f", "wav", "pipe:1")
with open(os.path.join(here, "streamed.wav"), "wb") as f:
    f.write(run(*ff, "-ac", "1", "-ar", "8000", "-f", "wav", "pipe:1"))
os.remove(os.path.join(here, "tmp.wav"))

# Opus through the reference library: ffmpeg's own decoder lies two samples off it at 48 kHz.
out = {"versions": {"ffmpeg": run("ffmpeg", "-version").decode().split("\n")[0].split(" Copyright")[0],
                    "sox": run("sox", "--version").decode().strip().split()[-1],
                    "flac": run("flac", "--version").decode().strip(), "numpy": np.__version__}, "files": {}}
for name in sorted(os.listdir(here)):
    path = os.path.join(here, name)
    rate, channels = run("ffprobe", "-v", "error", "-show_entries", "stream=sample_rate,channels", "-of", "csv=p=0", path).decode().strip().split(",")
    x = np.frombuffer(run("ffmpeg", "-v", "error", *(["-c:a", "libopus"] if name.endswith("opus") else []), "-i", path, "-f", "f32le", "pipe:1"), "<f4").reshape(-1, int(channels)).mean(1)
    at = [int(len(x) * k / 12) for k in range(1, 12)]
    out["files"][name] = {"rate": int(rate), "channels": int(channels), "samples": len(x), "rms": float(np.sqrt(np.mean(x ** 2))),
                          "at": at, "values": [float(x[i]) for i in at]}
json.dump(out, open(os.path.join(os.path.dirname(here), "sound.json"), "w"), indent=1)
print(json.dumps(out["versions"]))
