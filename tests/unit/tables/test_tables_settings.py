"""The settings file: defaults, the club's own values and categories, and what is refused."""

import pytest

from paryield.tables import SHIPPED, Category, Settings, make_tables
from paryield.tables.settings import read_settings, settings_text

OWN = Category("wedges", {"approach": 0.5, "short_game": 0.5}, 45.0, "swing", 198.0)


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
