import link

STA_IF = 0


class WLAN:
    def __init__(self, interface):
        self.is_asked = False

    def active(self, is_on):
        pass

    def connect(self, name, password):
        self.is_asked = True

    def isconnected(self):
        return self.is_asked and link.isUp()
