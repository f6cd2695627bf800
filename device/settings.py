# What is yours about the well. Change the right-hand sides, copy both files to the board.

WIFI_NAME = "name of the network"
WIFI_PASSWORD = "its password"

WELL = "my-well"  # the id of the well file
DEVICE = ""  # a name in letters, digits and dashes, where a well has several devices
SERVER = "192.168.1.10"  # where the service runs; in numbers, a name makes the board wait
WAY = "mqtt"  # or "http"
PORT = 1883  # of the service, for the way above
USER = ""  # where the service asks for one
PASSWORD = ""
TIME_SERVER = ""  # an NTP server, in numbers; "": no clock, the service goes by the uptime

PRESSURE_PIN = 26  # converter inputs of the board
CURRENT_PIN = 27
FULL_SCALE_V = 3.3  # voltage at the pin that gives the greatest count

SEND = "raw"  # volts, made into pressure and current by the dated calibration of the well file;
# or "si", made into Pa and A here, by the next three
ZERO_V = 0.33  # voltage at the pin without pressure
PA_PER_V = 2.61e5  # pascals for one volt more (1 psi is 6895 Pa)
AMPS_PER_V = 30.0  # amperes in the conductor for one volt RMS at the pin

RUN_A = 1.0  # above this the pump runs
MOVE_PA = 1000  # the pressure moves when it is this far from the last one sent
FAST_S = 1.0  # between readings while the pump runs or the pressure moves
REST_S = 10.0  # between readings at rest

KEEP_IN_RAM = 1000  # readings kept in memory without the network, 28 bytes each
KEEP_FILES = 40  # files of 4 KiB kept in flash when there are more; 0: none
SHOW = True  # prints each reading where a terminal is connected
