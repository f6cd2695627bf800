"""Cuts a log into pump runs by a fixed threshold: start, stop, cut-in, cut-out, mean amps."""
import csv
import gzip
import sys

path = sys.argv[1]
runs = 0
was = False
with gzip.open(path, "rt") if path.endswith(".gz") else open(path) as log:
    rows = csv.reader(log)
    next(rows)
    for time, pressure, current in rows:
        amps = float(current)
        on = amps > 1
        if on and not was:
            runs += 1
            start, low, total, count = time, float(pressure), 0.0, 0
        if on:
            total += amps
            count += 1
        elif was:
            print(start, time, low, float(pressure), f"{total / count:.2f}")
        was = on
print(runs)
