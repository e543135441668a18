"""The facility's report: the answer in a sentence, a figure, a table, how it was worked out, and privacy."""

from __future__ import annotations

import csv
import io
from collections.abc import Callable, Iterable, Sequence
from dataclasses import dataclass
from datetime import date
from pathlib import Path
from typing import TYPE_CHECKING, Any

from markupsafe import Markup

from paryield.days import date_of
from paryield.forecast import gate
from paryield.forecast.current import current_fit
from paryield.programme import Programme, flat_rows, programme_fit
from paryield.report import programme_lines as said
from paryield.report.figures.club import programme_dots
from paryield.report.html import facility_page
from paryield.report.rendering import part
from paryield.report.sections.drawing import both_widths
from paryield.report.views import Health, RunFacts
from paryield.report.words import one_line
from paryield.tables.workbooks import workbook_bytes

if TYPE_CHECKING:
    from paryield.club import Club
    from paryield.posterior import Posterior
    from paryield.tables import Tables

METHOD = (
    "Every golfer is compared with himself: the same golfer in the same season, with the practice hours of "
    "the half year before joining and without the programme. Bad form on joining is expected to pass.",
    "All who joined count, also those who left. The day is the planned end, or today while it runs.",
    "The plainer reckoning uses rounds only: members against those who had not joined yet or never did, "
    "worked out with and without the bad rounds on which members joined.",
    said.ASSUMES,
)
PRIVACY = ("No golfer is named. " + said.HIDDEN + " Coaches stand under letters.",)
BESIDE = ("The table beside this report (programme.csv) holds the same groups, hidden in the same way.",)
Record = dict[str, Any]
HealthLines = Callable[[Record], tuple[str, ...]]
"""Sentences of the health checks, from their record."""


@dataclass(frozen=True)
class FacilityView:
    """Everything on the facility's report; records are those of the ``programme`` command."""

    club: str
    as_of: date
    run: RunFacts
    health: Health
    records: tuple[Record, ...]
    notes: tuple[str, ...] = ()
    cautions: tuple[str, ...] = ()
    banner: str = ""


def facility_view(
    club: Club, *, anyway: bool = False, health_lines: HealthLines | None = None
) -> FacilityView:
    """Gather what the facility's report shows.

    Raises
    ------
    InputError, NotReportableError
        As :func:`paryield.programme.programme`.
    """
    found = club.tables(), *current_fit(club)
    return facility_view_of(*found, name=club.name, anyway=anyway, health_lines=health_lines)


def facility_view_of(
    tables: Tables,
    number: int,
    posterior: Posterior,
    *,
    name: str,
    anyway: bool = False,
    health_lines: HealthLines | None = None,
) -> FacilityView:
    """Gather the same from tables and a fit that are at hand; ``name`` is that of the club file."""
    banner, facts = gate(posterior, anyway), posterior.facts
    found: Programme = programme_fit(tables, posterior, banner=banner)
    checks = () if health_lines is None else health_lines(facts["health"])
    return FacilityView(
        club=tables.settings.club_name or Path(name).stem,
        as_of=date_of(posterior.as_of),
        run=RunFacts(number, int(facts["seed"]), int(facts["draws"]), bool(facts["quick"])),
        health=Health(bool(facts["health"]["ok"]), checks),
        records=tuple(without_coaches(found.records)),
        notes=found.notes,
        banner=banner,
    )


def without_coaches(records: list[Record]) -> list[Record]:
    """The records with coaches under letters: the report is handed on, and judges programmes, not people."""
    names = sorted({one["value"] for record in records for one in record["groups"] if one["by"] == "coach"})
    letter = {name: f"coach {_letters(place)}" for place, name in enumerate(names)}
    return [
        record
        | {
            "groups": [
                one | ({"value": letter[one["value"]]} if one["by"] == "coach" else {})
                for one in record["groups"]
            ]
        }
        for record in records
    ]


def _letters(place: int) -> str:
    return (_letters(place // 26 - 1) if place >= 26 else "") + chr(ord("A") + place % 26)


def facility_files(view: FacilityView) -> dict[str, str | bytes]:
    """The report, the table beside it and the board's workbook, by file name."""
    answers, parts = programme_answers(view.records, privacy=PRIVACY + BESIDE)
    return {
        "facility.html": facility_page(view, answers=answers, parts=parts),
        "programme.csv": programme_csv(view.records),
        "facility.xlsx": workbook_bytes(board_sheets(view)),
    }


def board_sheets(view: FacilityView) -> dict[str, list[list[object]]]:
    """Rows of the board's workbook: what is said of each programme, its numbers, and how they were found.

    Small groups are hidden as in the report, and coaches stand under letters.
    """
    numbers = flat_rows(list(view.records))
    answers: list[list[object]] = [["programme", "answer"]]
    for record in view.records:
        answers += [
            [_plain_text(one_line(record["programme"])), _plain_text(line)] for line in _answer(record)
        ]
    method: list[list[object]] = [["how it was worked out"]]
    method += [[line] for line in (*METHOD, *PRIVACY, *view.notes)]
    about: list[list[object]] = [
        ["club", _plain_text(one_line(view.club))],
        ["records up to", view.as_of.isoformat()],
        ["run", view.run.number],
        ["checks of the fit passed", "yes" if view.health.ok else "no"],
        ["effects", "strokes a round against what would have happened anyway; negative: better scores"],
    ]
    if view.banner:
        about.append(["read this first", view.banner])
    table: list[list[object]] = [list(numbers[0])]
    table += [[_board_cell(cell) for cell in row.values()] for row in numbers]
    return {"about": about, "answers": answers, "programmes": table, "method": method}


def _board_cell(value: object) -> object:
    if isinstance(value, bool):
        return "yes" if value else "no"
    return round(value, 3) if isinstance(value, float) else _plain_text(value)


def programme_answers(
    records: Iterable[Record], *, privacy: Sequence[str] = PRIVACY
) -> tuple[list[tuple[str, list[str]]], list[Markup]]:
    """Questions with their answers, then figures, tables and method; coaches must be under letters by now."""
    found = list(records)
    parts = [programme_part(record, place) for place, record in enumerate(found)]
    parts.append(part("programme_method.html", method=METHOD, privacy=privacy))
    return [(_question(record), _answer(record)) for record in found], parts


def _question(record: Record) -> str:
    return f"Did the programme {one_line(record['programme'], 60)} work?"


def _answer(record: Record) -> list[str]:
    first = [said.programme_sentence(record)]
    return first if record["hidden"] else [*first, *said.sentences_beside(record)]


def programme_part(record: Record, place: int) -> Markup:
    """Figure and table of one programme."""
    rows = [] if record["hidden"] else figure_rows(record)
    title = one_line(record["programme"], 60)
    heading = f"What {title} did, and what it seems to have done"
    figure = both_widths(
        f"programme-{place}",
        said.programme_sentence(record),
        lambda width: programme_dots(rows, title=heading, width=width),
    )
    table = [] if record["hidden"] else [*said.number_rows(record), *said.group_rows(record)]
    return part("programme.html", record=record, title=title, figure=figure, rows=table)


def figure_rows(record: Record) -> list[Record]:
    """Rows of the figure: the answer first, then what it is held against."""
    effect, second = record["effect"], record["second_route"]
    rows = [_row("effect (the answer)", effect["q50"], effect["q10"], effect["q90"], True)]
    if second is not None:
        rows.append(_row("a plainer reckoning", second["effect"], second["low"], second["high"]))
    if record["plain_change"] is not None:
        wide = record["plain_range"]
        rows.append(_row("before and after (flatters)", record["plain_change"], wide["low"], wide["high"]))
    if (alike := record["outside"]) is not None:
        rows.append(_row("alike golfers outside", alike["plain_change"], alike["low"], alike["high"]))
    return rows


def _row(
    name: str, middle: float, low: float | None = None, high: float | None = None, leading: bool = False
) -> Record:
    return {"name": name, "q50": middle, "low": low, "high": high, "leading": leading}


def programme_csv(records: tuple[Record, ...]) -> str:
    """Programmes and groups as a table; text that a spreadsheet would run as a formula is made plain text."""
    rows = flat_rows(list(records))
    out = io.StringIO()
    writer = csv.DictWriter(out, list(rows[0]), lineterminator="\n")
    writer.writeheader()
    for row in rows:
        writer.writerow({name: _cell(value) for name, value in row.items()})
    return out.getvalue()


def _cell(value: Any) -> Any:
    if isinstance(value, float):
        return f"{value:.3f}"
    if isinstance(value, bool):
        return "yes" if value else "no"
    return _plain_text(value)


def _plain_text(value: Any) -> Any:
    """Return text that a spreadsheet would run as a formula with a sign before it that makes it text."""
    return f"'{value}" if isinstance(value, str) and value[:1] in "=+-@\t\r" and value else value
