# What is yours about the well. Change the right-hand sides, copy both files to the board.

WIFI_NAME = "name of the network"
WIFI_PASSWORD = "its password"

WELL = "my-well"  # the id of the well file
DEVICE = ""  # a name in letters, digits and dashes, where a well has several devices
SERVER = "192.168.1.10"  # where the service runs; in numbers, a name makes the board wait
PORT = 1883  # of its MQTT without TLS: --plain-mqtt where access is set up
USER = ""  # where access is set up, WELL/DEVICE as it was let in, as in "my-well/tee"
PASSWORD = ""  # its key
TIME_SERVER = ""  # an NTP server, in numbers; "": no clock, the service goes by the uptime

PRESSURE_PIN = 26  # converter inputs of the board
CURRENT_PIN = 27
FULL_SCALE_V = 3.3  # voltage at the pin that gives the greatest count
AMPS_PER_V = 30.0  # amperes in the conductor for one volt RMS at the pin, for the next but one
MAINS_HZ = 60  # or 50
RUN_A = 1.0  # above this the pump runs

MOVE_V = 0.004  # the pressure moves when it is this far from the last one sent (about 1 kPa)
FAST_S = 1.0  # between readings while the pump runs or the pressure moves
REST_S = 10.0  # between readings at rest; [logging] of the well file says the same

KEEP_FILES = 50  # files of 4 KiB kept in flash without the network, 93 readings each; 0: none
WATCHDOG = False  # True once all works: a board that hangs starts anew after 8 s
