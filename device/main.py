# Measures line pressure and pump current, and sends both. Settings stand in settings.py.
#
# Runs on a microcontroller with MicroPython. Each step samples 100 ms, five cycles of 50 Hz and
# six of 60 Hz, then sees to the network without ever waiting for it, so that no start of the pump
# is missed. A reading leaves memory only when the service has acknowledged it.
import binascii
import errno
import gc
import json
import math
import os
import select
import socket
import struct
import time
from array import array

import machine
import network
import settings

NAN = float("nan")
BLOCK_US = 100_000
# Shorter is no half cycle of the mains, longer is no cycle.
LEAST_HALF_S = 0.005
MOST_CYCLE_S = 0.030
START_MS = 3000
# After this long without looking, the beginning of a start may have been missed.
BLIND_MS = 60
STAY_FAST_MS = 5000
ANSWER_MS = 10_000
KEEP_ALIVE_S = 30
RETRY_MS = 2000
RETRY_MOST_MS = 60_000
CLOCK_AGAIN_MS = 3_600_000
LONGEST_MESSAGE = 1024
LONGEST_PLEASE_S = 86_400
# A reading: seq, uptime [ms], pressure [V], current [V], peak [A], start time [s].
READING = "<Iqffff"
READING_SIZE = struct.calcsize(READING)
# Head of a file: boot, Unix ms at uptime 0 or 0.
HEAD = "<Iq"
HEAD_SIZE = struct.calcsize(HEAD)
FILE_READINGS = (4096 - HEAD_SIZE) // READING_SIZE
PACK_READINGS = 10


class Uptime:
    """Milliseconds since the start; the board's counter wraps, this does not."""

    def __init__(self):
        self.last = time.ticks_ms()
        self.total = 0

    def ms(self):
        now = time.ticks_ms()
        self.total += time.ticks_diff(now, self.last)
        self.last = now
        return self.total


class Meter:
    """Means and true RMS of the two inputs, in volts."""

    def __init__(self, pressure, current):
        self.pressure = pressure
        self.current = current
        self.volts = settings.FULL_SCALE_V / 65535
        # A crossing counts when the wave has gone this far beyond zero: noise makes none.
        reach_v = settings.RUN_A / settings.AMPS_PER_V / 2
        self.reach = max(4, int(reach_v / self.volts) >> 2)
        self.zero = 0
        self.least_half = 1
        self.samples = 0
        for _ in range(64):
            self.zero += current()
        self.zero //= 64
        self.block()

    def block(self):
        """
        Samples for 100 ms. Gives pressure [V], RMS current [V] over whole cycles, and the RMS of
        each cycle [(ms since the beginning, V)], anew with every half cycle.
        """
        current, pressure, ticks, diff = self.current, self.pressure, time.ticks_us, time.ticks_diff
        zero, reach, least = self.zero, self.reach, self.least_half
        # Integers that fit a machine word leave no garbage to collect amid a cycle.
        n = total = squares = many = pressures = 0
        before = 0
        is_up = None
        since = -least
        marks = []
        begin = ticks()
        while True:
            x = (current() - zero) >> 2
            if x > reach:
                if is_up is False and n - since >= least:
                    beyond = min(1, (x - reach) / (x - before or 1))
                    marks.append((n - beyond, total, many + squares))
                    is_up = True
                    since = n
                elif is_up is None:
                    is_up = True
            elif x < -reach:
                if is_up and n - since >= least:
                    beyond = min(1, (x + reach) / (x - before or -1))
                    marks.append((n - beyond, total, many + squares))
                    is_up = False
                    since = n
                elif is_up is None:
                    is_up = False
            total += x
            squares += x * x
            if squares > 0x1FFFFFFF:
                many += squares
                squares = 0
            before = x
            n += 1
            if not n & 3:
                pressures += pressure()
                if diff(ticks(), begin) >= BLOCK_US:
                    break
        took_s = diff(ticks(), begin) / 1e6
        return self.weigh(n, took_s, marks, total, many + squares, pressures)

    def weigh(self, n, took_s, marks, total, squares, pressures):
        self.samples = n
        per_s = n / took_s
        self.least_half = max(1, int(LEAST_HALF_S * per_s))
        cycles = []
        scale = 4 * self.volts
        for i in range(2, len(marks)):
            if marks[i][0] - marks[i - 2][0] <= MOST_CYCLE_S * per_s:
                rms = scale * rms_between(marks[i - 2], marks[i])
                cycles.append((int(marks[i][0] * 1000 / per_s), rms))
        last = len(marks) - 1 - (len(marks) - 1) % 2
        whole = (0, 0, 0), (n, total, squares)
        if last >= 2 and marks[last][0] - marks[0][0] > n / 2:
            whole = marks[0], marks[last]
        # The zero is that of whole cycles: of the block, when the cycles are those of the mains.
        self.zero += round(4 * (whole[1][1] - whole[0][1]) / (whole[1][0] - whole[0][0]))
        mean_v = pressures / (n // 4) * self.volts
        return mean_v, scale * rms_between(whole[0], whole[1]), cycles


def rms_between(a, b):
    count = b[0] - a[0]
    mean = (b[1] - a[1]) / count
    return math.sqrt(max(0.0, (b[2] - a[2]) / count - mean * mean))


class StartWatch:
    """How long the current stayed above twice its running value after a start."""

    def __init__(self):
        self.count = -1
        self.at = array("H", bytes(2 * 400))
        self.rms = array("f", bytes(4 * 400))
        self.was_running = True

    def step(self, at_ms, cycles, is_running, is_blind):
        """Takes the cycles of a block; gives the time [s] once it is known, else NaN."""
        if is_running and not self.was_running:
            self.count = -1 if is_blind else 0
            self.begin = at_ms
        elif is_blind or not is_running:
            self.count = -1
        self.was_running = is_running
        if self.count < 0:
            return NAN
        for after_ms, rms in cycles:
            if self.count < 400:
                self.at[self.count] = at_ms + after_ms - self.begin
                self.rms[self.count] = rms
                self.count += 1
        if self.count < 400 and at_ms - self.begin < START_MS:
            return NAN
        return self.length()

    def length(self):
        count, self.count = self.count, -1
        tail = count // 5
        if tail < 10:
            return NAN
        running = sum(self.rms[i] for i in range(count - tail, count)) / tail
        above = 0
        while above < count and self.rms[above] > 2 * running:
            above += 1
        if above == 0 or above > count - tail:
            return NAN
        # The first value stands at the end of its cycle, which is as far as from value 0 to 2.
        return (self.at[above - 1] - self.at[0] + self.at[2] - self.at[0]) / 1000


class Store:
    """
    Readings that wait, oldest first: a ring in memory, and files in flash for what it cannot hold.
    Readings of one pack have one seq. The oldest are dropped, and counted, when all is full.
    """

    def __init__(self, clock):
        self.clock = clock
        self.boot = next_boot()
        self.most = max(settings.KEEP_IN_RAM, 2 * PACK_READINGS)
        self.ring = bytearray(self.most * READING_SIZE)
        self.first = 0
        self.count = 0
        self.seq = -1
        self.room = 0  # in the pack that is being filled
        self.dropped = 0
        self.patience = 0  # readings until flash is tried again
        self.files = []
        self.loaded = b""
        self.offset = HEAD_SIZE
        if settings.KEEP_FILES:
            self.find_files()

    def find_files(self):
        if "waiting" not in os.listdir():
            os.mkdir("waiting")
        for name in os.listdir("waiting"):
            if name == "part":
                os.remove("waiting/part")  # The power went while it was written.
            else:
                self.files.append(int(name))
        self.files.sort()

    def add(self, uptime_ms, values):
        if self.room == 0:
            self.seq += 1
            self.room = PACK_READINGS
        self.patience = max(0, self.patience - 1)
        is_much = self.count >= min(self.most, FILE_READINGS)
        if settings.KEEP_FILES and is_much and self.patience == 0:
            self.spill()
        if self.count == self.most:
            gone = self.length(0)
            self.forget(gone)
            self.dropped += gone
        at = (self.first + self.count) % self.most
        struct.pack_into(READING, self.ring, at * READING_SIZE, self.seq, uptime_ms, *values)
        self.count += 1
        self.room -= 1

    def reading(self, i):
        at = (self.first + i) % self.most
        return struct.unpack_from(READING, self.ring, at * READING_SIZE)

    def length(self, begin):
        """How many readings the pack has that begins at this one of the ring."""
        end = begin
        seq = self.reading(begin)[0]
        while end < self.count and self.reading(end)[0] == seq:
            end += 1
        return end - begin

    def forget(self, count):
        self.first = (self.first + count) % self.most
        self.count -= count

    def spill(self):
        """Whole packs into a file; half a pack would look like one that was sent twice."""
        count = 0
        while count < self.count:
            length = self.length(count)
            if count + length > FILE_READINGS or self.reading(count)[0] == self.seq:
                break
            count += length
        if count == 0:
            return
        try:
            if len(self.files) >= settings.KEEP_FILES:
                self.drop_file()
            name = self.files[-1] + 1 if self.files else 0
            with open("waiting/part", "wb") as file:
                file.write(struct.pack(HEAD, self.boot, self.clock.anchor_ms or 0))
                for i in range(count):
                    file.write(struct.pack(READING, *self.reading(i)))
            os.rename("waiting/part", "waiting/%d" % name)
        except OSError as error:
            print("flash takes nothing, memory alone is used:", error)
            self.patience = FILE_READINGS
            return
        self.files.append(name)
        self.forget(count)

    def drop_file(self):
        self.load()
        self.dropped += (len(self.loaded) - self.offset) // READING_SIZE
        self.remove_file()

    def load(self):
        if not self.loaded:
            try:
                with open("waiting/%d" % self.files[0], "rb") as file:
                    self.loaded = file.read()
            except OSError as error:
                print("flash lost a file:", error)
                self.loaded = bytes(HEAD_SIZE)

    def remove_file(self):
        os.remove("waiting/%d" % self.files.pop(0))
        self.loaded = b""
        self.offset = HEAD_SIZE

    def oldest(self):
        """The oldest pack: boot, Unix ms at uptime 0 or None, its readings; None without any."""
        while self.files:
            self.load()
            readings = self.pack_of_file()
            if readings:
                boot, anchor_ms = struct.unpack_from(HEAD, self.loaded)
                if boot == self.boot:
                    anchor_ms = self.clock.anchor_ms
                return boot, anchor_ms or None, readings
            self.remove_file()
        if not self.count:
            return None
        readings = [self.reading(i) for i in range(self.length(0))]
        if readings[0][0] == self.seq:
            self.room = 0
        return self.boot, self.clock.anchor_ms, readings

    def pack_of_file(self):
        readings = []
        at = self.offset
        while at + READING_SIZE <= len(self.loaded):
            reading = struct.unpack_from(READING, self.loaded, at)
            if readings and reading[0] != readings[0][0]:
                break
            readings.append(reading)
            at += READING_SIZE
        return readings

    def done(self, boot, seq):
        """The service has this pack. It may have been dropped since it was sent."""
        pack = self.oldest()
        if not pack or pack[0] != boot or pack[2][0][0] != seq:
            return
        if not self.files:
            self.forget(len(pack[2]))
            return
        self.offset += len(pack[2]) * READING_SIZE
        if not self.pack_of_file():
            self.remove_file()


def next_boot():
    """
    The number of this start. The first is drawn by lot: a board whose memory was wiped must not
    count from one again, since the service knows those packs and would drop the new ones.
    """
    try:
        with open("boot") as file:
            boot = int(file.read()) + 1
    except (OSError, ValueError):
        boot = 0
    if not 0 < boot < 1 << 31:
        boot = (struct.unpack("<I", os.urandom(4))[0] & 0x3FFFFFFF) + 1
    try:
        with open("boot.part", "w") as file:
            file.write(str(boot))
        os.rename("boot.part", "boot")
    except OSError as error:
        print("boot number not kept:", error)
        boot = (struct.unpack("<I", os.urandom(4))[0] & 0x3FFFFFFF) + 1
    return boot


def of_ms(ms):
    return "%d.%03d" % (ms // 1000, ms % 1000)


def senml(boot, anchor_ms, readings):
    """A pack as SenML JSON (RFC 8428); times count back from its last reading."""
    end_ms = readings[-1][1]
    base = '"bn":"%s/",' % settings.DEVICE if settings.DEVICE else ""
    if anchor_ms is not None:
        base += '"bt":%s,' % of_ms(anchor_ms + end_ms)
    records = [
        '{%s"n":"boot","v":%d}' % (base, boot),
        '{"n":"seq","v":%d}' % readings[0][0],
        '{"n":"uptime","u":"s","v":%s}' % of_ms(end_ms),
    ]
    is_raw = settings.SEND == "raw"
    for _, uptime_ms, pressure_v, current_v, peak_v, start_s in readings:
        back = ',"t":-%s' % of_ms(end_ms - uptime_ms) if uptime_ms != end_ms else ""
        if is_raw:
            records.append('{"n":"pressure-raw","u":"V","v":%.5f%s}' % (pressure_v, back))
            records.append('{"n":"current-raw","u":"V","v":%.5f%s}' % (current_v, back))
        else:
            pressure_pa = (pressure_v - settings.ZERO_V) * settings.PA_PER_V
            current_a = current_v * settings.AMPS_PER_V
            records.append('{"n":"pressure","u":"Pa","v":%.0f%s}' % (pressure_pa, back))
            records.append('{"n":"current","u":"A","v":%.3f%s}' % (current_a, back))
        peak_a = peak_v * settings.AMPS_PER_V
        records.append('{"n":"current-peak","u":"A","v":%.2f%s}' % (peak_a, back))
        if start_s == start_s:
            records.append('{"n":"start-time","u":"s","v":%.3f%s}' % (start_s, back))
    return ("[" + ",".join(records) + "]").encode()


class Pipe:
    """A TCP connection that never waits."""

    def __init__(self, host, port):
        address = socket.getaddrinfo(host, port)[0][-1]
        self.socket = socket.socket()
        self.out = b""
        self.came = b""
        self.is_open = False
        self.is_ended = False
        self.socket.setblocking(False)
        self.poller = select.poll()
        self.poller.register(self.socket, select.POLLIN | select.POLLOUT)
        try:
            self.socket.connect(address)
        except OSError as error:
            # Under way, by the names that boards have for it.
            if error.errno not in (errno.EINPROGRESS, errno.EALREADY, 119):
                self.close()
                raise

    def step(self):
        """Sends what it may, takes what came. Raises OSError where the connection broke."""
        for entry in self.poller.poll(0):
            event = entry[1]
            if event & select.POLLERR:
                raise OSError("connection broken")
            if event & select.POLLOUT:
                self.is_open = True
                self.push()
            if event & (select.POLLIN | select.POLLHUP):
                more = self.socket.recv(LONGEST_MESSAGE)
                self.is_ended = not more
                self.came += more

    def push(self):
        while self.is_open and self.out:
            try:
                sent = self.socket.send(self.out)
            except OSError as error:
                if error.errno != errno.EAGAIN:
                    raise
                return
            self.out = self.out[sent:]

    def close(self):
        self.socket.close()


class Way:
    """What the ways of sending share: one pack at a time, and patience after a failure."""

    def __init__(self):
        self.pipe = None
        self.asked = None  # boot and seq of the pack on its way
        self.since_ms = 0
        self.retry_at_ms = 0
        self.retry_ms = RETRY_MS

    def step(self, now_ms):
        """Gives (boot, seq) of a pack that the service has acknowledged, else None."""
        try:
            if not self.pipe:
                self.begin(now_ms)
                return None
            self.pipe.step()
            if self.is_late(now_ms):
                raise OSError("no answer")
            done = self.take(now_ms)
            if self.pipe and self.pipe.is_ended:
                raise OSError("connection ended")
        except (OSError, ValueError, IndexError) as error:
            self.fail(now_ms, error)
            return None
        if done:
            self.asked = None
            self.retry_ms = RETRY_MS
        return done

    def push(self, now_ms):
        try:
            if self.pipe:
                self.pipe.push()
        except OSError as error:
            self.fail(now_ms, error)

    def fail(self, now_ms, why):
        print("not sent (%s), again in %d s" % (why, self.retry_ms // 1000))
        self.end()
        self.retry_at_ms = now_ms + self.retry_ms
        self.retry_ms = min(RETRY_MOST_MS, 2 * self.retry_ms)

    def end(self):
        if self.pipe:
            self.pipe.close()
        self.pipe = None
        self.asked = None

    def is_late(self, now_ms):
        return self.asked is not None and now_ms - self.since_ms > ANSWER_MS


class Mqtt(Way):
    """MQTT 3.1.1, a clean session: what has no PUBACK is published anew after reconnecting."""

    def __init__(self, please):
        super().__init__()
        self.please = please
        self.is_in = False
        self.id = 0
        self.heard_ms = 0
        self.pinged_ms = 0

    def begin(self, now_ms):
        if now_ms < self.retry_at_ms:
            return
        self.is_in = False
        self.heard_ms = self.pinged_ms = now_ms
        self.pipe = Pipe(settings.SERVER, settings.PORT)
        name = "%s-%s" % (settings.WELL, settings.DEVICE or "device")
        flags = 2
        body = text(name)
        if settings.USER:
            flags |= 0xC0
            body += text(settings.USER) + text(settings.PASSWORD)
        head = text("MQTT") + bytes((4, flags)) + struct.pack(">H", KEEP_ALIVE_S)
        self.pipe.out += packet(0x10, head + body)

    def is_ready(self, now_ms):
        return self.is_in and self.asked is None

    def send(self, now_ms, boot, seq, content):
        self.asked = boot, seq
        self.since_ms = now_ms
        self.id = self.id % 0xFFFF + 1
        topic = text("wells/%s/readings" % settings.WELL)
        self.pipe.out += packet(0x32, topic + struct.pack(">H", self.id) + content)

    def is_late(self, now_ms):
        """A broker that answers nothing is gone: it would answer a ping."""
        if now_ms - self.pinged_ms > KEEP_ALIVE_S * 500 and self.is_in:
            self.pinged_ms = now_ms
            self.pipe.out += packet(0xC0, b"")
        silent_ms = now_ms - self.heard_ms
        most_ms = KEEP_ALIVE_S * 1000 if self.is_in else ANSWER_MS
        return silent_ms > most_ms or super().is_late(now_ms)

    def take(self, now_ms):
        done = None
        while self.pipe:
            came = unpacked(self.pipe.came)
            if not came:
                break
            kind, body, length = came
            self.pipe.came = self.pipe.came[length:]
            self.heard_ms = now_ms
            if kind >> 4 == 2:
                self.enter(body)
            elif kind >> 4 == 4 and struct.unpack_from(">H", body)[0] == self.id:
                done = self.asked
            elif kind >> 4 == 3:
                self.hear(kind, body)
        return done

    def enter(self, body):
        if body[1] != 0:
            raise OSError("the broker refuses: code %d" % body[1])
        self.is_in = True
        topic = text("wells/%s/please" % settings.WELL)
        self.pipe.out += packet(0x82, b"\0\1" + topic + b"\0")

    def hear(self, kind, body):
        begin = 2 + struct.unpack_from(">H", body)[0]
        if kind & 6:
            self.pipe.out += packet(0x40, body[begin : begin + 2])
            begin += 2
        self.please(body[begin:])

    def end(self):
        super().end()
        self.is_in = False


def text(words):
    content = words.encode()
    return struct.pack(">H", len(content)) + content


def packet(kind, body):
    """With its remaining length, MQTT 3.1.1 section 2.2.3."""
    head = bytes((kind,))
    left = len(body)
    while left > 127:
        head += bytes((left & 127 | 128,))
        left >>= 7
    return head + bytes((left,)) + body


def unpacked(came):
    """The first packet: kind, body, length with its head; None while it has not come whole."""
    left = 0
    for i in range(1, min(5, len(came))):
        left |= (came[i] & 127) << 7 * (i - 1)
        if came[i] < 128:
            if left > LONGEST_MESSAGE:
                raise OSError("a message of %d bytes" % left)
            end = i + 1 + left
            return (came[0], came[i + 1 : end], end) if len(came) >= end else None
    if len(came) >= 5:
        raise OSError("not MQTT")
    return None


class Http(Way):
    """One POST for each pack."""

    def begin(self, now_ms):
        pass

    def is_ready(self, now_ms):
        return self.asked is None and now_ms >= self.retry_at_ms

    def send(self, now_ms, boot, seq, content):
        self.asked = boot, seq
        self.since_ms = now_ms
        lines = [
            "POST /api/v1/wells/%s/readings HTTP/1.1" % settings.WELL,
            "Host: %s:%d" % (settings.SERVER, settings.PORT),
            "Content-Type: application/senml+json",
            "Content-Length: %d" % len(content),
            "Connection: close",
        ]
        if settings.USER:
            secret = "%s:%s" % (settings.USER, settings.PASSWORD)
            known = binascii.b2a_base64(secret.encode()).decode().strip()
            lines.append("Authorization: Basic " + known)
        try:
            self.pipe = Pipe(settings.SERVER, settings.PORT)
        except OSError as error:
            self.fail(now_ms, error)
            return
        self.pipe.out = ("\r\n".join(lines) + "\r\n\r\n").encode() + content

    def take(self, now_ms):
        if not self.pipe.is_ended:
            if len(self.pipe.came) > 8 * LONGEST_MESSAGE:
                raise OSError("a long answer")
            return None
        status = self.pipe.came[:40].split(b"\r")[0]
        if not status.startswith(b"HTTP/1.1 200"):
            raise OSError("the service answers %s" % status)
        done = self.asked
        self.end()
        return done


class Clock:
    """Unix time from an NTP server (RFC 5905, client mode), asked every hour; none until then."""

    def __init__(self):
        self.anchor_ms = None  # Unix ms at uptime 0
        self.socket = None
        self.asked_ms = 0
        self.next_ms = 0
        self.cookie = b""

    def step(self, now_ms):
        if not settings.TIME_SERVER:
            return
        try:
            if self.socket:
                self.listen(now_ms)
            elif now_ms >= self.next_ms:
                self.ask(now_ms)
        except OSError:
            self.end(now_ms + RETRY_MOST_MS)

    def ask(self, now_ms):
        self.socket = socket.socket(socket.AF_INET, socket.SOCK_DGRAM)
        self.socket.setblocking(False)
        self.asked_ms = now_ms
        self.cookie = os.urandom(8)
        address = socket.getaddrinfo(settings.TIME_SERVER, 123)[0][-1]
        self.socket.sendto(b"\x23" + bytes(39) + self.cookie, address)

    def listen(self, now_ms):
        if now_ms - self.asked_ms > ANSWER_MS:
            raise OSError("no answer")
        try:
            answer = self.socket.recv(48)
        except OSError as error:
            if error.errno == errno.EAGAIN:
                return
            raise
        is_set = len(answer) == 48 and answer[0] >> 6 != 3 and 0 < answer[1] < 16
        if not is_set or answer[0] & 7 != 4 or answer[24:32] != self.cookie:
            raise OSError("no time")
        seconds, fraction = struct.unpack_from(">II", answer, 40)
        # Half of 2^32 s from 1900: an era that began in 2036 counts from there (RFC 5905, 6).
        unix_s = seconds - 2_208_988_800 if seconds >> 31 else seconds + 2_085_978_496
        unix_ms = unix_s * 1000 + (fraction * 1000 >> 32)
        self.anchor_ms = unix_ms - (now_ms + self.asked_ms) // 2
        self.end(now_ms + CLOCK_AGAIN_MS)

    def end(self, next_ms):
        if self.socket:
            self.socket.close()
        self.socket = None
        self.next_ms = next_ms


class Sender:
    """Everything joined; `step` is one turn of 100 ms."""

    def __init__(self):
        if settings.SEND not in ("raw", "si") or settings.WAY not in ("mqtt", "http"):
            raise ValueError('settings.py: SEND is "raw" or "si", WAY is "mqtt" or "http"')
        self.uptime = Uptime()
        self.clock = Clock()
        self.store = Store(self.clock)
        self.way = Mqtt(self.please) if settings.WAY == "mqtt" else Http()
        self.wifi = network.WLAN(network.STA_IF)
        self.wifi.active(True)
        self.wifi_at_ms = 0
        self.meter = Meter(converter(settings.PRESSURE_PIN), converter(settings.CURRENT_PIN))
        self.start_watch = StartWatch()
        self.pleased_ms = 0
        self.pleased_until_ms = 0
        self.kept_ms = -1 << 40
        self.moved_ms = self.kept_ms
        self.kept_v = 0.0
        self.peak_v = 0.0
        self.start_s = NAN
        self.skipped = None
        self.told = 0
        self.ended_ms = self.uptime.ms()
        self.clear()
        print("boot %d, %d samples in 100 ms" % (self.store.boot, self.meter.samples))

    def clear(self):
        self.begin_ms = self.ended_ms
        self.blocks = 0
        self.pressure_sum = 0.0
        self.square_sum = 0.0

    def step(self):
        begin_ms = self.uptime.ms()
        is_blind = begin_ms - self.ended_ms > BLIND_MS
        if self.blocks == 0:
            self.begin_ms = begin_ms
        pressure_v, current_v, cycles = self.meter.block()
        self.ended_ms = self.uptime.ms()
        self.blocks += 1
        self.pressure_sum += pressure_v
        self.square_sum += current_v * current_v
        self.peak_v = max(self.peak_v, current_v, *(rms for _, rms in cycles))
        is_running = current_v * settings.AMPS_PER_V > settings.RUN_A
        start_s = self.start_watch.step(begin_ms, cycles, is_running, is_blind)
        if start_s == start_s:
            self.start_s = start_s
        # A block begins and ends a little off: half of one is near enough.
        if self.ended_ms - self.begin_ms >= self.interval_ms() - BLOCK_US // 2000:
            self.close(self.ended_ms)
        self.see_to_network(self.ended_ms)

    def interval_ms(self):
        fast_ms = int(settings.FAST_S * 1000)
        if self.uptime.ms() < self.pleased_until_ms:
            return min(fast_ms, self.pleased_ms)
        return fast_ms

    def close(self, now_ms):
        """Ends the stretch that a reading is the mean of, and keeps it or lets it go."""
        pressure_v = self.pressure_sum / self.blocks
        current_v = math.sqrt(self.square_sum / self.blocks)
        at_ms = (self.begin_ms + self.ended_ms) // 2
        reading = at_ms, pressure_v, current_v
        self.clear()
        gc.collect()
        is_running = current_v * settings.AMPS_PER_V > settings.RUN_A
        if is_running or abs(pressure_v - self.kept_v) * settings.PA_PER_V >= settings.MOVE_PA:
            # What stood just before is where the move began.
            if self.skipped and now_ms - self.moved_ms > STAY_FAST_MS:
                self.keep(self.skipped, 0.0, NAN)
            self.moved_ms = now_ms
        is_fast = now_ms - self.moved_ms <= STAY_FAST_MS or now_ms < self.pleased_until_ms
        rest_ms = int(settings.REST_S * 1000) - BLOCK_US // 2000
        if is_fast or at_ms - self.kept_ms >= rest_ms:
            self.keep(reading, self.peak_v, self.start_s)
            self.peak_v = 0.0
            self.start_s = NAN
        else:
            self.skipped = reading

    def keep(self, reading, peak_v, start_s):
        at_ms, pressure_v, current_v = reading
        self.skipped = None
        self.kept_ms = at_ms
        self.kept_v = pressure_v
        peak_v = max(peak_v, current_v)
        self.store.add(at_ms, (pressure_v, current_v, peak_v, start_s))
        if settings.SHOW:
            amps = current_v * settings.AMPS_PER_V
            told = of_ms(at_ms), pressure_v, current_v, amps
            print("%s s: pressure %.4f V, current %.4f V (about %.2f A)" % told, end="")
            print(", waiting %d and %d files" % (self.store.count, len(self.store.files)))

    def please(self, content):
        """The service asks for faster readings for a while: { intervalS, forS }."""
        try:
            ask = json.loads(content)
            interval_s, for_s = float(ask["intervalS"]), float(ask["forS"])
        except (ValueError, KeyError, TypeError):
            print("not understood:", content)
            return
        if 0.1 <= interval_s <= 3600 and 0 < for_s <= LONGEST_PLEASE_S:
            self.pleased_ms = int(interval_s * 1000)
            self.pleased_until_ms = self.uptime.ms() + int(for_s * 1000)

    def see_to_network(self, now_ms):
        if self.store.dropped != self.told:
            self.told = self.store.dropped
            print("%d readings dropped, the oldest: no room" % self.told)
        if not self.wifi.isconnected():
            self.way.end()
            if now_ms >= self.wifi_at_ms:
                self.wifi_at_ms = now_ms + 30_000
                try:
                    self.wifi.connect(settings.WIFI_NAME, settings.WIFI_PASSWORD)
                except OSError as error:
                    print("no network:", error)
            return
        self.clock.step(now_ms)
        done = self.way.step(now_ms)
        if done:
            self.store.done(*done)
        if self.way.is_ready(now_ms):
            pack = self.store.oldest()
            if pack:
                boot, _, readings = pack
                self.way.send(now_ms, boot, readings[0][0], senml(*pack))
                self.way.push(now_ms)


def converter(pin):
    adc = machine.ADC(machine.Pin(pin))
    if hasattr(adc, "atten"):
        adc.atten(machine.ADC.ATTN_11DB)  # the widest range, where it can be chosen
    return adc.read_u16


def main():
    try:
        sender = Sender()
        while True:
            sender.step()
    except Exception as error:
        # Whatever it was: begin anew, with the next boot number. Ctrl-C still stops the sender.
        print("stopped:", repr(error))
        time.sleep(10)
        machine.reset()


if __name__ == "__main__":
    main()
