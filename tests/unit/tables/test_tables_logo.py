"""A club's logo: read, kept, written out again; and what is refused."""

from __future__ import annotations

import base64
from pathlib import Path

import pandas as pd
import pytest

from paryield.club.contents import from_text
from paryield.tables import make_tables, read_folder, write_folder
from paryield.tables.settings import DEFAULTS, MOST_BYTES, PNG, Settings, read_logo, read_settings

GOLFERS = pd.DataFrame([{"golfer_id": "G1"}])


def put(folder: Path, name: str, content: bytes | str) -> Path:
    path = folder / name
    path.write_bytes(content if isinstance(content, bytes) else content.encode())
    return path


def test_a_png_is_kept_as_a_data_address(tmp_path: Path) -> None:
    put(tmp_path, "club.png", PNG + b"rest")
    found = read_logo(tmp_path, "club.png")
    assert found == "data:image/png;base64," + base64.b64encode(PNG + b"rest").decode()
    assert read_logo(tmp_path, found) == found


@pytest.mark.parametrize(
    ("name", "content", "why"),
    [
        ("a.png", b"GIF89a", "not a PNG file"),
        ("a.jpg", b"x", r"a \.png file"),
        ("a.png", PNG + b"0" * MOST_BYTES, "bytes; at most"),
        ("a.svg", "<svg xmlns='http://www.w3.org/2000/svg'/>", r"a \.png file"),
        ("a.png", "<svg onload='x()'/>".encode("utf-16"), "not a PNG file"),
        ("data:image/svg+xml;base64,AAAA", "", "not a PNG"),
    ],
)
def test_what_is_not_a_harmless_picture_is_refused(
    tmp_path: Path, name: str, content: bytes | str, why: str
) -> None:
    if not name.startswith("data:"):
        put(tmp_path, name, content)
    with pytest.raises(ValueError, match=why):
        read_logo(tmp_path, name)


@pytest.mark.parametrize("name", ["../a.png", "/etc/a.png", "none.png"])
def test_a_logo_stands_beside_the_settings(tmp_path: Path, name: str) -> None:
    with pytest.raises(ValueError, match=r"stands in the folder|cannot be read"):
        read_logo(tmp_path, name)


def test_a_bad_logo_is_a_problem_of_that_line_and_keeps_the_rest(tmp_path: Path) -> None:
    path = put(tmp_path, "settings.toml", 'club_name = "Fernmoor"\nlogo = "club.png"\n')
    settings, _, problems = read_settings(path)
    assert settings == Settings(club_name="Fernmoor")
    assert [(one.column, one.found) for one in problems] == [("logo", "club.png")]
    assert "cannot be read" in problems[0].message
    assert "beside the settings file" in problems[0].remedy


@pytest.mark.parametrize(
    ("line", "why"),
    [
        ('locale = "en-XX-nonsense"', "locale must be one such as en_GB"),
        ('locale = ""', "locale must be one such as en_GB"),
        ('distance_unit = "ft"', "distance_unit must be yd or m"),
        ("locale = 7", "has the wrong kind of value"),
    ],
)
def test_what_cannot_be_shown_is_named(tmp_path: Path, line: str, why: str) -> None:
    settings, _, problems = read_settings(put(tmp_path, "settings.toml", line + "\n"))
    assert settings == DEFAULTS
    assert why in problems[0].message


def test_the_logo_goes_out_as_a_file_and_comes_in_again(tmp_path: Path) -> None:
    put(tmp_path, "club.png", PNG + b"rest")
    given = Settings(club_name="Fernmoor", logo=read_logo(tmp_path, "club.png"), locale="de_DE")
    rounds = pd.DataFrame([{"golfer_id": "G1", "played_on": "2026-03-01", "score_differential": 12.0}])
    tables = make_tables({"golfers": GOLFERS, "rounds": rounds}, settings=given)
    files = write_folder(tables, tmp_path / "out")
    assert "logo.png" in [file.name for file in files]
    assert 'logo = "logo.png"' in (tmp_path / "out" / "settings.toml").read_text(encoding="utf-8")
    again = read_folder(tmp_path / "out")
    assert not again.problems
    assert again.tables.settings == given


def test_what_only_changes_looks_does_not_make_a_fit_stale(tmp_path: Path) -> None:
    from paryield.club.contents import fingerprint

    plain = make_tables({"golfers": GOLFERS}, settings=Settings())
    dressed = make_tables({"golfers": GOLFERS}, settings=Settings(locale="de_DE", distance_unit="m"))
    stricter = make_tables({"golfers": GOLFERS}, settings=Settings(minimum_scores=1))
    assert fingerprint(plain) == fingerprint(dressed)
    assert fingerprint(plain) != fingerprint(stricter)


def test_a_logo_of_another_kind_that_an_older_version_took_is_left_out() -> None:
    settings, _ = from_text('{"club_name": "Fernmoor", "logo": "data:image/svg+xml;base64,AAAA"}')
    assert settings == Settings(club_name="Fernmoor")
