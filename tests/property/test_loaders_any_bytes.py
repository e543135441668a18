"""Laws of the other loaders: settings, putts, stored fits and club files of any bytes end in one line."""

from __future__ import annotations

import contextlib
import tempfile
import warnings
from datetime import date
from pathlib import Path

import pytest
from hypothesis import HealthCheck, example, given, settings
from hypothesis import strategies as st

from paryield.club import Club
from paryield.errors import ParyieldError
from paryield.posterior.store import from_bytes
from paryield.rounds import putting
from paryield.tables import read_folder

TODAY = date(2026, 6, 1)
PUTTS = b"distance_ft,tried,made\n3,10,9\n6,10,6\n12,10,3\n20,12,2\n"
SETTINGS = b"""club_name = "Marlhope"
minimum_scores = 5

[[category]]
name = "wedges"
serves = { approach = 1.0 }
"""
TABLES = {
    "golfers": "golfer_id,start_index\nA,12\nB,20\n",
    "rounds": "golfer_id,played_on,score_differential\nA,2026-03-01,13.5\nB,2026-03-02,21.25\n",
    "practice": "golfer_id,practised_on,category,minutes,note\nA,2026-03-03,chipping,30,fine\n",
}
Place = tuple[float, bytes, int]
DAMAGE = st.lists(
    st.tuples(st.floats(0, 1, exclude_max=True), st.binary(max_size=4), st.sampled_from([0, 1, 4, 100])),
    min_size=1,
    max_size=6,
)


def damaged(content: bytes, places: list[Place]) -> bytes:
    for share, put_in, taken_out in places:
        at = int(share * (len(content) + 1))
        content = content[:at] + put_in + content[at + taken_out :]
    return content


@settings(max_examples=40, deadline=None)
@given(DAMAGE | st.binary(max_size=200))
def test_settings_of_any_bytes_are_read_or_refused(places: list[Place] | bytes) -> None:
    content = places if isinstance(places, bytes) else damaged(SETTINGS, places)
    with tempfile.TemporaryDirectory() as name:
        for table, text in TABLES.items():
            (Path(name) / f"{table}.csv").write_text(text)
        (Path(name) / "settings.toml").write_bytes(content)
        for problem in read_folder(name, today=TODAY).problems:
            assert "\n" not in problem.line()


@settings(max_examples=25, deadline=None)
@given(DAMAGE | st.binary(max_size=200))
def test_putts_of_any_bytes_are_read_or_refused(places: list[Place] | bytes) -> None:
    content = places if isinstance(places, bytes) else damaged(PUTTS, places)
    with tempfile.TemporaryDirectory() as name:
        path = Path(name) / "putts.csv"
        path.write_bytes(content)
        with contextlib.suppress(ParyieldError):
            putting(path)


# Half-read files of the HDF5 library complain when they are thrown away; what counts is how reading ends.
@pytest.mark.filterwarnings("ignore::pytest.PytestUnraisableExceptionWarning")
@pytest.mark.filterwarnings("ignore:Generating overly large repr")
@settings(max_examples=25, deadline=None, suppress_health_check=[HealthCheck.function_scoped_fixture])
@given(places=DAMAGE)
def test_a_stored_fit_of_any_bytes_is_read_or_refused(places: list[Place], fitted_club: Path) -> None:
    with Club.open(fitted_club) as club:
        found = club.latest_run()
    assert found is not None
    with warnings.catch_warnings():
        warnings.simplefilter("ignore")
        with contextlib.suppress(ParyieldError):
            from_bytes(damaged(found[2], places))
        with pytest.raises(ParyieldError, match="fingerprint"):
            from_bytes(damaged(found[2], places) + b"x", found[1]["payload"])


@pytest.fixture(scope="module")
def club_bytes(tmp_path_factory: pytest.TempPathFactory) -> bytes:
    base = tmp_path_factory.mktemp("bytes")
    (base / "in").mkdir()
    for table, text in TABLES.items():
        (base / "in" / f"{table}.csv").write_text(text)
    with Club.open(base / "club.db", create=True) as club:
        club.import_folder(base / "in", today=TODAY)
        club.save_run(payload=b"draws", facts={"golfers": ["A", "B"]})
    return (base / "club.db").read_bytes()


FLIPS = st.lists(st.tuples(st.floats(0, 1, exclude_max=True), st.binary(min_size=1, max_size=8)), max_size=8)


@pytest.mark.filterwarnings("ignore:Generating overly large repr")
@settings(max_examples=30, deadline=None)
@given(flips=FLIPS, cut=st.sampled_from([1.0, 1.0, 1.0, 0.5, 0.9]))
@example(flips=[(0.6171875, b"\x80")], cut=1.0)
def test_a_club_file_of_any_bytes_opens_or_is_refused(
    flips: list[tuple[float, bytes]], cut: float, club_bytes: bytes
) -> None:
    """Bytes are overwritten where there are any but zeros, so that rows and pages are hit."""
    full = [at for at, byte in enumerate(club_bytes) if byte]
    content = bytearray(club_bytes)
    for share, put in flips:
        at = full[int(share * len(full))]
        content[at : at + len(put)] = put
    with tempfile.TemporaryDirectory() as name:
        path = Path(name) / "club.db"
        path.write_bytes(content[: int(cut * len(content))])
        for use in ("tables", "history", "runs", "latest_run", "audit", "copies", "data_fingerprint"):
            with contextlib.suppress(ParyieldError), Club.open(path) as club:
                getattr(club, use)()
        with contextlib.suppress(ParyieldError), Club.open(path) as club:
            club.erase("A")
