"""Other implementations' answers for Numerics, Signals and Measurement.

Run: /usr/bin/python3 oracles/strokes/oracle.py   (Debian: python3-scipy, python3-statsmodels, python3-geographiclib)
Writes oracle.json beside itself, with the versions that ran.
"""
import json
import os

import geographiclib
import numpy as np
import scipy
import statsmodels
import statsmodels.api as sm
from geographiclib.geodesic import Geodesic
from scipy import signal
from scipy.linalg import solve_discrete_are

rng = np.random.default_rng(20)
out = {"versions": {"numpy": np.__version__, "scipy": scipy.__version__, "statsmodels": statsmodels.__version__,
                    "geographiclib": geographiclib.__version__}}

x = np.round(np.cumsum(rng.normal(size=300)) * 0.3 + rng.normal(size=300), 6)
out["signal"] = x.tolist()
filters = []
for kind, order, edge, fs in [("band", 2, [0.2, 6], 50), ("band", 3, [0.5, 4], 25), ("low", 3, [1.0], 20), ("low", 4, [2.0], 50), ("high", 2, [0.3], 50), ("high", 5, [0.5], 10)]:
    sos = signal.butter(order, edge if len(edge) == 2 else edge[0], {"band": "bandpass", "low": "lowpass", "high": "highpass"}[kind], fs=fs, output="sos")
    f = [0.05, 0.3, 0.7, 1.5, 3.0]
    _, h = signal.sosfreqz(sos, worN=f, fs=fs)
    filters.append({"kind": kind, "order": order, "edge": edge, "hz": fs, "at": f, "magnitude": np.abs(h).tolist(),
                    "once": signal.sosfilt(sos, x).tolist(), "zeroPhase": signal.sosfiltfilt(sos, x, padlen=20).tolist()})
out["filters"] = filters

riccati = []
for q, t, r in [(0.1, 1, 9), (0.5, 1, 2.25), (0.03, 0.2, 1.44), (3.0, 0.2, 0.09)]:
    F = np.array([[1, t], [0, 1]])
    Q = q * np.array([[t**3 / 3, t**2 / 2], [t**2 / 2, t]])
    H = np.array([[1.0, 0]])
    P = solve_discrete_are(F.T, H.T, Q, np.array([[r]]))
    k = P @ H.T / (H @ P @ H.T + r)
    U = P - k @ H @ P
    riccati.append({"q": q, "t": t, "r": r, "alpha": k[0, 0], "beta": k[1, 0] * t, "positionSd": U[0, 0]**.5, "speedSd": U[1, 1]**.5})
out["riccati"] = riccati

# Constant speed with white acceleration, uneven gaps written as missing values, known start: statsmodels' smoother.
n, T, q, r = 60, 1.0, 0.05, 0.5
truth = np.cumsum(np.cumsum(rng.normal(size=n) * q**.5))
z = np.round(truth + rng.normal(size=n) * r**.5, 6)
z[10:14] = np.nan
z[40] = np.nan


class Line(sm.tsa.statespace.MLEModel):
    def __init__(self, y):
        super().__init__(y, k_states=2, k_posdef=2)
        self["design"] = np.array([[1.0, 0]])
        self["transition"] = np.array([[1, T], [0, 1]])
        self["selection"] = np.eye(2)
        self["state_cov"] = q * np.array([[T**3 / 3, T**2 / 2], [T**2 / 2, T]])
        self["obs_cov"] = np.array([[r]])
        self.ssm.initialize_known(np.array([0.0, 0]), np.diag([4.0, 1.0]))


res = Line(z).ssm.smooth()
out["smoother"] = {"q": q, "t": T, "r": r, "z": [None if np.isnan(v) else v for v in z],
                   "position": res.smoothed_state[0].tolist(), "speed": res.smoothed_state[1].tolist(),
                   "positionVariance": res.smoothed_state_cov[0, 0].tolist(), "speedVariance": res.smoothed_state_cov[1, 1].tolist(),
                   "logLikelihood": float(res.llf_obs.sum())}

geo = []
for i in range(60):
    lat1, lon1 = rng.uniform(-85, 85), rng.uniform(-180, 180)
    s, a = (10 ** rng.uniform(1, 4.5), rng.uniform(-180, 180)) if i < 40 else (rng.uniform(1e5, 1.5e7), rng.uniform(-180, 180))
    d = Geodesic.WGS84.Direct(lat1, lon1, a, s)
    geo.append([lat1, lon1, a, s, d["lat2"], d["lon2"], d["azi2"]])
out["geodesics"] = geo
with open(os.path.join(os.path.dirname(os.path.abspath(__file__)), "oracle.json"), "w") as f:
    json.dump(out, f)
    f.write("\n")
print(out["versions"])
