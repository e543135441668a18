"""Findings about areas in words: every cell of verdict and evidence, and what they rest on."""

from __future__ import annotations

from collections.abc import Callable
from itertools import product

import pytest
from report_tables import AREAS, areas_records

from paryield.errors import InputError
from paryield.report import GolferView, area_words, golfer_page
from paryield.report.frames import AREA_VERDICTS, EVIDENCE, areas_frame, records

MIDDLE = {"loses more": 1.2, "loses less": -1.2, "about the same": 0.1, "cannot tell yet": 0.3}
CLAIM = {
    "loses more": "lose[s]? more than golfers of the same index",
    "loses less": "lose[s]? less than golfers of the same index",
    "about the same": "lose[s]? about as much as golfers of the same index",
    "cannot tell yet": "cannot be told|be told yet",
}
GROUND = {
    "measured": "the records show it|was measured",
    "part measured": "partly from the records|say something about it",
    "assumed": "hardly speak about it",
}


def said(verdict: str, evidence: str) -> str:
    rows = [("putting", 3.1, MIDDLE[verdict], 0.4, 1.0, evidence, verdict)]
    return area_words.area_sentence(records(areas_frame(areas_records(rows=rows)))[0])


@pytest.mark.parametrize(("verdict", "evidence"), list(product(AREA_VERDICTS, EVIDENCE)))
def test_every_cell_says_verdict_evidence_and_amount(verdict: str, evidence: str) -> None:
    import re

    text = said(verdict, evidence)
    assert text.startswith("Putting ")
    assert re.search(CLAIM[verdict], text)
    assert re.search(GROUND[evidence], text)
    others = [claim for name, claim in CLAIM.items() if name != verdict]
    first = text.split(":")[0].replace("whether it loses more or less than", "")
    assert not [claim for claim in others if re.search(claim, first)]
    assert f"about {abs(MIDDLE[verdict]):.1f} strokes" in text


def test_no_two_cells_read_the_same() -> None:
    assert len({said(*cell) for cell in product(AREA_VERDICTS, EVIDENCE)}) == 12


@pytest.mark.parametrize(
    ("middle", "sd", "expected"),
    [
        # middle -/+ 1.2816 sd by the normal law
        (1.2, 0.5, "about 1.2 strokes more a round (8 in 10: 0.6 to 1.8 more)"),
        (-1.2, 0.5, "about 1.2 strokes fewer a round (8 in 10: 0.6 to 1.8 fewer)"),
        (0.4, 0.7, "about 0.4 strokes more a round (8 in 10: 0.5 fewer to 1.3 more)"),
        (-0.4, 0.7, "about 0.4 strokes fewer a round (8 in 10: 1.3 fewer to 0.5 more)"),
        (1.0, 0.001, "about 1.0 stroke more a round (8 in 10: 1.0 to 1.0 more)"),
    ],
)
def test_difference_says_more_or_fewer(middle: float, sd: float, expected: str) -> None:
    rows = [("putting", 3.1, middle, sd, 1.0, "measured", "loses more")]
    row = records(areas_frame(areas_records(rows=rows)))[0]
    assert area_words.difference(row, "against_same_index") == expected


def test_the_title_says_when_no_area_stands_out_and_the_evidence_is_counted() -> None:
    none = [(*one[:-1], "cannot tell yet") for one in AREAS]
    assert area_words.areas_title(areas_frame(areas_records(rows=none))) == (
        "No area differs clearly from golfers of the same index"
    )
    assert area_words.evidence_sentence(records(areas_frame(areas_records()))[0]) == (
        "This rests on 3 rounds with shots, 21 rounds with round stats, "
        "10 rounds with scores only (by round or by hole) and 2 tests."
    )


def test_evidence_of_nothing_is_said() -> None:
    nothing = {"rounds_shots": 0, "rounds_stats": 0, "rounds_score_only": 0, "tests": 0}
    assert area_words.evidence_sentence(nothing) == "This rests on no round: it is assumed."
    one = {**nothing, "rounds_score_only": 1}
    assert (
        area_words.evidence_sentence(one)
        == "This rests on 1 round with scores only (by round or by hole) and no test."
    )


def test_page_shows_the_areas_and_leaves_them_out_where_there_are_none(
    make_view: Callable[..., GolferView],
) -> None:
    page = golfer_page(make_view(long=True))
    assert page.index("Where the strokes are lost") < page.index("What the next hour may save")
    assert "Beyond index 11.0" in page
    assert "Beyond index 11.0" not in golfer_page(make_view())
    bare = golfer_page(make_view(areas=()))
    assert "Where the strokes are lost" not in bare


def test_an_unknown_word_is_refused() -> None:
    with pytest.raises(InputError, match="unknown verdict perhaps"):
        areas_frame([{**areas_records()[0], "verdict": "perhaps"}])
