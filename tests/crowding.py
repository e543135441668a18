"""Opens connections to a server and leaves their requests half sent, again and again, for as long as told."""

from __future__ import annotations

import contextlib
import selectors
import socket
import subprocess
import sys
import time
from collections.abc import Iterator
from contextlib import contextmanager

HEAD = b"Host: 127.0.0.1\r\nContent-Type: application/x-www-form-urlencoded\r\nContent-Length: 1000\r\n"
HALVES = (b"", b"GET /account HTTP/1.1\r\n" + HEAD, b"POST /sign-in HTTP/1.1\r\n" + HEAD + b"\r\nname=")
"""Nothing at all, half a head, and half a body."""


def crowd(port: int, count: int, seconds: float) -> int:
    """Keep ``count`` connections half open, new ones in the place of those that were closed.

    Returns
    -------
    int
        How many connections were opened in all.
    """
    with contextlib.suppress(ImportError, ValueError, OSError):
        import resource

        hard = resource.getrlimit(resource.RLIMIT_NOFILE)[1]
        resource.setrlimit(resource.RLIMIT_NOFILE, (hard, hard))
    watch, opened, end = selectors.DefaultSelector(), 0, time.monotonic() + seconds
    told = False
    while time.monotonic() < end:
        while len(watch.get_map()) < count and time.monotonic() < end:
            one = socket.socket()
            one.settimeout(5)
            try:
                one.connect(("127.0.0.1", port))
                one.sendall(HALVES[opened % len(HALVES)])
            except OSError:
                one.close()
                continue
            opened += 1
            watch.register(one, selectors.EVENT_READ)
            if opened % 50 == 0:
                for key, _ in watch.select(0):
                    let_go(watch, key)
            if opened == count and not told:
                told = True
                print("there", flush=True)
        for key, _ in watch.select(0.2):
            let_go(watch, key)
    return opened


def let_go(watch: selectors.BaseSelector, key: selectors.SelectorKey) -> None:
    """Forget a connection that the server closed."""
    watch.unregister(key.fileobj)
    assert isinstance(key.fileobj, socket.socket)
    key.fileobj.close()


@contextmanager
def crowded(port: int, count: int, seconds: float) -> Iterator[subprocess.Popen[str]]:
    """Run the crowd in a process of its own, until all were opened once and for so long."""
    words = [sys.executable, __file__, str(port), str(count), str(seconds)]
    with subprocess.Popen(words, stdout=subprocess.PIPE, text=True) as process:
        assert process.stdout is not None
        try:
            assert process.stdout.readline() == "there\n"
            yield process
        finally:
            process.kill()


if __name__ == "__main__":
    print(crowd(int(sys.argv[1]), int(sys.argv[2]), float(sys.argv[3])), flush=True)
