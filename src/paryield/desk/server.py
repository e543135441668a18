"""Serves the pages: on this computer alone, or over TLS to people who sign in."""

from __future__ import annotations

import contextlib
import ipaddress
import os
import socket
import ssl
from collections.abc import Callable
from dataclasses import dataclass, replace
from typing import Any

from starlette.responses import PlainTextResponse

from paryield.club import Accounts, Club
from paryield.errors import InputError

HOST, PORT = "127.0.0.1", 8420
QUEUE, AT_ONCE = 1024, 50
"""Connections that may wait to be taken in, and how many are taken in before any of them is read: few against
the ceiling of the door, or whoever comes together with a crowd would give way before he was read."""


@dataclass(frozen=True)
class Listening:
    """Where the desk listens, and how it is kept safe there.

    Parameters
    ----------
    address : str
        IP address to listen on.
    sign_in : bool
        Ask for a sign-in; always beyond this computer.
    certificate, key : str
        Files of the TLS certificate (with its chain) and its key, PEM; blank without TLS.
    proxy : str
        IP address of a proxy that ends TLS in front of the desk; no other address is answered then.
    """

    address: str = HOST
    sign_in: bool = False
    certificate: str = ""
    key: str = ""
    proxy: str = ""

    @property
    def own_computer(self) -> bool:
        """Whether other computers are kept out."""
        return ipaddress.ip_address(self.address).is_loopback

    @property
    def secure(self) -> bool:
        """Whether pages go over TLS."""
        return bool(self.certificate or self.proxy)


def listening(
    listen: str = HOST, *, sign_in: bool = False, certificate: str = "", key: str = "", proxy: str = ""
) -> Listening:
    """Return where to listen, once it is sure that nobody else can read along or walk in.

    Raises
    ------
    InputError
        For what is no IP address, for an address beyond this computer without TLS, and for a certificate
        and key that cannot be used.
    """
    host, front = _address(listen, "--listen"), _address(proxy, "--behind-proxy") if proxy else ""
    if bool(certificate) != bool(key):
        raise InputError("a certificate and its key go together", where="--certificate, --key")
    if certificate and proxy:
        where = "--certificate, --behind-proxy"
        raise InputError("TLS ends either here or at the proxy", where=where, remedy="give one of them")
    found = Listening(host, sign_in, certificate, key, front)
    if not found.own_computer and not found.secure:
        raise InputError(
            f"{listen!r} would let other computers in without encryption",
            where="--listen",
            remedy="give --certificate and --key, or --behind-proxy with the address of one that ends TLS",
        )
    if certificate:
        _tls(certificate, key)
    return replace(found, sign_in=sign_in or not found.own_computer or found.secure)


def serve(
    where: str,
    port: int = PORT,
    listen: Listening | None = None,
    anyway: bool = False,
    opened: Callable[[str], None] | None = None,
    told: Callable[[str], object] | None = None,
) -> None:
    """Serve a club's pages until stopped.

    Parameters
    ----------
    where : str
        Path of the club file, or a database URL.
    port : int
        0 takes a free one.
    listen : Listening, optional
        Where, as :func:`listening` found it; this computer alone when None.
    anyway : bool
        Show answers of an unsound fit, under a banner.
    opened : callable, optional
        Receives the address once the pages are there.
    told : callable, optional
        Receives what is going on until then.

    Raises
    ------
    InputError
        For a club that cannot be opened, one in which nobody could sign in, or a port in use.
    """
    import uvicorn

    chosen = listen or Listening()
    with Club.open(where) as club:
        if chosen.sign_in and not Accounts(club).people():
            raise InputError(
                "nobody can sign in yet",
                where=club.name,
                remedy="add somebody: paryield people CLUB add --name NAME --role administrator",
            )
    listener = _bound(chosen.address, port)
    number = listener.getsockname()[1]
    if told is not None:
        told("opening the desk: loading what the pages need; some seconds, a minute on a busy computer")
    from paryield.desk.app import make_app

    app = make_app(
        where,
        anyway=anyway,
        port=number,
        sign_in=chosen.sign_in,
        secure=chosen.secure,
        any_name=not chosen.own_computer or bool(chosen.proxy),
    )
    if opened is not None:
        shown = f"[{chosen.address}]" if ":" in chosen.address else chosen.address
        opened(f"{'https' if chosen.certificate else 'http'}://{shown}:{number}/")

    class Server(uvicorn.Server):
        async def startup(self, sockets: list[socket.socket] | None = None) -> None:
            await super().startup(sockets)
            listener.listen(QUEUE)  # the event loop made the queue as short as what it takes in at once

    server = Server(uvicorn.Config(behind(app, chosen.proxy), **_options(chosen)))
    try:
        server.run(sockets=[listener])
    except KeyboardInterrupt:
        pass
    finally:
        app.state.desk.close()
        listener.close()


def behind(app: Any, proxy: str) -> Any:
    """Return the application as a proxy reaches it: it alone is answered, and its word on who asks counts."""
    if not proxy:
        return app
    from uvicorn.middleware.proxy_headers import ProxyHeadersMiddleware

    told = ProxyHeadersMiddleware(app, trusted_hosts=proxy)

    async def door(scope: Any, receive: Any, send: Any) -> None:
        client = scope.get("client")
        if scope["type"] == "http" and (client is None or _plain(client[0]) != proxy):
            refused = PlainTextResponse("This desk is reached through its proxy only.\n", 403)
            await refused(scope, receive, send)
        else:
            await told(scope, receive, send)

    return door


def _options(chosen: Listening) -> dict[str, Any]:
    """Return how the server runs; what a request says about its own address is not believed."""
    from paryield.desk.door import MOST_CONNECTIONS, Door, connections, places

    door = Door(most=min(MOST_CONNECTIONS, places()))

    level = "warning" if os.environ.get("PARYIELD_TRACEBACK") == "1" else "critical"
    return {
        "log_level": level,
        "access_log": False,
        "server_header": False,
        "timeout_keep_alive": 30,
        "proxy_headers": False,
        "loop": "asyncio",
        "http": connections(_tls(chosen.certificate, chosen.key) if chosen.certificate else None, door),
        "ws": "none",
        "backlog": max(min(AT_ONCE, door.most // 8), 1),
    }


def _plain(address: str) -> str:
    """Return an address as the option has it: an IPv4 address within IPv6 is the IPv4 address."""
    with contextlib.suppress(ValueError):
        found = ipaddress.ip_address(address)
        return str(getattr(found, "ipv4_mapped", None) or found)
    return address


def _address(text: str, option: str) -> str:
    plain = "127.0.0.1" if text == "localhost" else text.strip("[]")
    try:
        return str(ipaddress.ip_address(plain))
    except ValueError:
        raise InputError(
            f"{text!r} is not an IP address", where=option, remedy="write one such as 127.0.0.1 or ::1"
        ) from None


def _tls(certificate: str, key: str) -> ssl.SSLContext:
    """Return TLS with a certificate and its key.

    Raises
    ------
    InputError
        When they cannot be used.
    """
    context = ssl.SSLContext(ssl.PROTOCOL_TLS_SERVER)
    try:
        context.load_cert_chain(certificate, key, password="")
    except (OSError, ValueError) as error:
        why = error.strerror if isinstance(error, OSError) and error.strerror else str(error)
        raise InputError(
            f"certificate and key cannot be used ({why})",
            where=f"{certificate}, {key}",
            remedy="give the PEM files of a certificate and of its own key, which has no password",
        ) from None
    return context


def _bound(host: str, port: int) -> socket.socket:
    family = socket.AF_INET6 if ":" in host else socket.AF_INET
    listener = socket.socket(family, socket.SOCK_STREAM)
    listener.setsockopt(socket.SOL_SOCKET, socket.SO_REUSEADDR, 1)
    try:
        listener.bind((host, port))
        listener.listen(QUEUE)
    except (OSError, OverflowError) as error:
        listener.close()
        why = error.strerror if isinstance(error, OSError) and error.strerror else str(error)
        raise InputError(
            f"port {port} cannot be used ({why})",
            where="--port",
            remedy="name another port, or 0 for a free one",
        ) from None
    return listener
