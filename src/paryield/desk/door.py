"""The front door of the server: how long a request may take to arrive, how many there may be, and TLS.

Whoever opens connections and sends nothing, or sends slowly, holds none of the few places for long: beyond
the ceiling the connection that has kept the desk waiting longest gives way to the one that comes.
"""

from __future__ import annotations

import asyncio
import contextlib
import random
import ssl
import sys
from collections.abc import Callable
from typing import Any

from uvicorn.protocols.http.h11_impl import H11Protocol

MOST_CONNECTIONS, MOST_AT_ONCE = 3000, 64
"""Connections, and requests that are being answered; our choice. A connection that waits costs a few kB."""

HEAD_SECONDS, TLS_SECONDS = 10.0, 8.0
"""How long the head of a request, and the greeting of TLS, may take to arrive; a head up to half as long
again, by lot, so that a crowd that comes at once does not come back at once."""

BODY_SECONDS, SLOWEST_BYTES = 30.0, 8192.0
"""A form or file arrives within this time, and a second more for each so many bytes."""

LINGER_SECONDS, SWEPT_SECONDS = 30.0, 1.0
"""How long a connection may take to fetch the end of its answer; how often all are looked at."""

PAGE = """<!DOCTYPE html>
<html lang="en"><head><meta charset="utf-8"><title>{title}</title></head>
<body><h1>{title}</h1><p>{text}</p></body></html>
"""
FULL = (
    "The desk is full",
    "Too many people ask for pages at this moment. Wait half a minute, then try again.",
)
LATE = ("That took too long", "The request did not arrive in time. Open the page and send it again.")


class Door:
    """All connections of a server: those that keep it waiting, in order, and those being answered."""

    def __init__(self, most: int = MOST_CONNECTIONS, at_once: int = MOST_AT_ONCE) -> None:
        self.most, self.at_once = most, at_once
        self.waiting: dict[Any, None] = {}
        self.idle: dict[Any, None] = {}
        self.answering: dict[Any, None] = {}
        self._sweep: asyncio.TimerHandle | None = None

    def __len__(self) -> int:
        return len(self.waiting) + len(self.idle) + len(self.answering)

    def enter(self, connection: Any, loop: asyncio.AbstractEventLoop) -> None:
        """Take in a connection; beyond the ceiling, the one that waits longest goes."""
        self.waiting[connection] = None
        if self._sweep is None:
            self._sweep = loop.call_later(SWEPT_SECONDS, self._swept, loop)
        if len(self) > self.most:
            others = (one for one in [*self.waiting, *self.idle] if one is not connection)
            victim = next(others, connection)
            self.leave(victim)
            victim.abort()

    def move(self, connection: Any, place: dict[Any, None]) -> None:
        """Note that a connection waits, is idle or is answered from now on."""
        if connection not in place:
            self.leave(connection)
            place[connection] = None

    def leave(self, connection: Any) -> None:
        """Forget a connection."""
        for place in (self.waiting, self.idle, self.answering):
            place.pop(connection, None)

    def _swept(self, loop: asyncio.AbstractEventLoop) -> None:
        moment = loop.time()
        for connection in [*self.waiting, *self.answering]:
            connection.look(moment)
        self._sweep = loop.call_later(SWEPT_SECONDS, self._swept, loop) if len(self) else None


class Reader(H11Protocol):
    """One connection that asks for pages, as uvicorn serves it, with limits of time."""

    door: Door

    def __init__(self, door: Door, **words: Any) -> None:
        super().__init__(**words)
        self.door = door
        self.begun, self.arrived, self.closing_since = 0.0, 0, 0.0
        self._early, self._lost = b"", False
        self._patience = random.uniform(1.0, 1.5)

    def connection_made(self, transport: Any) -> None:
        """Begin to wait for the head of a request; what came along with the greeting of TLS is read now."""
        if self._lost:
            return
        super().connection_made(transport)
        self.begun = self.loop.time()
        self.door.enter(self, self.loop)
        if self._early:
            early, self._early = self._early, b""
            self.data_received(early)

    def data_received(self, data: bytes) -> None:
        """Read on; beyond so many requests at once, the next one gets the page that says so."""
        if self.transport is None:
            self._early += data
            return
        if self not in self.door.waiting:
            self.begun, self.arrived = self.loop.time(), 0
        self.arrived += len(data)
        full = len(self.door.answering) >= self.door.at_once
        self.app = _full if full else self.config.loaded_app
        super().data_received(data)
        self._place()

    def on_response_complete(self) -> None:
        """Be idle after an answer."""
        super().on_response_complete()
        self.begun, self.arrived = self.loop.time(), 0
        self._place()

    def connection_lost(self, exc: Exception | None) -> None:
        """Leave."""
        self._lost = True
        self.door.leave(self)
        if self.transport is not None:
            super().connection_lost(exc)

    def look(self, moment: float) -> None:
        """Close the connection when what it sends, or fetches, takes too long."""
        if self.transport.is_closing():
            self.closing_since = self.closing_since or moment
            if moment - self.closing_since > LINGER_SECONDS:
                self.abort()
        elif self._late(moment):
            if self.cycle is None or self.cycle.response_complete:
                self.transport.write(_plain(408, LATE))
                self.transport.close()
            else:
                self.abort()

    def abort(self) -> None:
        """Close the connection at once."""
        self.door.leave(self)
        if self.transport is not None:
            self.transport.abort()

    def _late(self, moment: float) -> bool:
        if self not in self.door.waiting:
            return False
        in_body = self.cycle is not None and not self.cycle.response_complete
        allowed = BODY_SECONDS + self.arrived / SLOWEST_BYTES if in_body else HEAD_SECONDS * self._patience
        return moment - self.begun > allowed

    def _place(self) -> None:
        if self._lost:
            return
        if self.cycle is not None and not self.cycle.response_complete:
            self.door.move(self, self.door.waiting if self.cycle.more_body else self.door.answering)
        elif self.cycle is None or self.conn.trailing_data[0]:
            self.door.move(self, self.door.waiting)
        else:
            self.door.move(self, self.door.idle)


class Greeting(asyncio.Protocol):
    """A connection that has not greeted over TLS yet; it becomes a :class:`Reader`, or is closed in time."""

    def __init__(self, door: Door, context: ssl.SSLContext, make: Callable[[], Reader]) -> None:
        self.door, self.context, self.make = door, context, make
        self.transport: Any = None
        self._task: asyncio.Task[None] | None = None

    def connection_made(self, transport: Any) -> None:
        """Begin the greeting; nothing is read before TLS reads it."""
        self.transport = transport
        transport.pause_reading()
        loop = asyncio.get_running_loop()
        self.door.enter(self, loop)
        self._task = loop.create_task(self._greet(loop))

    async def _greet(self, loop: asyncio.AbstractEventLoop) -> None:
        reader = self.make()
        try:
            secure = await loop.start_tls(
                self.transport, reader, self.context, server_side=True, ssl_handshake_timeout=TLS_SECONDS
            )
        except (OSError, ssl.SSLError):
            self.abort()
            return
        self.door.leave(self)
        if secure is None:
            self.abort()
        else:
            reader.connection_made(secure)

    def connection_lost(self, exc: Exception | None) -> None:
        """Leave."""
        self.door.leave(self)

    def look(self, moment: float) -> None:
        """Do nothing: the greeting has a limit of its own."""

    def abort(self) -> None:
        """Close the connection at once."""
        self.door.leave(self)
        with contextlib.suppress(OSError, RuntimeError):
            self.transport.abort()


def connections(context: ssl.SSLContext | None, door: Door) -> Callable[..., asyncio.Protocol]:
    """Return what makes the protocol of each connection, as the server asks for it.

    Parameters
    ----------
    context : ssl.SSLContext or None
        TLS with its certificate; None without.
    door : Door
        Of the server.
    """

    def make(**words: Any) -> asyncio.Protocol:
        if context is None:
            return Reader(door, **words)
        return Greeting(door, context, lambda: Reader(door, **words))

    return make


def places() -> int:
    """Return how many connections there may be: half of the files that this process may open, at most."""
    if sys.platform == "win32":  # it has no such limit
        return MOST_CONNECTIONS
    import resource

    soft, hard = resource.getrlimit(resource.RLIMIT_NOFILE)
    wanted = 2 * MOST_CONNECTIONS
    if soft != resource.RLIM_INFINITY and soft < wanted:
        with contextlib.suppress(OSError, ValueError):
            most = wanted if hard == resource.RLIM_INFINITY else min(hard, wanted)
            resource.setrlimit(resource.RLIMIT_NOFILE, (most, hard))
        soft, _ = resource.getrlimit(resource.RLIMIT_NOFILE)
    return MOST_CONNECTIONS if soft == resource.RLIM_INFINITY else max(soft // 2, 1)


async def _full(scope: Any, receive: Any, send: Any) -> None:
    """Answer that the desk is full."""
    headers = [
        (b"content-type", b"text/html; charset=utf-8"),
        (b"retry-after", b"30"),
        (b"connection", b"close"),
    ]
    await send({"type": "http.response.start", "status": 503, "headers": headers})
    body = PAGE.format(title=FULL[0], text=FULL[1]).encode()
    await send({"type": "http.response.body", "body": body})


def _plain(status: int, words: tuple[str, str]) -> bytes:
    """Return a whole answer for a request that did not arrive."""
    body = PAGE.format(title=words[0], text=words[1]).encode()
    head = f"HTTP/1.1 {status} Request Timeout\r\ncontent-type: text/html; charset=utf-8\r\n"
    return f"{head}content-length: {len(body)}\r\nconnection: close\r\n\r\n".encode() + body
