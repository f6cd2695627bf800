# State of the simulated board: its clock, and what lies at its two inputs.
import math
import random

us = 0
ticks_from_us = 0  # where the counters of the board stand at us = 0
unix_s = 1_775_433_600  # true time at us = 0
stratum = 2  # of the NTP server; 0 says nothing (RFC 5905 figure 11)
bites_at_us = 1 << 60  # the watchdog
sample_us = 500
mains_hz = 60.0
amps_per_v = 30.0
full_v = 3.3
middle_v = 1.65
clip_low_v = 0.0
clip_high_v = 3.3
noise_v = 0.0
third_share = 0.0  # of a third harmonic
fifth_share = 0.0
hum_v = 0.0  # of the mains on the pressure
runs = []  # (from s, to s, A rms), at one time the first counts
pressures = [(0.0, 1.4)]  # (s, V), straight lines between


def amps_at(s):
    for begin, end, amps in runs:
        if begin <= s < end:
            return amps
    return 0.0


def level_at(s):
    before = pressures[0]
    for point in pressures:
        if point[0] > s:
            share = (s - before[0]) / (point[0] - before[0])
            return before[1] + share * (point[1] - before[1])
        before = point
    return before[1]


def gauss():
    return (random.random() + random.random() + random.random() - 1.5) * 2


def counts(volts):
    volts = min(max(volts, clip_low_v), clip_high_v)
    return min(65535, max(0, int(volts / full_v * 4095 + 0.5) * 16))


def current():
    global us
    us += sample_us
    s = us * 1e-6
    volts = middle_v
    amps = amps_at(s)
    if amps:
        angle = 2 * math.pi * mains_hz * s
        wave = math.sin(angle)
        if third_share:
            wave += third_share * math.sin(3 * angle)
        if fifth_share:
            wave += fifth_share * math.sin(5 * angle + 1)
        volts += amps / amps_per_v * 1.4142135623730951 * wave
    if noise_v:
        volts += noise_v * gauss()
    return counts(volts)


def pressure():
    s = us * 1e-6
    return counts(level_at(s) + hum_v * math.sin(2 * math.pi * mains_hz * s))
