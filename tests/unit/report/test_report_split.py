"""The sentence and the figure of a split; every number here is invented."""

from __future__ import annotations

import re

import pytest
from report_tables import part_record as record
from report_tables import split_records

from paryield.report.figures import split_dots
from paryield.report.split_words import (
    CAUSE_CELLS,
    CAUSES,
    DIRECTIONS,
    clearest_cause,
    split_sentence,
    split_sentences,
)


@pytest.mark.parametrize("cause", CAUSES)
@pytest.mark.parametrize("went", DIRECTIONS)
def test_every_cell_says_its_direction_and_cause(went: str, cause: str) -> None:
    records = split_records(went, cause)
    found = split_sentence(records)
    assert clearest_cause([one for one in records if one["quantity"] == "mean_differential"]) == cause
    assert CAUSE_CELLS[went, cause] in found
    assert found.startswith("From 24 May 2026 to 5 July 2026")
    assert ("cannot tell" in found) == (went == "cannot tell")
    assert found.count(".") - len(re.findall(r"\d\.\d", found)) == 1


def test_the_table_has_every_cell_and_no_two_directions_say_the_same_of_a_cause() -> None:
    assert set(CAUSE_CELLS) == {(went, cause) for went in DIRECTIONS for cause in CAUSES}
    for cause in ("practice", "programme", "background", "form", "joining"):
        assert len({CAUSE_CELLS[went, cause] for went in DIRECTIONS}) == 3


def test_a_part_against_the_whole_is_not_its_cause() -> None:
    rows = [record("whole", -1.0, 0.3), record("practice", 0.6, 0.1), record("form", -1.6, 0.2)]
    assert clearest_cause(rows) == "form"
    assert clearest_cause([record("whole", -1.0, 0.3), record("practice", 0.6, 0.1)]) == "none"


def test_sentences_give_practice_rounds_and_luck_with_their_ranges() -> None:
    found = split_sentences(split_records())
    assert len(found) == 3
    assert found[1].startswith(
        "Practice: 0.6 strokes lower (8 in 10: −0.7 to −0.5) in all; the largest part is chipping,"
    )
    assert "The 5 rounds of the period averaged 1.4 strokes lower than the 6" in found[2]
    assert "luck 0.7 strokes lower (8 in 10: −1.2 to −0.2)" in found[2]


def test_nothing_is_said_of_nothing() -> None:
    assert split_sentences([]) == ["Nothing can be said about this period."]


def test_figure_shows_the_whole_then_every_part_by_size() -> None:
    names = [label.get_text() for label in split_dots(split_records()).axes[0].get_yticklabels()]
    assert names[:2] == ["all together", "chipping practice"]
    assert names.index("(noise floor)") > 1
    assert len(names) == 10
