"""Export: the same tables come back, and nothing is overwritten."""

from __future__ import annotations

from datetime import date
from pathlib import Path

import pytest

from paryield.club import Club
from paryield.errors import InputError

TODAY = date(2026, 6, 1)


@pytest.mark.parametrize("fmt", ["csv", "xlsx"])
def test_an_export_imports_into_the_same_club(path: Path, tmp_path: Path, fmt: str) -> None:
    with Club.open(path) as club:
        files = club.export(tmp_path / "out", fmt)
        before, tables = club.data_fingerprint(), club.tables()
        content = path.read_bytes()
        receipt = club.import_folder(tmp_path / "out", today=TODAY)
    assert files
    assert not receipt.changed
    assert path.read_bytes() == content
    with Club.open(tmp_path / "again.db", create=True) as again:
        again.import_folder(tmp_path / "out", today=TODAY)
        assert again.data_fingerprint() == before
        assert again.tables().equals(tables)


def test_an_export_never_writes_among_other_files(path: Path, folder: Path) -> None:
    before = {p.name: p.read_bytes() for p in folder.iterdir()}
    with Club.open(path) as club, pytest.raises(InputError, match="not empty"):
        club.export(folder)
    assert {p.name: p.read_bytes() for p in folder.iterdir()} == before


def test_a_bad_target_is_one_line(path: Path, tmp_path: Path) -> None:
    with Club.open(path) as club:
        with pytest.raises(InputError, match="no format 'pdf'"):
            club.export(tmp_path / "out", "pdf")
        with pytest.raises(InputError, match="not a folder"):
            club.export(path)
        with pytest.raises(InputError, match="cannot be written"):
            club.export(path / "below")
    assert not (tmp_path / "out").exists()
