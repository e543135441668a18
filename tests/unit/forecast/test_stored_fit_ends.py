"""A process that reads a stored fit and keeps it ends as it should: HDF5 holds no file of Python's open."""

from __future__ import annotations

import subprocess
import sys
from pathlib import Path

import h5py
import pytest

from paryield.club import Club
from paryield.posterior import from_bytes

KEEPS = """
import sys
from paryield.club import Club
from paryield.posterior import from_bytes

with Club.open(sys.argv[1]) as club:
    kept = from_bytes(club.latest_run()[2])
sys.modules["kept"] = kept  # nothing lets it go before the interpreter does
"""


def test_nothing_of_a_fit_stays_open_once_it_is_read(fitted_club: Path) -> None:
    with Club.open(fitted_club) as club:
        found = club.latest_run()
    assert found is not None
    before = h5py.h5f.get_obj_count(h5py.h5f.OBJ_ALL, h5py.h5f.OBJ_FILE)
    kept = from_bytes(found[2])
    assert h5py.h5f.get_obj_count(h5py.h5f.OBJ_ALL, h5py.h5f.OBJ_FILE) == before
    assert kept.draws("level_mean").shape == (kept.samples,)


@pytest.mark.club_file
def test_the_process_ends_without_a_fault(fitted_club: Path) -> None:
    done = subprocess.run([sys.executable, "-c", KEEPS, str(fitted_club)], capture_output=True, timeout=120)
    assert done.returncode == 0, done.stderr.decode()
