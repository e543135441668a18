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
    noise = noise_row(view.returns)
    return part(
        "returns.html",
        rows=rows,
        noise=noise,
        figure=returns,
        ranks=verdicts.rankings_sentence(rows),
        long=view.long,
    )


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
