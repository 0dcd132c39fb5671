"""Writes calls.csv: 300 position calls of a seven-minute race between six crews; any plausible set will do, so it is made by a fixed formula with a seed."""
import csv, math, random
random.seed(20261125)
speed = [0.05, -0.02, 0.09, 0.02, 0.13]
w = csv.writer(open("calls.csv", "w", newline=""))
w.writerow(["t", "rival", "low", "high"])
for n in range(300):
    t = round(6 + 410 * (n + random.random()) / 300, 2)
    i = random.randrange(5)
    m = speed[i] * (t - 5) + 1.5 * math.sin(t / 40 + i) * min(1, t / 60)
    told = m + random.gauss(0.2, 0.7)
    if random.random() < 0.05:
        told += random.choice([-1, 1]) * random.uniform(4, 10)
    if abs(told) > 17.6:
        lo, hi = (17.6, math.inf) if told > 0 else (-math.inf, -17.6)
    else:
        k = round(told / 1.4)
        lo, hi = (k - 0.5) * 1.4, (k + 0.5) * 1.4
    w.writerow([t, i + 1, round(lo, 3), round(hi, 3)])
