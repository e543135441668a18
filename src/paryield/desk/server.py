"""Serves the pages on this computer."""

from __future__ import annotations

import ipaddress
import os
import socket
from collections.abc import Callable

from paryield.club import Club
from paryield.errors import InputError

HOST, PORT = "127.0.0.1", 8420


def serve(
    where: str,
    port: int = PORT,
    listen: str = HOST,
    anyway: bool = False,
    opened: Callable[[str], None] | None = None,
) -> None:
    """Serve a club's pages until stopped.

    Parameters
    ----------
    where : str
        Path of the club file, or a database URL.
    port : int
        0 takes a free one.
    listen : str
        Address to listen on; only this computer's own is allowed.
    anyway : bool
        Show answers of an unsound fit, under a banner.
    opened : callable, optional
        Receives the address once the pages are there.

    Raises
    ------
    InputError
        For a club that cannot be opened, an address beyond this computer, or a port in use.
    """
    import uvicorn

    from paryield.desk.app import make_app

    host = loopback(listen)
    with Club.open(where):
        pass
    listener = _bound(host, port)
    number = listener.getsockname()[1]
    app = make_app(where, anyway=anyway, port=number)
    shown = f"[{host}]" if ":" in host else host
    if opened is not None:
        opened(f"http://{shown}:{number}/")
    level = "warning" if os.environ.get("PARYIELD_TRACEBACK") == "1" else "critical"
    server = uvicorn.Server(
        uvicorn.Config(app, log_level=level, access_log=False, server_header=False, timeout_keep_alive=30)
    )
    try:
        server.run(sockets=[listener])
    except KeyboardInterrupt:
        pass
    finally:
        app.state.desk.close()
        listener.close()


def loopback(listen: str) -> str:
    """Return the address when it is this computer's own.

    Raises
    ------
    InputError
        For any other address: the pages hold names and scores, and nobody signs in yet.
    """
    host = "127.0.0.1" if listen == "localhost" else listen.strip("[]")
    try:
        own = ipaddress.ip_address(host).is_loopback
    except ValueError:
        own = False
    if not own:
        raise InputError(
            f"{listen!r} would let other computers in, and there is no sign-in",
            where="--listen",
            remedy="use 127.0.0.1 or ::1",
        )
    return host


def _bound(host: str, port: int) -> socket.socket:
    family = socket.AF_INET6 if ":" in host else socket.AF_INET
    listener = socket.socket(family, socket.SOCK_STREAM)
    listener.setsockopt(socket.SOL_SOCKET, socket.SO_REUSEADDR, 1)
    try:
        listener.bind((host, port))
        listener.listen(128)
    except (OSError, OverflowError) as error:
        listener.close()
        why = error.strerror if isinstance(error, OSError) and error.strerror else str(error)
        raise InputError(
            f"port {port} cannot be used ({why})",
            where="--port",
            remedy="name another port, or 0 for a free one",
        ) from None
    return listener
