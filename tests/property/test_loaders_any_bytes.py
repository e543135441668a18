"""Laws of every loader: a damaged file is read, or refused in one line, in bounded time and memory."""

from __future__ import annotations

import os
import resource
import time
from pathlib import Path

import pytest

from fuzzing import Fuzzed, Loader, fuzz, loaders
from paryield.club import Club
from paryield.errors import ParyieldError
from paryield.posterior.store import from_bytes

MINUTES = float(os.environ.get("PARYIELD_TEST_MINUTES", "10"))
NAMES = (
    *("tables", "workbook", "settings", "import", "putts", "expectations", "adopt", "learnt"),
    *("club", "club cut", "fit"),
)
EXAMPLES = {
    "settings": 40,
    "import": 10,
    "putts": 40,
    "expectations": 60,
    "adopt": 5,
    "learnt": 60,
    "club": 15,
    "club cut": 5,
    "fit": 25,
}

# Half-read files of the HDF5 library complain when they are thrown away; what counts is how reading ends.
pytestmark = pytest.mark.filterwarnings("ignore::pytest.PytestUnraisableExceptionWarning")


@pytest.fixture(scope="module")
def fit_bytes(fitted_club: Path) -> bytes:
    with Club.open(fitted_club) as club:
        found = club.latest_run()
    assert found is not None
    return found[2]


@pytest.fixture(scope="module")
def every(fit_bytes: bytes) -> dict[str, Loader]:
    found = loaders(fit_bytes)
    assert set(found) == set(NAMES)
    return found


@pytest.mark.parametrize("name", EXAMPLES)
def test_a_damaged_file_is_read_or_refused(name: str, every: dict[str, Loader]) -> None:
    found = Fuzzed()
    fuzz(every[name], found, EXAMPLES[name], 20260601)
    assert found.examples >= EXAMPLES[name]


@pytest.mark.slow
@pytest.mark.parametrize("name", NAMES)
def test_minutes_of_damaged_files(name: str, every: dict[str, Loader]) -> None:
    """All loaders together take the minutes."""
    found, number = Fuzzed(), 0
    before = resource.getrusage(resource.RUSAGE_SELF).ru_maxrss // 1024
    end = time.monotonic() + 60 * MINUTES / len(NAMES)
    while time.monotonic() < end:
        number += 1
        fuzz(every[name], found, 50, number)
    peak = resource.getrusage(resource.RUSAGE_SELF).ru_maxrss // 1024
    print(f"\n{name}: {found.examples} examples, worst {found.worst:.2f} s, peak {before} -> {peak} MB")
    assert peak < before + 500


def test_a_stored_fit_with_a_byte_more_is_not_taken(fit_bytes: bytes, fitted_club: Path) -> None:
    with Club.open(fitted_club) as club:
        found = club.latest_run()
    assert found is not None
    with pytest.raises(ParyieldError, match="fingerprint"):
        from_bytes(fit_bytes + b"x", found[1]["payload"])
