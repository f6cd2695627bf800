POLLIN = 1
POLLOUT = 4
POLLERR = 8
POLLHUP = 16


class Poll:
    def register(self, socket, mask):
        self.socket = socket

    def poll(self, wait_ms):
        events = self.socket.events()
        return [(self.socket, events)] if events else []


def poll():
    return Poll()
