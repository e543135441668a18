"""Beyond this computer: TLS or a proxy that ends it, a sign-in, somebody who can sign in; else one line."""

from __future__ import annotations

import asyncio
import json
import os
import signal
import socket
import ssl
import subprocess
import sys
import urllib.error
import urllib.request
from pathlib import Path
from typing import Any

import pytest
import trustme

from paryield.cli import main
from paryield.club import Accounts, Club
from paryield.desk.server import behind, listening


@pytest.fixture(scope="module")
def pair(tmp_path_factory: pytest.TempPathFactory) -> tuple[Path, Path, Path]:
    """Certificate, key, and the authority that a browser would trust."""
    place, authority = tmp_path_factory.mktemp("tls"), trustme.CA()
    issued = authority.issue_cert("127.0.0.1", "localhost")
    certificate, key, root = place / "desk.pem", place / "desk.key", place / "root.pem"
    for blob in issued.cert_chain_pems:
        blob.write_to_path(certificate, append=True)
    issued.private_key_pem.write_to_path(key)
    authority.cert_pem.write_to_path(root)
    return certificate, key, root


@pytest.mark.parametrize(
    ("words", "said"),
    [
        (["--listen", "0.0.0.0"], "without encryption"),
        (["--listen", "192.0.2.7", "--sign-in"], "without encryption"),
        (["--listen", "desk.example"], "is not an IP address"),
        (["--behind-proxy", "proxy.example"], "is not an IP address"),
        (["--listen", "0.0.0.0", "--certificate", "a.pem"], "go together"),
        (["--listen", "0.0.0.0", "--key", "a.key"], "go together"),
        (["--listen", "0.0.0.0", "--certificate", "none.pem", "--key", "none.key"], "No such file"),
        (["--certificate", "a.pem", "--key", "a.key", "--behind-proxy", "127.0.0.1"], "either here or"),
        (["--listen", "0.0.0.0", "--behind-proxy", "192.0.2.1"], "nobody can sign in yet"),
        (["--sign-in"], "nobody can sign in yet"),
    ],
)
def test_what_is_not_safe_is_one_line(
    unfitted: Path, words: list[str], said: str, capsys: pytest.CaptureFixture[str]
) -> None:
    assert main(["desk", str(unfitted), "--json", *words]) == 2
    out, err = capsys.readouterr()
    assert len(err.splitlines()) == 1
    assert said in err
    assert json.loads(out)["error"]["kind"] == "input"


def test_a_key_of_another_certificate_is_one_line(
    unfitted: Path, pair: tuple[Path, Path, Path], tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    other = tmp_path / "other.key"
    trustme.CA().issue_cert("127.0.0.1").private_key_pem.write_to_path(other)
    for certificate, key in ((pair[0], other), (pair[1], pair[1]), (unfitted, unfitted)):
        words = ["desk", str(unfitted), "--listen", "0.0.0.0", "--certificate", str(certificate)]
        assert main([*words, "--key", str(key)]) == 2
        assert "cannot be used" in capsys.readouterr().err


def test_beyond_this_computer_a_sign_in_is_always_asked_for(pair: tuple[Path, Path, Path]) -> None:
    certificate, key, _ = map(str, pair)
    for found in (
        listening("0.0.0.0", certificate=certificate, key=key),
        listening("::", proxy="192.0.2.1"),
        listening("127.0.0.1", proxy="127.0.0.1"),
        listening("127.0.0.1", certificate=certificate, key=key),
    ):
        assert (found.sign_in, found.secure) == (True, True)
    assert (listening().sign_in, listening(sign_in=True).sign_in) == (False, True)
    assert not listening(sign_in=True).secure


def ask(app: Any, peer: str, headers: dict[str, str]) -> tuple[int, str]:
    """Ask an application as a server would, from a peer, and return status and body."""
    sent: list[dict[str, Any]] = []

    async def receive() -> dict[str, Any]:
        return {"type": "http.request", "body": b"", "more_body": False}

    async def send(message: dict[str, Any]) -> None:
        sent.append(message)

    scope = {
        "type": "http",
        "method": "GET",
        "path": "/",
        "query_string": b"",
        "scheme": "http",
        "client": (peer, 1),
        "headers": [(name.encode(), value.encode()) for name, value in headers.items()],
    }
    asyncio.run(app(scope, receive, send))
    body = b"".join(message.get("body", b"") for message in sent)
    return sent[0]["status"], body.decode()


def test_behind_a_proxy_only_the_proxy_is_answered_and_believed() -> None:
    async def told(scope: Any, receive: Any, send: Any) -> None:
        await send({"type": "http.response.start", "status": 200, "headers": []})
        await send({"type": "http.response.body", "body": f"{scope['client'][0]} {scope['scheme']}".encode()})

    app = behind(told, "192.0.2.1")
    through = {"x-forwarded-for": "198.51.100.9", "x-forwarded-proto": "https"}
    assert ask(app, "192.0.2.1", through) == (200, "198.51.100.9 https")
    assert ask(app, "::ffff:192.0.2.1", {})[0] == 200
    status, body = ask(app, "192.0.2.66", through)
    assert (status, "its proxy only" in body) == (403, True)
    assert behind(told, "") is told


@pytest.mark.club_file
def test_a_desk_over_tls_lets_somebody_in(
    unfitted: Path, pair: tuple[Path, Path, Path], tmp_path: Path
) -> None:
    """The real command on a real socket: plain HTTP gets nothing, TLS asks for a sign-in."""
    with Club.open(unfitted) as club:
        Accounts(club).add("Bela Norwood", "administrator")
    with socket.socket() as free:
        free.bind(("127.0.0.1", 0))
        port = free.getsockname()[1]
    words = ["desk", str(unfitted), "--listen", "0.0.0.0", "--port", str(port), "--json"]
    words += ["--certificate", str(pair[0]), "--key", str(pair[1])]
    command = [sys.executable, "-c", "import sys; from paryield.cli import main; sys.exit(main())", *words]
    process = subprocess.Popen(command, stdout=subprocess.PIPE, stderr=subprocess.PIPE, text=True)
    try:
        assert process.stdout is not None
        assert json.loads(process.stdout.readline())["address"] == f"https://0.0.0.0:{port}/"
        context = ssl.create_default_context(cafile=str(pair[2]))
        page = _asked(f"https://127.0.0.1:{port}/people", context)
        assert page.url == f"https://127.0.0.1:{port}/sign-in?next=%2Fpeople"
        cookie = page.headers["set-cookie"]
        assert cookie.startswith("__Host-desk=")
        assert "Secure" in cookie
        assert "Ottilie" not in page.read().decode()
        with pytest.raises((urllib.error.URLError, ConnectionError, OSError)):
            urllib.request.urlopen(f"http://127.0.0.1:{port}/", timeout=10)
    finally:
        os.kill(process.pid, signal.SIGINT)
        _, err = process.communicate(timeout=60)
    assert "Traceback" not in err


def _asked(address: str, context: ssl.SSLContext) -> Any:
    import time

    for _ in range(120):
        try:
            return urllib.request.urlopen(address, timeout=20, context=context)
        except (urllib.error.URLError, ConnectionError):
            time.sleep(0.5)
    raise AssertionError("the desk does not answer")


def test_people_by_command(unfitted: Path, capsys: pytest.CaptureFixture[str]) -> None:
    def run(*words: str) -> tuple[int, Any, str]:
        code = main(["people", str(unfitted), *words, "--json"])
        out, err = capsys.readouterr()
        return code, json.loads(out), err

    assert run("list")[:2] == (0, [])
    code, added, _ = run("add", "--name", "Ruth Ambleside", "--role", "player", "--golfer", "A1")
    assert (code, added[0]["golfers"], added[0]["must_change"]) == (0, ["A1"], True)
    assert run("list")[1] == [{name: added[0][name] for name in added[0] if name != "password"}]
    assert run()[1] == run("list")[1]
    code, reset, _ = run("reset", "--name", "ruth ambleside")
    assert reset[0]["password"] != added[0]["password"]
    with Club.open(unfitted) as club:
        assert Accounts(club).sign_in("Ruth Ambleside", added[0]["password"]) is None
        assert Accounts(club).sign_in("Ruth Ambleside", reset[0]["password"]) is not None
    code, removed, _ = run("remove", "--name", added[0]["person_id"])
    assert removed[0]["removed"] is True
    for words, said in (
        (["remove", "--name", "Ruth"], "nobody here is called"),
        (["add", "--name", "Ruth"], "no role ''"),
        (["add"], "nobody is named"),
        (["reset"], "nobody is named"),
        (["reset", "--name", "Ruth", "--role", "coach"], "given with add"),
        (["dance", "--name", "Ruth"], "dance"),
    ):
        code, document, err = run(*words)
        assert (code, len(err.splitlines())) == (2, 1)
        assert said in document["error"]["message"] + err
    assert run("list")[1] == []


def test_people_as_lines(unfitted: Path, capsys: pytest.CaptureFixture[str]) -> None:
    assert main(["people", str(unfitted)]) == 0
    assert capsys.readouterr().out == "Nobody may sign in yet.\n"
    assert main(["people", str(unfitted), "add", "--name", "Bela Norwood", "--role", "administrator"]) == 0
    out = capsys.readouterr().out
    assert "One-time password, shown this once: " in out
    assert main(["people", str(unfitted), "list"]) == 0
    listed = capsys.readouterr().out
    assert "Bela Norwood" in listed
    assert "shown this once" not in listed
    assert "argon2" not in listed


def test_the_people_of_a_club_that_is_not_there_are_one_line(
    unfitted: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    assert main(["people", str(unfitted.with_name("none.db")), "add", "--name", "X", "--role", "coach"]) == 2
    assert "there is no such club file" in capsys.readouterr().err
