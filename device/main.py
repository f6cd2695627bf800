# Measures line pressure and pump current, and sends both. What is yours stands in settings.py.
#
# A turn samples 100 ms, which are five cycles of 50 Hz and six of 60 Hz, then sees to the network.
# Nothing there ever waits, so that no start of the pump is missed: what would wait is a generator,
# and yields. A reading is forgotten once the service has acknowledged it, and no sooner.
import binascii, gc, json, math, os, select, socket, struct, time
import machine, network
import settings as my

HALVES = my.MAINS_HZ // 5  # half cycles in a turn
BLIND_MS = 60  # after so long without looking, the beginning of a start may have been missed
START_MS = 3000
STAY_FAST_MS = 5000
ANSWER_MS = 10_000
RETRY_MS = 5000
# A reading: boot, seq, Unix ms at uptime 0 (0: not known), uptime [ms], pressure [V], current [V],
# peak [A], start time [s] (0: none).
READING = "<IIqqffff"
SIZE = struct.calcsize(READING)
PACK = (
    '[{%s"n":"boot","v":%d},{"n":"seq","v":%d},{"n":"uptime","u":"ms","v":%d},'
    '{"n":"pressure-raw","u":"V","v":%.5f},{"n":"current-raw","u":"V","v":%.5f},'
    '{"n":"current-peak","u":"A","v":%.2f}'
)
FILE_READINGS = 93  # in 4 KiB, each with its checksum
RAM_READINGS = 200
ticked = [time.ticks_ms(), 0]


def uptime():
    """Milliseconds since the start; the counter of the board wraps, this does not."""
    now = time.ticks_ms()
    ticked[:] = now, ticked[1] + time.ticks_diff(now, ticked[0])
    return ticked[1]


class Meter:
    def __init__(self):
        inputs = [machine.ADC(machine.Pin(pin)) for pin in (my.PRESSURE_PIN, my.CURRENT_PIN)]
        for one in inputs:
            if hasattr(one, "atten"):
                one.atten(machine.ADC.ATTN_11DB)  # the widest range, where it can be chosen
        self.pressure, self.current = [one.read_u16 for one in inputs]
        self.zero = 0
        self.turn()  # finds the middle voltage

    def turn(self):
        """Samples 100 ms: mean pressure, true RMS current, RMS of each cycle, all in volts."""
        current, pressure, ticks, diff = self.current, self.pressure, time.ticks_us, time.ticks_diff
        # Whole numbers of 12 bits: their sums make no garbage to collect amid a cycle.
        zero = self.zero
        halves = []
        count = levels = 0
        begin = ticks()
        for i in range(HALVES):
            end_us = 100_000 * (i + 1) // HALVES
            n = total = squares = 0
            while diff(ticks(), begin) < end_us or n == 0:
                x = (current() >> 4) - zero
                total += x
                squares += x * x
                n += 1
                levels += pressure()
            halves.append((n, total, squares))
            count += n
        self.samples = count
        self.zero += sum(half[1] for half in halves) // count
        volts = my.FULL_SCALE_V / 4096
        cycles = [volts * rms(halves[i : i + 2]) for i in range(HALVES - 1)]
        return levels / count * volts / 16, volts * rms(halves), cycles


def rms(parts):
    """About their own mean: parts are counts, sums and sums of squares."""
    n, total, squares = [sum(part[i] for part in parts) for i in range(3)]
    return math.sqrt(max(0, squares / n - (total / n) ** 2))


class StartWatch:
    """How long the current stayed above twice its running value, after a start seen whole."""

    seen = None  # [(ms, RMS of a cycle)] since the start
    was_running = True

    def turn(self, at_ms, cycles, is_running):
        """The time [s] once it is known, else 0."""
        if not self.was_running:
            self.seen = []
        self.was_running = is_running
        if not is_running or self.seen is None:
            return 0
        self.seen += [(at_ms + i * 100 // HALVES, rms) for i, rms in enumerate(cycles)]
        if at_ms - self.seen[0][0] < START_MS:
            return 0
        seen, self.seen = self.seen, None
        tail = seen[-len(seen) // 5 :]
        twice = 2 * sum(rms for _, rms in tail) / len(tail)
        above = [at for at, rms in seen if rms > twice]
        return (above[-1] - above[0]) / 1000 if above and above[-1] < tail[0][0] else 0


def sealed(reading):
    return reading + struct.pack("<I", binascii.crc32(reading))


class Queue:
    """Readings that wait, oldest first: files in flash, then what is in memory."""

    def __init__(self):
        self.dropped = 0
        self.readings = []
        self.at = 0  # how many of the oldest file are done
        if "waiting" not in os.listdir():
            os.mkdir("waiting")
        self.files = sorted(int(name) for name in os.listdir("waiting") if name != "part")

    def add(self, reading):
        self.readings.append(reading)
        if my.KEEP_FILES and len(self.readings) >= FILE_READINGS:
            self.spill()
        if len(self.readings) > RAM_READINGS:
            self.readings.pop(0)
            self.drop(1)

    def drop(self, count):
        self.dropped += count
        print("the oldest go: %d readings dropped so far" % self.dropped)

    def spill(self):
        """Under another name first: where power fails meanwhile, a file is whole or not there."""
        name = self.files[-1] + 1 if self.files else 0
        try:
            with open("waiting/part", "wb") as file:
                file.write(b"".join(sealed(one) for one in self.readings[:FILE_READINGS]))
            os.rename("waiting/part", "waiting/%d" % name)
        except OSError as error:
            print("flash takes nothing, memory alone is used:", error)
            return
        self.files.append(name)
        self.readings = self.readings[FILE_READINGS:]
        if len(self.files) > my.KEEP_FILES:
            self.remove()

    def remove(self):
        """The oldest file, with what is left in it."""
        left, self.at = FILE_READINGS - self.at, 0
        if left:
            self.drop(left)
        os.remove("waiting/%d" % self.files.pop(0))

    def oldest(self):
        while self.files:
            try:
                with open("waiting/%d" % self.files[0], "rb") as file:
                    file.seek(self.at * (SIZE + 4))
                    reading = file.read(SIZE + 4)
            except OSError:
                reading = b""
            if reading and sealed(reading[:SIZE]) == reading:
                return reading[:SIZE]
            self.remove()  # done, or damaged from here on
        return self.readings[0] if self.readings else None

    def done(self, reading):
        """It is acknowledged. It may have gone to flash since it was sent, or been dropped."""
        if self.oldest() == reading:
            if self.files:
                self.at += 1
            else:
                self.readings.pop(0)


def senml(reading, this_boot, this_anchor_ms):
    """A pack of SenML JSON (RFC 8428). A float of the board may have seven digits only."""
    boot, seq, anchor_ms, at_ms, *values, start_s = struct.unpack(READING, reading)
    anchor_ms = this_anchor_ms if boot == this_boot else anchor_ms
    base = '"bn":"%s/",' % my.DEVICE if my.DEVICE else ""
    if anchor_ms:
        base += '"bt":%d.%03d,' % divmod(anchor_ms + at_ms, 1000)
    pack = PACK % tuple([base, boot, seq, at_ms] + values)
    if start_s:
        pack += ',{"n":"start-time","u":"s","v":%.3f}' % start_s
    return (pack + "]").encode()


def pause(ms):
    end_ms = uptime() + ms
    while uptime() < end_ms:
        yield


def again(task, after_ms):
    """A task that is begun anew some time after it failed."""
    while True:
        try:
            yield from task()
        except (OSError, ValueError, IndexError) as error:
            print("network:", error)
        yield from pause(after_ms)


class Wire:
    """A socket that never waits, and what MQTT 3.1.1 needs of it."""

    def __init__(self, kind, host, port):
        self.socket = socket.socket(socket.AF_INET, kind)
        self.socket.setblocking(False)
        # Some boards say HUP of any socket that is no connection.
        self.bad = select.POLLERR | (select.POLLHUP if kind == socket.SOCK_STREAM else 0)
        self.poller = select.poll()
        self.poller.register(self.socket, select.POLLIN | select.POLLOUT)
        try:
            self.socket.connect(socket.getaddrinfo(host, port)[0][-1])
        except OSError:
            pass  # under way; where it fails, the poll says so

    def can(self, what):
        events = self.poller.poll(0)
        events = events[0][1] if events else 0
        if events & self.bad and not events & select.POLLIN:
            raise OSError("no connection")
        return events & what

    def until(self, what):
        end_ms = uptime() + ANSWER_MS
        while not self.can(what):
            if uptime() > end_ms:
                raise OSError("no answer")
            yield

    def write(self, content):
        while content:
            yield from self.until(select.POLLOUT)
            content = content[self.socket.send(content) :]

    def read(self, count):
        came = b""
        while len(came) < count:
            yield from self.until(select.POLLIN)
            piece = self.socket.recv(count - len(came))
            if not piece:
                raise OSError("connection ended")
            came += piece
        return came

    def put(self, kind, body):
        n = len(body)  # below 16384, which has two bytes (section 2.2.3)
        size = bytes((n,)) if n < 128 else bytes((n & 127 | 128, n >> 7))
        yield from self.write(bytes((kind,)) + size + body)

    def take(self):
        """Kind and body of the next packet."""
        kind, size = yield from self.read(2)
        if size > 127:
            raise OSError("a message longer than any this program knows")
        return kind & 0xF0, (yield from self.read(size))


def text(words):
    return struct.pack(">H", len(words.encode())) + words.encode()


class Sender:
    def __init__(self):
        # By lot: a board whose flash was wiped takes no number again that the service knows.
        self.boot = struct.unpack("<I", os.urandom(4))[0]
        self.seq = 0  # one for each reading: a hole is what was dropped
        self.anchor_ms = 0  # Unix ms at uptime 0, once it is known
        self.queue = Queue()
        self.meter = Meter()
        self.start_watch = StartWatch()
        self.wifi = network.WLAN(network.STA_IF)
        self.wifi.active(True)
        self.join_ms = 0
        self.tasks = [again(self.talk, RETRY_MS)]
        if my.TIME_SERVER:
            self.tasks.append(again(self.ask_time, 60_000))
        self.watchdog = machine.WDT(timeout=8000) if my.WATCHDOG else None
        self.fast_until_ms = self.kept_ms = -3_600_000
        self.kept_v = self.peak_v = self.start_s = 0
        self.skipped = None
        self.parts = []
        self.ended_ms = uptime()
        print("boot %d, %d samples in 100 ms" % (self.boot, self.meter.samples))

    def turn(self):
        begin_ms = uptime()
        if begin_ms - self.ended_ms > BLIND_MS:
            self.start_watch = StartWatch()
        pressure_v, current_v, cycles = self.meter.turn()
        self.ended_ms = uptime()
        self.parts.append((begin_ms, pressure_v, current_v**2))
        self.peak_v = max(self.peak_v, *cycles)
        is_running = current_v * my.AMPS_PER_V > my.RUN_A
        self.start_s = self.start_watch.turn(begin_ms, cycles, is_running) or self.start_s
        if self.ended_ms - self.parts[0][0] >= my.FAST_S * 1000 - 50:
            self.close()
        if self.watchdog:
            self.watchdog.feed()
        if self.wifi.isconnected():
            for task in self.tasks:
                next(task)
        elif self.ended_ms >= self.join_ms:
            self.join_ms = self.ended_ms + 30_000
            try:
                self.wifi.connect(my.WIFI_NAME, my.WIFI_PASSWORD)
            except OSError as error:
                print("wifi:", error)

    def close(self):
        """Ends the second that a reading is the mean of, and keeps it or lets it go."""
        n = len(self.parts)
        at_ms = (self.parts[0][0] + self.ended_ms) // 2
        pressure_v = sum(part[1] for part in self.parts) / n
        current_v = math.sqrt(sum(part[2] for part in self.parts) / n)
        self.parts = []
        gc.collect()
        is_running = current_v * my.AMPS_PER_V > my.RUN_A
        if is_running or abs(pressure_v - self.kept_v) >= my.MOVE_V:
            if self.skipped and at_ms > self.fast_until_ms:
                self.keep(*self.skipped)  # what stood just before is where the move began
            self.fast_until_ms = max(self.fast_until_ms, at_ms + STAY_FAST_MS)
        if at_ms <= self.fast_until_ms or at_ms - self.kept_ms >= my.REST_S * 1000 - 50:
            self.keep(at_ms, pressure_v, current_v, self.peak_v * my.AMPS_PER_V, self.start_s)
            self.peak_v = self.start_s = 0
        else:
            self.skipped = at_ms, pressure_v, current_v, current_v * my.AMPS_PER_V, 0

    def keep(self, at_ms, pressure_v, current_v, peak_a, start_s):
        self.kept_ms, self.kept_v, self.skipped = at_ms, pressure_v, None
        values = at_ms, pressure_v, current_v, peak_a, start_s
        self.queue.add(struct.pack(READING, self.boot, self.seq, self.anchor_ms, *values))
        self.seq += 1
        waiting = "waiting %d, %d files" % (len(self.queue.readings), len(self.queue.files))
        print("%.4f V, %.4f V;" % (pressure_v, current_v), waiting)

    def talk(self):
        """A connection to the broker: one reading at a time, at QoS 1, until it ends."""
        wire = Wire(socket.SOCK_STREAM, my.SERVER, my.PORT)
        try:
            words = [my.WELL + "-" + my.DEVICE] + ([my.USER, my.PASSWORD] if my.USER else [])
            # A reading comes at least each REST_S, so that this needs no pings.
            head = struct.pack(">BBH", 4, 0xC2 if my.USER else 2, int(4 * my.REST_S))
            yield from wire.put(0x10, text("MQTT") + head + b"".join(text(word) for word in words))
            kind, body = yield from wire.take()
            if kind != 0x20 or body[1]:
                raise OSError("the broker refuses: %r" % body)
            yield from wire.put(0x82, b"\0\1" + text("wells/%s/please" % my.WELL) + b"\0")
            number = 1
            while True:
                reading = self.queue.oldest()
                if reading:
                    number = number % 0xFFFF + 1
                    topic = text("wells/%s/readings" % my.WELL) + struct.pack(">H", number)
                    yield from wire.put(0x32, topic + senml(reading, self.boot, self.anchor_ms))
                    while (yield from self.hear(wire)) != number:
                        pass
                    self.queue.done(reading)
                elif wire.can(select.POLLIN):
                    yield from self.hear(wire)
                else:
                    yield
        finally:
            wire.socket.close()

    def hear(self, wire):
        """Takes a packet; gives the number of a PUBACK. What is published here is a wish."""
        kind, body = yield from wire.take()
        if kind == 0x40:
            return struct.unpack(">H", body)[0]
        if kind == 0x30:
            try:
                wish = json.loads(body[2 + struct.unpack_from(">H", body)[0] :])
                for_ms = int(1000 * max(0, min(86_400, float(wish["forS"]))))
                self.fast_until_ms = max(self.fast_until_ms, uptime() + for_ms)
            except (ValueError, KeyError, TypeError):
                print("not understood:", body)

    def ask_time(self):
        """Unix time from an NTP server (RFC 5905, client mode), each hour."""
        wire = Wire(socket.SOCK_DGRAM, my.TIME_SERVER, 123)
        try:
            cookie = os.urandom(8)
            asked_ms = uptime()
            yield from wire.write(b"\x23" + bytes(39) + cookie)
            yield from wire.until(select.POLLIN)
            answer = wire.socket.recv(48)
            middle_ms = (asked_ms + uptime()) // 2
        finally:
            wire.socket.close()
        is_set = len(answer) == 48 and answer[0] >> 6 != 3 and 0 < answer[1] < 16
        if not is_set or answer[0] & 7 != 4 or answer[24:32] != cookie:
            raise OSError("no time")
        seconds, fraction = struct.unpack_from(">II", answer, 40)
        # Counted from 1900; below half of 2^32, from 2036 (RFC 5905 section 6).
        unix_s = seconds - 2_208_988_800 if seconds >> 31 else seconds + 2_085_978_496
        self.anchor_ms = unix_s * 1000 + (fraction * 1000 >> 32) - middle_ms
        yield from pause(3_600_000)


if __name__ == "__main__":
    try:
        sender = Sender()
        while True:
            sender.turn()
    except Exception as error:  # whatever it was: begin anew; Ctrl-C still stops the sender
        print("stopped:", repr(error))
        time.sleep(5)
        machine.reset()
