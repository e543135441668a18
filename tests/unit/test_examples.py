"""The examples in docstrings, run as a reader would type them beside a fitted ``club.db``."""

from __future__ import annotations

import doctest
import shutil
from importlib import import_module
from pathlib import Path

import pytest

SOURCE = Path(__file__).resolve().parents[2] / "src"
STARTS = {
    "club.store.Club",
    "forecast.answer.forecast",
    "plan.advice.plan",
    "plan.worth.returns",
    "scoring.club.handicap_records",
    "scoring.course.course_handicap",
    "scoring.differential.score_differential",
    "scoring.holes.adjusted_gross_score",
    "scoring.index.handicap_index",
    "scoring.record.handicap_record",
}
"""Where a user starts: these have an example."""
OPTIONS = doctest.NORMALIZE_WHITESPACE


def examples() -> list[doctest.DocTest]:
    """Return every docstring of the package that has an example."""
    found = []
    for path in sorted(SOURCE.rglob("*.py")):
        if ">>> " in path.read_text(encoding="utf-8"):
            module = import_module(".".join(path.relative_to(SOURCE).with_suffix("").parts))
            found += [one for one in doctest.DocTestFinder().find(module) if one.examples]
    return found


EXAMPLES = examples()


def test_the_functions_that_a_user_starts_with_have_an_example() -> None:
    assert {one.name.removeprefix("paryield.") for one in EXAMPLES} >= STARTS


@pytest.mark.club_file
@pytest.mark.parametrize("example", EXAMPLES, ids=lambda one: one.name)
def test_an_example_says_what_happens(
    example: doctest.DocTest, fitted_club: Path, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    shutil.copy(fitted_club, tmp_path / "club.db")
    monkeypatch.chdir(tmp_path)
    said: list[str] = []
    failed = doctest.DocTestRunner(optionflags=OPTIONS).run(example, out=said.append).failed
    assert failed == 0, "".join(said)


def test_a_wrong_example_would_be_seen() -> None:
    wrong = doctest.DocTestParser().get_doctest(">>> 1 + 1\n3\n", {}, "wrong", None, None)
    assert doctest.DocTestRunner().run(wrong, out=lambda _said: None).failed == 1
