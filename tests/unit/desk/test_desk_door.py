"""Slow and half-sent requests do not keep others out; whoever is turned away is told so on a page."""

from __future__ import annotations

import asyncio
import socket
import ssl
import threading
import time
from collections.abc import Callable, Iterator
from contextlib import closing, contextmanager
from typing import Any

import pytest
import trustme
import uvicorn

from crowding import crowded
from paryield.desk import door as limits
from paryield.desk.door import Door, connections
from paryield.desk.server import AT_ONCE, QUEUE


async def app(scope: Any, receive: Any, send: Any) -> None:
    """Answer with the length of the body; ``/slow`` takes a while."""
    size, more = 0, True
    while more:
        message = await receive()
        if message["type"] == "http.disconnect":
            return
        size, more = size + len(message.get("body", b"")), message.get("more_body", False)
    if scope["path"] == "/slow":
        await asyncio.sleep(1.5)
    await send({"type": "http.response.start", "status": 200, "headers": [(b"content-length", b"6")]})
    await send({"type": "http.response.body", "body": b"%06d" % size})


@contextmanager
def serving(door: Door, context: ssl.SSLContext | None = None) -> Iterator[int]:
    """Serve the application through a door, and give the port."""
    config = uvicorn.Config(
        app,
        http=connections(context, door),  # type: ignore[arg-type]
        lifespan="off",
        log_level="critical",
        ws="none",
        loop="asyncio",
        timeout_keep_alive=30,
        backlog=max(min(AT_ONCE, door.most // 8), 1),
    )
    server = uvicorn.Server(config)
    with socket.create_server(("127.0.0.1", 0), backlog=256) as listener:
        thread = threading.Thread(target=server.run, kwargs={"sockets": [listener]}, daemon=True)
        thread.start()
        while not server.started:
            time.sleep(0.01)
        listener.listen(QUEUE)
        yield listener.getsockname()[1]
        server.should_exit = server.force_exit = True
        thread.join(10)


def asked(port: int, content: bytes, wrap: Callable[[socket.socket], socket.socket] | None = None) -> bytes:
    """Send bytes and return all that comes back until the server closes, or for five seconds."""
    plain = socket.create_connection(("127.0.0.1", port), 5)
    with closing(wrap(plain) if wrap else plain) as stream:
        stream.sendall(content)
        found = b""
        while block := stream.recv(4096):
            found += block
            if b"Connection: close" not in content and found.endswith(b"000000"):
                break
        return found


def answered(stream: socket.socket, body: bytes = b"000000") -> bool:
    """Tell whether an answer with this body comes."""
    found = b""
    while not found.endswith(body) and (block := stream.recv(4096)):
        found += block
    return found.endswith(body)


def closed(stream: socket.socket) -> bool:
    """Tell whether the server closed a connection without a word, within five seconds."""
    stream.settimeout(5)
    try:
        return stream.recv(100) == b""
    except ConnectionError:
        return True


WHOLE = b"GET / HTTP/1.1\r\nHost: 127.0.0.1\r\n\r\n"
HALF_HEAD = b"GET / HTTP/1.1\r\nHost: 127"
HALF_BODY = b"POST / HTTP/1.1\r\nHost: 127.0.0.1\r\nContent-Length: 100\r\n\r\nname="


@pytest.fixture
def quick(monkeypatch: pytest.MonkeyPatch) -> None:
    """Make the limits of time short."""
    for name, seconds in {"HEAD_SECONDS": 0.4, "BODY_SECONDS": 0.4, "TLS_SECONDS": 0.4}.items():
        monkeypatch.setattr(limits, name, seconds)
    monkeypatch.setattr(limits, "SWEPT_SECONDS", 0.1)


@pytest.mark.parametrize("half", [b"", HALF_HEAD, WHOLE + HALF_HEAD])
def test_a_head_that_does_not_arrive_is_told_and_closed(quick: None, half: bytes) -> None:
    with serving(Door()) as port:
        began = time.monotonic()
        with closing(socket.create_connection(("127.0.0.1", port), 5)) as stream:
            stream.sendall(half)
            found = b""
            while block := stream.recv(4096):
                found += block
        assert b"HTTP/1.1 408 " in found
        assert b"That took too long" in found
        assert time.monotonic() - began < 4


def test_a_body_that_does_not_arrive_is_closed(quick: None) -> None:
    with serving(Door()) as port, closing(socket.create_connection(("127.0.0.1", port), 5)) as stream:
        stream.sendall(HALF_BODY)
        assert closed(stream)


def test_a_body_that_keeps_coming_is_taken(quick: None, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(limits, "SLOWEST_BYTES", 50.0)
    with serving(Door()) as port, closing(socket.create_connection(("127.0.0.1", port), 5)) as stream:
        stream.sendall(HALF_BODY[:-5])
        for _ in range(10):
            stream.sendall(b"0123456789")
            time.sleep(0.08)
        assert answered(stream, b"000100")


def test_an_idle_connection_and_a_slow_answer_are_left_alone(quick: None) -> None:
    with serving(Door()) as port, closing(socket.create_connection(("127.0.0.1", port), 5)) as stream:
        for path in (b"/", b"/slow", b"/"):
            stream.sendall(WHOLE.replace(b"/ ", path + b" "))
            assert answered(stream)
            time.sleep(0.8)


def test_beyond_the_ceiling_whoever_waits_longest_goes() -> None:
    with serving(Door(most=20)) as port:
        held = [socket.create_connection(("127.0.0.1", port), 5) for _ in range(60)]
        for one in held:
            one.sendall(HALF_HEAD)
        assert asked(port, WHOLE).endswith(b"000000")
        assert closed(held[0])
        for one in held:
            one.close()


def test_whoever_is_turned_away_gets_a_page() -> None:
    with serving(Door(at_once=2)) as port:
        slow = [socket.create_connection(("127.0.0.1", port), 5) for _ in range(2)]
        for one in slow:
            one.sendall(WHOLE.replace(b"/ ", b"/slow "))
        time.sleep(0.3)
        found = asked(port, WHOLE.replace(b"\r\n\r\n", b"\r\nConnection: close\r\n\r\n"))
        assert found.startswith(b"HTTP/1.1 503 ")
        assert b"The desk is full" in found
        assert b"retry-after: 30" in found.lower()
        for one in slow:
            assert answered(one)
            one.close()
        assert asked(port, WHOLE).endswith(b"000000")


@pytest.fixture(scope="module")
def tls() -> tuple[ssl.SSLContext, ssl.SSLContext]:
    """TLS of the server, and of a client that trusts it."""
    authority = trustme.CA()
    server, client = ssl.SSLContext(ssl.PROTOCOL_TLS_SERVER), ssl.create_default_context()
    authority.issue_cert("127.0.0.1").configure_cert(server)
    authority.configure_trust(client)
    return server, client


def test_over_tls_the_greeting_has_its_time_and_pages_come(
    quick: None, tls: tuple[ssl.SSLContext, ssl.SSLContext]
) -> None:
    server, client = tls

    def wrap(plain: socket.socket) -> socket.socket:
        return client.wrap_socket(plain, server_hostname="127.0.0.1")

    with serving(Door(most=20), server) as port:
        for _ in range(5):
            assert asked(port, WHOLE, wrap).endswith(b"000000")
        silent = [socket.create_connection(("127.0.0.1", port), 5) for _ in range(40)]
        assert asked(port, WHOLE, wrap).endswith(b"000000")
        assert closed(silent[-1])
        for one in silent:
            one.close()


def test_hundreds_of_half_open_connections_keep_nobody_waiting() -> None:
    with serving(Door(most=500)) as port, crowded(port, 400, 30):
        for _ in range(10):
            began = time.monotonic()
            assert asked(port, WHOLE).endswith(b"000000")
            assert time.monotonic() - began < 5  # the machine may be busy with other tests


def test_there_are_no_more_places_than_files(monkeypatch: pytest.MonkeyPatch) -> None:
    resource = pytest.importorskip("resource")
    monkeypatch.setattr(resource, "getrlimit", lambda _: (256, 256))
    monkeypatch.setattr(resource, "setrlimit", lambda *_: None)
    assert limits.places() == 128
