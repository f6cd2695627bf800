import board


class Pin:
    def __init__(self, number):
        self.number = number


class ADC:
    def __init__(self, pin):
        self.read_u16 = {26: board.pressure, 27: board.current}[pin.number]


def reset():
    raise SystemExit("reset")
