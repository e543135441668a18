"""What the next hour of practice may save, by category."""

from __future__ import annotations

from typing import Any

from markupsafe import Markup

from paryield.report import figures, verdicts, words
from paryield.report.frames import noise_row, practice_rows, records
from paryield.report.rendering import part
from paryield.report.sections.drawing import both_widths
from paryield.report.views import GolferView


def returns_section(view: GolferView) -> Markup:
    """Return strokes saved by one more weekly hour, the noise floor, and the hours of the present week."""
    rows = [row | {"rank": _rank(row)} for row in records(practice_rows(view.returns))]
    findings = [verdicts.verdict_sentence(row) for row in rows]
    returns = both_widths(
        "returns",
        " ".join(findings) or "No practice category has a return.",
        lambda width: figures.returns_dots(view.returns, title=_title(rows), width=width),
    )
    hours = both_widths(
        "hours",
        _hours_alt(rows),
        lambda width: figures.practice_hours(view.returns, title=_hours_title(rows), width=width),
    )
    noise = noise_row(view.returns)
    return part("returns.html", rows=rows, noise=noise, figure=returns, hours=hours, findings=findings)


def _rank(row: dict[str, Any]) -> str:
    rank = row.get("rank_before_record")
    return "" if words.missing(rank) else words.number(rank, 0)


def _title(rows: list[dict[str, Any]]) -> str:
    leading = [words.category_text(row["category"]) for row in rows if row["verdict"] == "stands out"]
    if not leading:
        return "No practice area stands out yet"
    if len(leading) == 1:
        return f"{words.sentence(leading[0])} stands out"
    return f"{words.sentence(', '.join(leading[:-1]))} and {leading[-1]} stand out"


def _hours_title(rows: list[dict[str, Any]]) -> str:
    known = [row for row in rows if not words.missing(row["hours_now"]) and row["hours_now"] > 0]
    if not known:
        return "Hours a week now"
    most = max(known, key=lambda row: float(row["hours_now"]))
    return f"Most hours now go to {words.category_text(most['category'])}"


def _hours_alt(rows: list[dict[str, Any]]) -> str:
    parts = [f"{words.category_text(row['category'])} {words.number(row['hours_now'])}" for row in rows]
    return f"Hours a week by category: {', '.join(parts)}." if parts else "No practice hours are known."
