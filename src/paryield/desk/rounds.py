"""Rounds on record: the latest of a golfer, those of a day, and one filled into the form to be corrected."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from datetime import date
from typing import Any, cast

import pandas as pd

from paryield.desk.card import FIELDS
from paryield.desk.row_words import score_text
from paryield.forecast.once import own_record, own_rows
from paryield.report.index_words import counting_sentence
from paryield.report.words import missing
from paryield.tables import Tables

LATEST = 20
"""Rounds that are listed: as many as a Handicap Index looks at."""
SCORED_BY = ("adjusted_gross_score", "course_rating", "slope_rating", "pcc", "holes")
"""Columns from which a differential is worked out."""


@dataclass(frozen=True)
class Played:
    """One round: day, number of that day, values by column, and its differential, None without one.

    ``gross`` are its strokes hole by hole, where its card is on record and they are not the adjusted score.
    ``counts`` says whether the index of today averages its differential.
    """

    on: date
    number: int
    values: dict[str, Any]
    differential: float | None
    gross: int | None = None
    counts: bool = False

    @property
    def said(self) -> str:
        """Score and course."""
        return score_text(self.values) or "no score"


def latest_rounds(tables: Tables, golfer_id: str, most: int | None = LATEST) -> list[Played]:
    """Return a golfer's latest rounds, newest first, with the differentials of his handicap record.

    All of them where ``most`` is None.
    """
    record = own_record(tables, golfer_id)
    worked = (
        {}
        if record is None
        else {
            (step.played_on, int(step.round_no)): value
            for step, value in zip(record.steps, record.differentials, strict=True)
        }
    )
    steps = () if record is None else tuple(record.steps[place] for place in record.counting[0])
    counting = {(step.played_on, int(step.round_no)) for step in steps}
    strokes = _strokes(own_rows(tables, golfer_id).holes)
    rows = _newest(own_rows(tables, golfer_id).rounds)
    rows = rows if most is None else rows.head(most)
    found = []
    for row in rows.to_dict("records"):
        on, number = row["played_on"].date(), int(row["round_no"])
        gross, score = strokes.get((on, number)), row["adjusted_gross_score"]
        gross = None if missing(score) or gross == score else gross
        found.append(
            Played(on, number, _known(row), worked.get((on, number)), gross, (on, number) in counting)
        )
    return found


def counting_of(tables: Tables, golfer_id: str) -> str:
    """Return how many of a golfer's rounds count for his index, empty without one."""
    record = own_record(tables, golfer_id)
    if record is None:
        return ""
    rounds, played = record.counting
    return counting_sentence(len(rounds), played)


def rounds_of_day(tables: Tables, golfer_id: str, day: str) -> list[Played]:
    """Return a golfer's rounds of a day (ISO text), the first one first."""
    mine = own_rows(tables, golfer_id).rounds
    held = mine[mine["played_on"].dt.strftime("%Y-%m-%d") == day].sort_values("round_no")
    return [
        Played(row["played_on"].date(), int(row["round_no"]), _known(row), None)
        for row in held.to_dict("records")
    ]


def given_of(tables: Tables, golfer_id: str, values: Mapping[str, Any]) -> dict[str, str]:
    """Return what the form of a round holds for one on record: its row, and its card where there is one."""
    holes = own_rows(tables, golfer_id).holes
    same = (holes["played_on"].dt.strftime("%Y-%m-%d") == values["played_on"]) & (
        holes["round_no"] == values["round_no"]
    )
    found = texts(values)
    for row in holes[same].to_dict("records"):
        for column, name in FIELDS.items():
            if not missing(row[column]):
                found[f"{name}.{int(row['hole'])}"] = str(int(row[column]))
    return found


def corrected(held: Mapping[str, str], typed: Mapping[str, str], *, keep_blanks: bool) -> dict[str, str]:
    """Return a round's cells after a correction; a differential that no longer fits its score is left out.

    Parameters
    ----------
    held : mapping
        Text by column as on record.
    typed : mapping
        Text by column of the form.
    keep_blanks : bool
        Whether a blank keeps what is on record, as where the form was not filled with it.
    """
    kept = {name: text for name, text in typed.items() if text or not keep_blanks}
    cells = {**held, **kept}
    moved = any(not same(cells.get(name, ""), held.get(name, "")) for name in SCORED_BY)
    same_differential = same(cells.get("score_differential", ""), held.get("score_differential", ""))
    if moved and same_differential and cells.get("adjusted_gross_score"):
        cells["score_differential"] = ""
    elif not same_differential and keep_blanks and not typed.get("adjusted_gross_score"):
        cells["adjusted_gross_score"] = ""
    return {name: text for name, text in cells.items() if text}


def same(one: str, other: str) -> bool:
    """Whether two cells hold the same, 71,3 and 71.30 too."""
    try:
        return float(one.replace(",", ".")) == float(other.replace(",", "."))
    except ValueError:
        return one.strip() == other.strip()


def texts(values: Mapping[str, Any]) -> dict[str, str]:
    """Return stored values as cells of text."""
    return {name: _text(value) for name, value in values.items()}


def _text(value: Any) -> str:
    if isinstance(value, bool):
        return "yes" if value else "no"
    return f"{value:.10g}" if isinstance(value, float) else str(value)


def _strokes(holes: pd.DataFrame) -> dict[tuple[date, int], int]:
    """Return the strokes of each round of which every hole on record says them, by day and number."""
    found: dict[tuple[date, int], int] = {}
    for key, card in holes.groupby(["played_on", "round_no"])["strokes"]:
        day, number = cast("tuple[pd.Timestamp, int]", key)
        if card.notna().all():
            found[day.date(), int(number)] = int(card.sum())
    return found


def _newest(rounds: pd.DataFrame) -> pd.DataFrame:
    return rounds.sort_values(["played_on", "round_no"], ascending=False)


def _known(row: Mapping[Any, Any]) -> dict[str, Any]:
    return {str(name): value for name, value in row.items() if not missing(value)}
