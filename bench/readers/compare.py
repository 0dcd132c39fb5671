"""Whole processes side by side: stakeboat convert and gpsbabel on the same files (bench/readers/inputs.py). Processor time (user and system) and wall time,
the least of N runs in turn.

Run: /usr/bin/python3 bench/readers/compare.py FOLDER STAKEBOAT [N]     STAKEBOAT: the published program or dll
"""
import os
import shutil
import sys
import time

folder, program = sys.argv[1], sys.argv[2]
n = int(sys.argv[3]) if len(sys.argv) > 3 else 10
ours = ["dotnet", program] if program.endswith(".dll") else [program]
cases = [
    ("6 h at 1 Hz, GPX to CSV", ["six-hours.gpx", "csv"], ["gpx", "six-hours.gpx", "unicsv"]),
    ("6 h at 1 Hz, GPX to GPX", ["six-hours.gpx", "gpx"], ["gpx", "six-hours.gpx", "gpx"]),
    ("6 h at 1 Hz, FIT to CSV", ["six-hours.fit", "csv"], ["garmin_fit", "six-hours.fit", "unicsv"]),
    ("6 h at 1 Hz, FIT to GPX", ["six-hours.fit", "gpx"], ["garmin_fit", "six-hours.fit", "gpx"]),
    ("90 min at 100 Hz, nine columns with positions, CSV to GPX", ["positions.csv", "gpx"], ["unicsv", "positions.csv", "gpx"]),
    ("90 min at 100 Hz, nine columns of motion, CSV read (inspect)", ["motion.csv", None], None),
    ("start alone (--version)", None, None),
]


def once(argv):
    started = time.perf_counter()
    pid = os.fork()
    if pid == 0:
        null = os.open(os.devnull, os.O_WRONLY)
        os.dup2(null, 1)
        os.dup2(null, 2)
        os.execvp(argv[0], argv)
    _, status, usage = os.wait4(pid, 0)
    assert status == 0, argv
    return usage.ru_utime + usage.ru_stime, time.perf_counter() - started, usage.ru_maxrss / 1024


print("| what | ours: processor s, wall s, MB | gpsbabel: processor s, wall s, MB | ratio (processor) | ratio (wall) |\n|---|---|---|---|---|")
for name, mine, theirs in cases:
    a = ours + ["--version"] if mine is None else ours + ["inspect", f"{folder}/{mine[0]}"] if mine[1] is None else ours + ["convert", f"{folder}/{mine[0]}", "-o", f"{folder}/out.{mine[1]}"]
    b = None if theirs is None else ["gpsbabel", "-t", "-i", theirs[0], "-f", f"{folder}/{theirs[1]}", "-o", theirs[2], "-F", f"{folder}/out.theirs"]
    best = [[1e9] * 3, [1e9] * 3]
    for _ in range(n):
        for k, argv in enumerate((a, b)):
            if argv:
                best[k] = [min(x, y) for x, y in zip(best[k], once(argv))]
    show = ["{:.3f}, {:.3f}, {:.0f}".format(*x) for x in best]
    print(f"| {name} | {show[0]} | {show[1] if b else ''} | {best[1][0] / best[0][0]:.1f} | {best[1][1] / best[0][1]:.1f} |" if b else f"| {name} | {show[0]} | | | |", flush=True)
