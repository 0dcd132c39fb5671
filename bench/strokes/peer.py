"""The same work by SciPy and statsmodels on the same 90 minutes. bench/strokes writes motion.bin and fix.bin and starts this by turns with its own.

By hand: OMP_NUM_THREADS=1 /usr/bin/python3 peer.py FOLDER both|detection
Prints versions, seconds of detection, seconds of one smoother pass.
"""
import sys
import time

import numpy as np
import scipy
import statsmodels
import statsmodels.api as sm
from scipy import signal

folder = sys.argv[1]
a = np.fromfile(folder + "/motion.bin").reshape(-1, 6)
fix = np.fromfile(folder + "/fix.bin").reshape(-1, 2)


def detect():
    """Gravity out, principal axis, zero-phase band-pass, local period by autocorrelation of 9 s each second, minima apart by 0.55 of it, sharpened on the mean waveform; roll and yaw by a complementary filter."""
    six = a.reshape(-1, 2, 6).mean(axis=1)
    x = six[:, :3]
    fs = 50
    low = signal.butter(2, 0.05, fs=fs, output="sos")
    g = signal.sosfiltfilt(low, x, axis=0)
    up = g / np.linalg.norm(g, axis=1, keepdims=True)
    h = x - g
    h = h - (h * up).sum(axis=1, keepdims=True) * up
    band = signal.butter(2, [0.2, 6], "bandpass", fs=fs, output="sos")
    hb = signal.sosfiltfilt(band, h, axis=0)
    w, v = np.linalg.eigh(hb.T @ hb)
    axis = v[:, -1]
    f = hb @ axis
    if -f.min() < f.max():
        f, axis = -f, -axis
    y = f[: len(f) // 4 * 4].reshape(-1, 4).mean(axis=1)
    width = int(9 * 12.5)
    starts = range(0, len(y) - width, 12)
    frames = np.stack([y[s:s + width] for s in starts])
    frames = frames - frames.mean(axis=1, keepdims=True)
    s = np.fft.rfft(frames, 256, axis=1)
    r = np.fft.irfft(np.abs(s) ** 2, axis=1)[:, :75]
    r = r / np.maximum(r[:, :1], 1e-9)
    lag = np.empty(len(r))
    for i, row in enumerate(r):
        p, _ = signal.find_peaks(row[12:])
        p = p + 12
        lag[i] = p[np.argmax(row[p] >= 0.8 * row[p].max())] / 12.5 if len(p) else 2
    period = np.interp(np.arange(len(f)) / fs, np.arange(len(lag)) * 0.96 + 4.5, lag)
    p, _ = signal.find_peaks(-f, height=0.7)
    keep = []
    for k in p:
        if keep and (k - keep[-1]) / fs < 0.55 * period[k]:
            if f[k] < f[keep[-1]]:
                keep[-1] = k
        else:
            keep.append(k)
    keep = np.array([k for k in keep if 30 < k < len(f) - 30])
    waves = np.stack([f[k - 20:k + 21] for k in keep])
    mean = np.stack([waves[max(0, i - 5):i + 6].mean(axis=0) for i in range(len(waves))])
    slope = np.gradient(mean, 1 / fs, axis=1)
    shift = -((waves - mean) * slope).sum(axis=1) / np.maximum((slope ** 2).sum(axis=1), 1e-9)
    port = np.cross(up, axis)
    slow = np.degrees(np.arcsin(np.clip((x * port).sum(axis=1) / 9.80665, -1, 1)))
    rate = six[:, 3:] @ axis
    angle = np.degrees(np.cumsum(rate - rate.mean())) / fs
    yaw = -np.degrees(np.cumsum((six[:, 3:] * up).sum(axis=1))) / fs
    roll = angle + signal.sosfiltfilt(signal.butter(1, 1 / (2 * np.pi * 1.5), fs=fs, output="sos"), slow - angle)
    at = (keep + shift * fs).astype(int)
    set_ = [roll[i:j].std() for i, j in zip(at[:-1], at[1:])]
    swing = [np.ptp(yaw[i:j]) for i, j in zip(at[:-1], at[1:])]
    return keep / fs + shift, f, set_, swing


class Fusion(sm.tsa.statespace.MLEModel):
    def __init__(self, z, u, dt):
        super().__init__(z, k_states=3, k_posdef=1)
        self["design"] = np.array([[1.0, 0, 0], [0, 1, 0]])
        self["transition"] = np.array([[1, dt, -dt * dt / 2], [0, 1, -dt], [0, 0, 1]])
        self["selection"] = np.array([[dt * dt / 2], [dt], [1e-4]])
        self["state_cov"] = np.array([[0.2]])
        self["obs_cov"] = np.diag([0.04, 0.01])
        self["state_intercept"] = np.vstack([u * dt * dt / 2, u * dt, np.zeros_like(u)])
        self.ssm.initialize_known(np.zeros(3), np.diag([10.0, 10, 1]))


times = []
for _ in range(5):
    t0 = time.perf_counter()
    catches, f, _, _ = detect()
    times.append(time.perf_counter() - t0)
print(f"SciPy {scipy.__version__}, NumPy {np.__version__}, statsmodels {statsmodels.__version__}, {len(catches)} catches")
print(f"{min(times):.4f}")
if sys.argv[2] != "both":
    sys.exit()

n = len(f)
z = np.full((n, 2), np.nan)
z[::50] = fix[: len(z[::50])]
times = []
for _ in range(2):
    t0 = time.perf_counter()
    Fusion(z, f, 1 / 50).ssm.smooth()
    times.append(time.perf_counter() - t0)
print(f"{min(times):.3f}")
