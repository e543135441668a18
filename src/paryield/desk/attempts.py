"""How often somebody may try a password: counted by name and by address, in the memory of the desk."""

from __future__ import annotations

import hashlib
import ipaddress

from limits import RateLimitItemPerMinute
from limits.storage import MemoryStorage
from limits.strategies import MovingWindowRateLimiter

from paryield.club.people import key_of

MINUTES = 15
BY_NAME = RateLimitItemPerMinute(10, MINUTES)
BY_ADDRESS = RateLimitItemPerMinute(100, MINUTES)
"""Attempts within a quarter of an hour for a name, whether or not somebody has it, and from an address, which
a whole club house may share; our choice. NIST SP 800-63B allows at most 100 failures in a row on an account
(from memory)."""


class Attempts:
    """Counts attempts; a success clears the count of the name."""

    def __init__(self) -> None:
        self._limiter = MovingWindowRateLimiter(MemoryStorage())

    def allowed(self, name: str, address: str) -> bool:
        """Count one attempt, and tell whether it may be made."""
        near = self._limiter.hit(BY_ADDRESS, "address", place_of(address))
        return near and self._limiter.hit(BY_NAME, "name", _short(name))

    def succeeded(self, name: str) -> None:
        """Forget the attempts on a name."""
        self._limiter.clear(BY_NAME, "name", _short(name))


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


def _short(name: str) -> str:
    return hashlib.sha256(key_of(name).encode()).hexdigest()
