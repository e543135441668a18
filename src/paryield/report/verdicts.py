"""Findings about practice in words: what a category returns, and how sure that is."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from typing import Any

from paryield.report.words import (
    category_text,
    middle_span,
    missing,
    sentence,
)

VERDICT_CELLS: dict[tuple[str, str], tuple[str, str]] = {
    ("stands out", "measured"): (
        "stands out, and the records show it",
        "",
    ),
    ("stands out", "part measured"): (
        "stands out, partly from the records and partly from what is assumed",
        "Worth checking again at the next review.",
    ),
    ("stands out", "assumed"): (
        "stands out, but only by assumption",
        "The records hardly speak about which practice pays more; measure it before trusting it.",
    ),
    ("does not stand out", "measured"): (
        "does not stand out, although it was measured",
        "The records do not set it apart.",
    ),
    ("does not stand out", "part measured"): (
        "does not stand out",
        "The records say something about it, not enough to set it apart.",
    ),
    ("does not stand out", "assumed"): (
        "does not stand out, and its number is assumed",
        "The records hardly speak about which practice pays more.",
    ),
}
"""Opening and closing words by verdict and evidence; the amount stands between them."""


def verdict_sentence(row: Mapping[str, Any]) -> str:
    """Return the finding about one practice category: verdict, evidence, strokes saved, range.

    Parameters
    ----------
    row : mapping
        One row of the returns table; quantiles in strokes saved a round per weekly hour.

    Raises
    ------
    KeyError
        When the verdict or the evidence is not one of the known words.
    """
    opening, closing = VERDICT_CELLS[str(row["verdict"]), str(row["evidence"])]
    name = f"{sentence(category_text(row['category']))} practice"
    return f"{name} {opening}: {saved(row)}. {closing}".strip()


def saved(row: Mapping[str, Any]) -> str:
    """Return strokes saved a round with the 8-in-10 range, without more words."""
    return middle_span(row, 2)


def rankings_sentence(rows: Sequence[Mapping[str, Any]]) -> list[str]:
    """Return how the ranking by this club's record stands to that before any record, or nothing.

    Parameters
    ----------
    rows : sequence of mapping
        Rows of the returns table, real categories of one golfer.
    """
    ranked = [row for row in rows if not missing(row.get("rank_before_record"))]
    if len(ranked) < 2:
        return []
    here = max(ranked, key=lambda row: float(row["chance_best"]))
    before = min(ranked, key=lambda row: float(row["rank_before_record"]))
    first, early = (category_text(row["category"]) for row in (here, before))
    measured = any(row["evidence"] != "assumed" for row in ranked)
    if not measured and first == early:
        return [
            f"Before any record {early} practice comes first too: the rankings agree because nothing was "
            "measured. Both rest on the index, the strokes lost by area and general knowledge."
        ]
    if not measured:
        return [
            f"Before any record {early} practice comes first; nothing was measured that would set the two "
            "apart."
        ]
    if first == early:
        return [f"The record agrees with what was expected before it: {first} practice comes first."]
    return [f"Before any record {early} practice came first; the record speaks for {first}."]
