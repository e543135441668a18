"""The settings file and the logo beside it: defaults, the club's own, kept and written; what is refused."""

from __future__ import annotations

import base64
from pathlib import Path

import pandas as pd
import pytest

from paryield.club.contents import from_text
from paryield.tables import SHIPPED, Category, Settings, make_tables, read_folder, write_folder
from paryield.tables.settings import (
    DEFAULTS,
    MOST_BYTES,
    PNG,
    read_logo,
    read_settings,
    settings_text,
)

OWN = Category("wedges", {"approach": 0.5, "short_game": 0.5}, 45.0, "swing", 198.0)

GOLFERS = pd.DataFrame([{"golfer_id": "G1"}])


def test_without_a_file_the_defaults_hold(read):
    tables = read({}).tables
    assert tables.settings == Settings()
    assert tables.settings.minimum_scores == 3
    assert tables.categories == SHIPPED


def test_everything_set_is_read(tmp_path):
    path = tmp_path / "settings.toml"
    path.write_text(
        'club_name = "Old Moor"\nminimum_scores = 1\nmaximum_index = 36\n\n[[category]]\nname = "wedges"\n'
        'serves = ["approach", "short_game"]\nminutes_per_100_reps = 45\n'
        'load = "swing"\nhalf_life_days = 198\n',
        encoding="utf-8-sig",
    )
    settings, categories, problems = read_settings(path)
    assert problems == []
    assert settings == Settings(club_name="Old Moor", minimum_scores=1, maximum_index=36.0)
    assert categories == (*SHIPPED, OWN)


def test_what_is_written_is_read_back(tmp_path):
    settings = Settings(club_name='The "Old" Moor\n\\ ü \x7f', minimum_scores=5, expected_nine_constant=0.1)
    path = tmp_path / "settings.toml"
    path.write_text(settings_text(settings, (*SHIPPED, OWN)), encoding="utf-8")
    assert read_settings(path) == (settings, (*SHIPPED, OWN), [])


def test_settings_the_club_holds_stay_where_the_file_is_silent(read):
    known = make_tables({}, categories=(*SHIPPED, OWN), settings=Settings(club_name="Old Moor"))
    tables = read({"settings.toml": "minimum_scores = 5\n"}, known=known).tables
    assert tables.settings == Settings(club_name="Old Moor", minimum_scores=5)
    assert tables.categories == (*SHIPPED, OWN)


@pytest.mark.parametrize(
    ("text", "column", "message", "remedy", "severity"),
    [
        ("minimum_score = 3", "minimum_score", "no such setting", "nearest is minimum_scores", "warning"),
        ('minimum_scores = "3"', "minimum_scores", "wrong kind of value", "write a whole number", "error"),
        ("minimum_scores = true", "minimum_scores", "wrong kind of value", "write a whole number", "error"),
        ("maximum_index = nan", "maximum_index", "at most 54.0, found nan", "check the value", "error"),
        ("club_name = 3", "club_name", "wrong kind of value", "text in quotes", "error"),
        ("[[category]]\nserves = ['putting']", "category", "has no name", "[[category]]", "error"),
        ("[[category]]\nname = 'driver'", "category", "taken by a shipped category", "another name", "error"),
        ("[[category]]\nname = 'w'", "category", "which areas it serves", "off_the_tee, approach", "error"),
        ("[[category]]\nname = 'w'\nserves = ['sand']", "category", "which areas", "short_game", "error"),
        ("[[category]]\nname = 'w'\nserves = {putting = 0.5}", "category", "sum to 1", "check", "error"),
        ("[[category]]\nname = 'w'\nserves = {putting = nan}", "category", "not finite", "check", "error"),
        (
            "[[category]]\nname = 'w'\nserves = ['putting']\nload = 'big'",
            "category",
            "load",
            "none, swing",
            "error",
        ),
        (
            "[[category]]\nname = 'w'\nserves = ['putting']\npace = 3",
            "category",
            "has no pace",
            "use",
            "error",
        ),
    ],
)
def test_refused_with_what_to_do(tmp_path, text, column, message, remedy, severity):
    path = tmp_path / "settings.toml"
    path.write_text(text, encoding="utf-8")
    settings, categories, (problem,) = read_settings(path)
    assert (problem.file, problem.column, problem.severity) == ("settings.toml", column, severity)
    assert message in problem.message
    assert remedy in problem.remedy
    assert (settings, categories) == (Settings(), SHIPPED)


@pytest.mark.parametrize(
    "wrong",
    [{"minimum_scores": 21}, {"maximum_index": 54.1}, {"minimum_holes": 9}, {"expected_nine_per_index": 0.0}],
)
def test_settings_are_checked_when_made(wrong):
    with pytest.raises(ValueError, match=next(iter(wrong))):
        Settings(**wrong)


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
