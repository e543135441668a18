"""Puts this folder on the import path, so that tests share modules such as ``malformed``; one tiny fit."""

from __future__ import annotations

import gc
import hashlib
import os
import secrets
import shutil
import sqlite3
import sys
import tempfile
from collections.abc import Callable, Iterator
from datetime import date
from pathlib import Path
from typing import Any

# Fits of one club compile the same functions: what one process compiled serves the others, and the next run.
os.environ.setdefault(
    "JAX_COMPILATION_CACHE_DIR", str(Path(tempfile.gettempdir()) / "paryield-tests-compiled")
)
os.environ.setdefault("JAX_PERSISTENT_CACHE_MIN_COMPILE_TIME_SECS", "0")
os.environ.setdefault("JAX_PERSISTENT_CACHE_MIN_ENTRY_SIZE_BYTES", "-1")

import pytest
import sqlalchemy as sa
from argon2 import PasswordHasher
from filelock import FileLock
from hypothesis import Phase, settings

from paryield.club import Club, passwords
from tiny_fit import KEPT, fit_folder, make_fitted

# Millions of objects of the libraries stay for the whole run: looking for garbage among them took a sixth.
gc.set_threshold(100_000, 20, 100)
# An example that fails is shown as it is; to make it small takes minutes: --hypothesis-profile=small does.
settings.register_profile("small", settings.default)
settings.register_profile("found", phases=[one for one in Phase if one not in (Phase.shrink, Phase.explain)])
settings.load_profile("found")
# Tests start hundreds of processes: what Python compiled once is kept, also where the machine says otherwise.
os.environ.pop("PYTHONDONTWRITEBYTECODE", None)
sys.dont_write_bytecode = False


def shared_folder(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """Return a folder that all processes of one test run share (``pytest -n 2`` has two)."""
    base = tmp_path_factory.getbasetemp()
    return base.parent if os.environ.get("PYTEST_XDIST_WORKER") else base


@pytest.fixture(scope="session")
def fit_tiny() -> Callable[[Path, Path], Path]:
    """Return a function that imports a folder into a club file and fits it with few draws."""

    return fit_folder


@pytest.fixture(scope="session")
def fitted_club(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """Return the file of a made-up club of 6 golfers and half a year, fitted once; do not change it."""
    place = tmp_path_factory.mktemp("fitted")
    shared = Path(KEPT) if KEPT else shared_folder(tmp_path_factory) / "fitted.db"
    with FileLock(f"{shared}.lock"):
        if not shared.exists():
            make_fitted(shared)
    return Path(shutil.copy(shared, place / "club.db"))


@pytest.fixture
def tiny_club(fitted_club: Path, tmp_path: Path) -> Path:
    """Return a copy of the fitted club, free to change."""
    return Path(shutil.copy(fitted_club, tmp_path / "club.db"))


@pytest.fixture(scope="session")
def add_programme() -> Callable[..., None]:
    """Return a function that enrols golfers of the fitted club in a programme; the fit stays as it is."""

    def enrol(path: Path, folder: Path, programmes: dict[str, tuple[str, ...]] | None = None) -> None:
        chosen = programmes or {"spring": ("G01", "G02", "G03", "G04", "G05")}
        with Club.open(path) as club:
            club.export(folder)
            text = "golfer_id,programme,started_on,ended_on,outcome\n"
            for name, golfers in chosen.items():
                for place, golfer in enumerate(golfers):
                    gone = place == 1
                    ended = "2026-04-10" if gone else "2026-05-24"
                    text += f"{golfer},{name},2026-03-01,{ended},{'left' if gone else 'completed'}\n"
            (folder / "programmes.csv").write_text(text, encoding="utf-8")
            club.import_folder(folder, today=date(2026, 7, 5))

    return enrol


@pytest.fixture(scope="session")
def postgres_socket() -> Iterator[Path]:
    """Return the socket folder of a PostgreSQL server that runs for the session."""
    import postgres

    reason = postgres.why_not()
    if reason is not None:
        pytest.skip(reason)
    with postgres.server() as socket:
        yield socket


@pytest.fixture
def postgres_url(postgres_socket: Path) -> str:
    """Return the URL of an empty PostgreSQL database."""
    import postgres

    return postgres.make_database(postgres_socket, f"club_{secrets.token_hex(6)}")


WHOLE = "not slow and not bench and not browser"
"""Tests of a plain ``uv run pytest``."""
MOST_PROCESSES = 4
"""Each takes more than 1 GB."""


@pytest.hookimpl(tryfirst=True)
def pytest_cmdline_main(config: pytest.Config) -> None:
    """Run the whole suite on all cores; what is asked for by name, shown or timed stays in one process."""
    asked = config.option
    if (
        "PYTEST_XDIST_WORKER" not in os.environ
        and config.args_source is config.ArgsSource.TESTPATHS
        and asked.markexpr == WHOLE
        and not asked.keyword
        and asked.capture != "no"
        and not asked.usepdb
        and not asked.collectonly
        and getattr(asked, "numprocesses", 0) is None
    ):
        asked.numprocesses = min(os.cpu_count() or 1, MOST_PROCESSES)
        asked.dist = "worksteal"
    if getattr(asked, "numprocesses", None):
        os.environ.setdefault("OMP_NUM_THREADS", "1")  # else each process would take all cores for itself


def pytest_collection_finish() -> None:
    """Leave out of every later search for garbage what was loaded to collect the tests."""
    gc.collect()
    gc.freeze()


@sa.event.listens_for(sa.Pool, "connect")
def _without_waiting_for_the_disk(connection: Any, _: object) -> None:
    """Only a loss of power tells whether a change waited, 10 ms and more, until the disk had it."""
    if isinstance(connection, sqlite3.Connection):
        connection.execute("PRAGMA synchronous = OFF")


REAL_HASHER = passwords.hasher


@pytest.fixture(scope="session", autouse=True)
def _passwords_are_hashed_cheaply() -> Iterator[None]:
    """Hash by Argon2id as always, with the least memory and time that it takes: 0 s instead of 0.2."""
    cheap = PasswordHasher(time_cost=1, memory_cost=8, parallelism=1)
    with pytest.MonkeyPatch.context() as patched:
        patched.setattr(passwords, "hasher", lambda: cheap)
        yield


@pytest.fixture
def real_hashes(monkeypatch: pytest.MonkeyPatch) -> Iterator[None]:
    """Hash passwords as the product does."""
    monkeypatch.setattr(passwords, "hasher", REAL_HASHER)
    passwords.nobody.cache_clear()
    yield
    passwords.nobody.cache_clear()


@pytest.fixture(scope="session", autouse=True)
def _stored_fits_are_read_once() -> Iterator[None]:
    """Read the bytes of a fit once in a process; each club that holds them gets a copy of its own."""
    from paryield.posterior import store

    read, known = store.read_tree, {}

    def copied(payload: bytes) -> Any:
        key = hashlib.sha256(payload).digest()
        if key not in known:
            known[key] = read(payload)
        return known[key].copy(deep=True)

    with pytest.MonkeyPatch.context() as patched:
        patched.setattr(store, "read_tree", copied)
        yield


def pytest_addoption(parser: pytest.Parser) -> None:
    parser.addoption(
        "--club-on", choices=("file", "postgresql"), default="file", help="where tests keep their clubs"
    )


@pytest.fixture(scope="session")
def redirect(request: pytest.FixtureRequest) -> Iterator[Any]:
    """Return what sends clubs to a database; None where they are files."""
    if request.config.getoption("--club-on") == "file":
        yield None
        return
    import on_postgres

    with on_postgres.redirected(request.getfixturevalue("postgres_socket")) as found:
        yield found
    print(f"\nclubs opened on PostgreSQL: {found.opened}")


@pytest.fixture(autouse=True)
def _where_clubs_live(redirect: Any, request: pytest.FixtureRequest) -> Iterator[None]:
    """Keep the clubs of a test in a database, unless it is marked as one about the file."""
    if redirect is not None:
        redirect.on = request.node.get_closest_marker("club_file") is None
    yield
    if redirect is not None:
        redirect.on = False
        redirect.let_go()
