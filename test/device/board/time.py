import board

PERIOD = 1 << 30  # of the counters of a 32-bit board


def ticks_us():
    return (board.us + board.ticks_from_us) & (PERIOD - 1)


def ticks_ms():
    return ((board.us + board.ticks_from_us) // 1000) & (PERIOD - 1)


def ticks_diff(a, b):
    return ((a - b + PERIOD // 2) & (PERIOD - 1)) - PERIOD // 2


def sleep(s):
    board.us += s * 1_000_000
