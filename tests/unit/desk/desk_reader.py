"""The desk on a copy of the fitted club, asked without a browser."""

from __future__ import annotations

import re
import shutil
from collections.abc import Iterator
from html import unescape
from pathlib import Path
from typing import Any

import pytest
from starlette.testclient import TestClient

from paryield.club import Club
from paryield.desk import make_app

GOLFERS = "golfer_id,display_name\nA1,Ottilie Fenwarth\n"
ROUNDS = "golfer_id,played_on,score_differential\nA1,2026-03-01,14.2\n"


class Reader:
    """A visitor: gets pages, and sends forms with the token of the page that holds them."""

    def __init__(self, where: Path, *, anyway: bool = True) -> None:
        self.app = make_app(str(where), anyway=anyway, warm=False)
        self.client = TestClient(self.app, base_url="http://127.0.0.1", raise_server_exceptions=False)

    @property
    def desk(self) -> Any:
        return self.app.state.desk

    def get(self, path: str) -> Any:
        return self.client.get(path)

    def token(self) -> str:
        found = re.search(r'name="token" value="([0-9a-f]{64})"', self.get("/bring-in").text)
        assert found is not None
        return found.group(1)

    def post(self, path: str, data: dict[str, Any] | None = None, **more: Any) -> Any:
        return self.client.post(path, data={"token": self.token(), **(data or {})}, **more)

    def page_of(self, golfer_id: str) -> str:
        return f"/golfers/{self.desk.snapshot().page_of(golfer_id)}"


def text_of(page: str) -> str:
    """Return the words of a page."""
    plain = re.sub(r"(?s)<(script|style|svg).*?</\1>", " ", page)
    return " ".join(unescape(re.sub(r"<[^>]+>", " ", plain)).split())


@pytest.fixture(scope="session")
def shared_reader(fitted_club: Path, tmp_path_factory: pytest.TempPathFactory) -> Iterator[Reader]:
    """A reader whose club no test changes."""
    place = tmp_path_factory.mktemp("desk") / "club.db"
    shutil.copy(fitted_club, place)
    reader = Reader(place)
    yield reader
    reader.desk.close()


@pytest.fixture
def reader(tiny_club: Path) -> Iterator[Reader]:
    """A reader whose club a test may change."""
    found = Reader(tiny_club)
    yield found
    found.desk.close()


KEPT = ("glances", "views", "cards", "parts", "scenes", "renew")
"""What a desk has worked out of one state of the club."""


@pytest.fixture(scope="session")
def looked_at(shared_reader: Reader) -> Reader:
    """The shared reader once the page of every golfer and the list of the club have been read."""
    for golfer in shared_reader.desk.snapshot().fitted:
        shared_reader.get(shared_reader.page_of(golfer))
    shared_reader.get("/golfers/")
    return shared_reader


@pytest.fixture
def knowing(looked_at: Reader, tmp_path: Path) -> Iterator[Reader]:
    """A reader whose club a test may change; his desk knows what that of the shared one has worked out."""
    known = looked_at.desk.snapshot()
    found = Reader(Path(shutil.copy(looked_at.desk.where, tmp_path / "club.db")))
    now = found.desk.snapshot()
    assert (now.revision, now.ids) == (known.revision, known.ids)
    for name in KEPT:
        getattr(now, name).update(getattr(known, name))
    yield found
    found.desk.close()


@pytest.fixture(scope="session")
def made_unfitted(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """The file of a club without a fit; do not change it."""
    place = tmp_path_factory.mktemp("unfitted")
    folder = place / "in"
    folder.mkdir()
    (folder / "golfers.csv").write_text(GOLFERS)
    (folder / "rounds.csv").write_text(ROUNDS)
    with Club.open(place / "new.db", create=True) as club:
        club.import_folder(folder)
    return place / "new.db"


@pytest.fixture
def unfitted(made_unfitted: Path, tmp_path: Path) -> Path:
    """A club without a fit, and beside it the folder that it was made of."""
    shutil.copytree(made_unfitted.parent / "in", tmp_path / "in")
    return Path(shutil.copy(made_unfitted, tmp_path / "new.db"))
