"""How often somebody may try a password: failures are counted in the memory of the desk.

A source that fails with a name too often must wait; nobody else is kept out by it. A name that fails from
many sources is answered more slowly, and never refused.
"""

from __future__ import annotations

import hashlib
import ipaddress
import threading
import time
from collections import OrderedDict, deque
from collections.abc import Callable

from paryield.club.people import key_of

SECONDS = 15 * 60.0
MOST_OF_PAIR, MOST_OF_SOURCE = 10, 100
"""Failures within a quarter of an hour with one name from one source, and from one source, which a whole club
house may share; our choice. NIST SP 800-63B-4, section 3.2.2, allows at most 100 failures in a row on an
account (from memory); here further ones are slowed down instead, so that no stranger locks anybody out."""

FREE_OF_NAME, LONGEST_WAIT = 20, 8.0
"""Failures on a name, from wherever, before answers to it slow down; and the longest wait in seconds."""

MOST_COUNTED = 50_000
"""Names and sources remembered; the oldest are forgotten first."""


class Attempts:
    """Counts attempts that failed; one under way counts as failed until it succeeds."""

    def __init__(self, clock: Callable[[], float] = time.monotonic) -> None:
        self._clock = clock
        self._times: OrderedDict[str, deque[float]] = OrderedDict()
        self._lock = threading.Lock()

    def begin(self, name: str, address: str) -> float | None:
        """Count an attempt.

        Returns
        -------
        float or None
            Seconds to wait before the password is looked at; None when it may not be tried.
        """
        pair, source, whose = _keys(name, address)
        with self._lock:
            if self._count(pair) >= MOST_OF_PAIR or self._count(source) >= MOST_OF_SOURCE:
                return None
            failed = self._count(whose) - FREE_OF_NAME
            for key in (pair, source, whose):
                self._times.setdefault(key, deque()).append(self._clock())
                self._times.move_to_end(key)
            while len(self._times) > MOST_COUNTED:
                self._times.popitem(last=False)
        return 0.0 if failed < 0 else min(0.5 * 2.0 ** (failed // 5), LONGEST_WAIT)

    def succeeded(self, name: str, address: str) -> None:
        """Take back the attempt: it does not count, and earlier failures of this pair are forgotten."""
        pair, source, whose = _keys(name, address)
        with self._lock:
            self._times.pop(pair, None)
            for key in (source, whose):
                if self._times.get(key):
                    self._times[key].pop()

    def _count(self, key: str) -> int:
        times = self._times.get(key)
        if times is None:
            return 0
        while times and self._clock() - times[0] > SECONDS:
            times.popleft()
        return len(times)


def _keys(name: str, address: str) -> tuple[str, str, str]:
    whose, source = hashlib.sha256(key_of(name).encode()).hexdigest(), place_of(address)
    return f"{whose} {source}", f"source {source}", f"name {whose}"


def place_of(address: str) -> str:
    """Return an address as it is counted: of IPv6 the first 64 bits, which one household has to itself."""
    try:
        found = ipaddress.ip_address(address)
    except ValueError:
        return "unknown"
    if isinstance(found, ipaddress.IPv6Address):
        if found.ipv4_mapped is not None:
            return str(found.ipv4_mapped)
        return str(ipaddress.ip_network((found, 64), strict=False))
    return str(found)
