import binascii
import errno
import struct

import board
import link

AF_INET = 2
SOCK_STREAM = 1
SOCK_DGRAM = 2


def getaddrinfo(host, port):
    return [(AF_INET, SOCK_STREAM, 0, "", (host, port))]


class socket:
    def __init__(self, family, kind):
        self.kind = kind
        self.id = -1
        self.answer = b""

    def setblocking(self, waits):
        if waits:
            raise OSError(errno.EINVAL)

    def connect(self, address):
        if self.kind == SOCK_STREAM:
            self.id = link.open(address[0])
            raise OSError(errno.EINPROGRESS)

    def events(self):
        if self.kind == SOCK_STREAM:
            return link.events(self.id)
        # Some boards say HUP of a socket that is no connection.
        return 16 | 4 | (1 if self.answer and link.isUp() else 0)

    def send(self, content):
        if self.kind == SOCK_DGRAM:
            self.answer = time_answer(content)
            return len(content)
        # A board takes what its buffer holds, not all that it is given.
        some = content[:100]
        if not link.send(self.id, binascii.hexlify(some).decode()):
            raise OSError(errno.ECONNRESET)
        return len(some)

    def recv(self, most):
        if self.kind == SOCK_DGRAM:
            return self.answer[:most]
        came = link.recv(self.id, most)
        if came == "wait":
            raise OSError(errno.EAGAIN)
        return binascii.unhexlify(came)

    def close(self):
        link.close(self.id)


def time_answer(asked):
    """Of an NTP server, RFC 5905 section 7.3: the transmit time of who asks is sent back."""
    ms = board.unix_s * 1000 + board.us // 1000
    seconds = (ms // 1000 + 2_208_988_800) & 0xFFFFFFFF
    stamp = struct.pack(">II", seconds, (ms % 1000 << 32) // 1000)
    return bytes((0x24, board.stratum)) + bytes(22) + asked[40:48] + stamp + stamp
