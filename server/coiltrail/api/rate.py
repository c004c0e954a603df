"""How often strangers from one address may ask. Counted in memory: what a restart forgets was hardly worth a write."""

import ipaddress
import math
import threading
import time
from collections import OrderedDict
from collections.abc import Callable

MOST_ADDRESSES = 10_000  # remembered; past it, those that asked longest ago are forgotten


class PerAddress:
    """So many requests at once from an address, then one in so many seconds."""

    def __init__(self, at_once: int, then_every_s: float, clock: Callable[[], float] = time.monotonic):
        self.at_once = at_once
        self.then_every_s = then_every_s
        self.clock = clock
        self._left: OrderedDict[str, tuple[float, float]] = OrderedDict()  # address -> requests left, and when
        self._lock = threading.Lock()

    def wait_s(self, address: str) -> int:
        """Count a request. Gives 0 when it may be answered, else the seconds to wait (and it is not counted)."""
        key, now = _network(address), self.clock()
        with self._lock:
            left, since = self._left.pop(key, (self.at_once, now))
            left = min(self.at_once, left + (now - since) / self.then_every_s)
            self._left[key] = (left - 1 if left >= 1 else left, now)
            if len(self._left) > MOST_ADDRESSES:
                self._left.popitem(last=False)
        return 0 if left >= 1 else math.ceil((1 - left) * self.then_every_s)


def _network(address: str) -> str:
    """One subscriber of IPv6 has a whole network of addresses (RFC 6177)."""
    try:
        ip = ipaddress.ip_address(address)
    except ValueError:
        return address
    return str(ipaddress.ip_network(f"{address}/64", strict=False)) if ip.version == 6 else address
