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
    def __init__(self, family=AF_INET, kind=SOCK_STREAM):
        self.id = -1
        self.answer = None

    def setblocking(self, waits):
        if waits:
            raise OSError(errno.EINVAL)

    def connect(self, address):
        self.id = link.open(address[0], address[1])
        if self.id < 0:
            raise OSError(errno.ECONNREFUSED)
        raise OSError(errno.EINPROGRESS)

    def send(self, content):
        # A board takes what its buffer holds, not all that it is given.
        some = content[:536]
        if not link.send(self.id, binascii.hexlify(some).decode()):
            raise OSError(errno.ECONNRESET)
        return len(some)

    def recv(self, most):
        if self.id < 0:
            if self.answer is None or not link.isUp():
                raise OSError(errno.EAGAIN)
            return self.answer[:most]
        came = link.recv(self.id, most)
        if came == "wait":
            raise OSError(errno.EAGAIN)
        return binascii.unhexlify(came)

    def sendto(self, content, address):
        # An NTP server, RFC 5905 section 7.3: stratum 2, our transmit time sent back.
        ms = board.unix_s * 1000 + board.us // 1000
        seconds = ms // 1000 + 2_208_988_800
        stamp = struct.pack(">II", seconds & 0xFFFFFFFF, (ms % 1000 << 32) // 1000)
        self.answer = bytes((0x24, 2)) + bytes(22) + content[40:48] + stamp + stamp

    def close(self):
        if self.id >= 0:
            link.close(self.id)
