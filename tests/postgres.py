"""A real PostgreSQL server for tests, from Debian's package, on a socket in a folder of its own."""

from __future__ import annotations

import os
import pwd
import shutil
import subprocess
import tempfile
from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path

PLACES = ("/usr/lib/postgresql",)
FAST = "-c fsync=off -c synchronous_commit=off -c full_page_writes=off -c listen_addresses=''"


def programs() -> Path | None:
    """Return the folder with initdb and pg_ctl, None where PostgreSQL is not installed."""
    found = shutil.which("initdb")
    if found:
        return Path(found).resolve().parent
    for place in PLACES:
        for folder in sorted(Path(place).glob("*/bin"), reverse=True):
            if (folder / "initdb").exists():
                return folder
    return None


def as_server(command: list[str]) -> list[str]:
    """Return a command run as somebody who may start the server; it refuses to run as root."""
    return ["runuser", "-u", "postgres", "--", *command] if os.geteuid() == 0 else command


def why_not() -> str | None:
    """Return why there can be no server here, None where there can."""
    if programs() is None:
        return "PostgreSQL is not installed (Debian: apt-get install postgresql)"
    if os.geteuid() == 0:
        try:
            pwd.getpwnam("postgres")
        except KeyError:
            return "there is no user postgres to run the server as"
    return None


def run(command: list[str]) -> None:
    done = subprocess.run(as_server(command), capture_output=True, text=True, cwd="/tmp", check=False)
    assert done.returncode == 0, done.stdout + done.stderr


@contextmanager
def server() -> Iterator[Path]:
    """Start a server, yield the folder of its socket, and stop it."""
    folder = programs()
    assert folder is not None
    base = Path(tempfile.mkdtemp(prefix="pg", dir="/tmp"))
    if os.geteuid() == 0:
        shutil.chown(base, "postgres")
    data, control = str(base / "data"), str(folder / "pg_ctl")
    words = ["-U", "postgres", "--auth=trust", "-E", "UTF8", "--locale=C.UTF-8", "-N"]
    try:
        run([str(folder / "initdb"), "-D", data, *words])
        start = [control, "-D", data, "-w", "-t", "60", "-l", str(base / "log"), "-o", f"-k {base} {FAST}"]
        run([*start, "start"])
        try:
            yield base
        finally:
            run([control, "-D", data, "-m", "immediate", "-w", "stop"])
    finally:
        shutil.rmtree(base, ignore_errors=True)


def make_database(socket: Path, name: str, template: str | None = None) -> str:
    """Make a database, empty or a copy of another one, and return its URL."""
    import psycopg

    like = f' TEMPLATE "{template}"' if template else ""
    with psycopg.connect(host=str(socket), user="postgres", dbname="postgres", autocommit=True) as connection:
        connection.execute(f'CREATE DATABASE "{name}"{like}')  # type: ignore[call-overload]
    return f"postgresql://postgres@/{name}?host={socket}"
