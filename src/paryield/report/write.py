"""The documents as files: gather what was answered, render it, write it."""

from __future__ import annotations

import hashlib
import re
from collections import Counter
from collections.abc import Mapping
from dataclasses import replace
from pathlib import Path
from typing import TYPE_CHECKING, Any

import pandas as pd

from paryield import private
from paryield.days import date_of
from paryield.errors import InputError
from paryield.forecast import gate, goals_tables
from paryield.forecast.areas import areas_fit, goals_on_file
from paryield.forecast.current import current_fit
from paryield.forecast.past import club_diary
from paryield.forecast.rounds import club_paces, early_notes
from paryield.plan import STANDING_CAUTIONS, Review, plan_tables, returns_fit, review_tables
from paryield.plan.measured import measured_tests
from paryield.plan.saved import Ahead, KeptWeek, ahead_of, kept_week
from paryield.plan.testing import routines, sound_fit
from paryield.report.drawn_beside import Tell, golfer_pages
from paryield.report.facility import facility_files, facility_view
from paryield.report.goal_ahead import looked_ahead
from paryield.report.html import coach_page, golfer_page
from paryield.report.pdf import linked, pdf, whole
from paryield.report.reader import written_for
from paryield.report.testing_sheets import sheet_pages
from paryield.report.views import CoachView, GolferView, Health, Listed, RunFacts
from paryield.report.week_card import week_card, week_page
from paryield.report.words import missing, one_line
from paryield.scoring.club import IndexLine, index_listing, need_golfer
from paryield.tables.frames import departed
from paryield.units import counted

if TYPE_CHECKING:
    from paryield.club import Club
    from paryield.dose.diary import Diary
    from paryield.posterior import Posterior
    from paryield.tables import Tables
    from paryield.tables.settings import Settings

AUDIENCES = ("golfer", "coach", "week", "facility", "tests")
FORMATS = ("html", "pdf", "xlsx")
STEPS = tuple(range(0, 27, 2))
"""Weeks ahead that a fan shows."""

ASSUMED = (
    "Assumed, for records hardly tell: which areas a practice serves, and how soon its return flattens "
    "with hours."
)


def report(
    club: Club,
    audience: str,
    golfer: str | None = None,
    format: str = "html",
    out: str | Path | None = None,
    anyway: bool = False,
    tell: Tell | None = None,
) -> list[Path]:
    """Write the documents for one audience.

    Parameters
    ----------
    club : Club
        An open club with a fit.
    audience : {"golfer", "coach", "week", "facility", "tests"}
        One page a golfer, one page of all golfers, one card a golfer with the sessions of the week, one
        page of the programmes with a table beside it, or the tests due today as sheets to write on, one a
        group; they need no fit.
    golfer : str, optional
        Only this golfer; for the golfer's page.
    format : {"html", "pdf", "xlsx"}
        Kind of file. A PDF for the coach is a book: the page of all golfers, then each golfer's sheet; the
        card of a week is A6. A workbook is for the facility alone.
    out : Path, optional
        Folder, made when absent; ``reports`` when None. Files of the same names are replaced.
    anyway : bool
        Write the pages, under a banner, although the fit is not reportable.
    tell : callable, optional
        Is told how many golfers of how many are done, and the name of the next one.

    Returns
    -------
    list of Path
        The files written.

    Raises
    ------
    InputError
        When the audience, format or golfer is unknown, nothing was fitted, or the folder cannot be
        written.
    NotReportableError
        When the health gate says no and ``anyway`` is false.
    """
    if audience not in AUDIENCES:
        raise InputError(f"there is no report for {audience!r}", remedy=f"use {' or '.join(AUDIENCES)}")
    if format not in FORMATS:
        raise InputError(f"there is no format {format!r}", remedy=f"use {' or '.join(FORMATS)}")
    if format == "xlsx" and audience != "facility":
        raise InputError("a workbook is made for the facility alone", remedy="use html or pdf")
    if audience == "tests":
        return _tests(club, golfer, format, Path("reports") if out is None else Path(out))
    if audience not in ("golfer", "week") and golfer is not None:
        raise InputError(f"the {audience}'s report holds all golfers", remedy="leave out --golfer")
    if audience == "facility":
        return _facility(club, format, Path("reports") if out is None else Path(out), anyway=anyway)
    views = golfer_views(club, golfer, anyway=anyway, tell=tell)
    folder = Path("reports") if out is None else Path(out)
    return write_views(views, audience, club.tables().settings, folder, format=format, tell=tell)


def write_views(
    views: tuple[GolferView, ...],
    audience: str,
    settings: Settings,
    folder: Path,
    *,
    format: str = "html",
    tell: Tell | None = None,
) -> list[Path]:
    """Write what :func:`golfer_views` gathered for a golfer, the coach or a week; see :func:`report`."""
    with written_for(settings):
        if audience == "golfer":
            pages = golfer_pages(views, settings, tell)
        elif audience == "week":
            pages = {view.page.replace("golfer-", "week-", 1): week_page(week_card(view)) for view in views}
        else:
            pages = {"coach.html": coach_page(coach_view(views))}
        if format == "html":
            return _write(pages, folder)
        return _printed(pages, views if audience == "coach" else (), folder)


def _tests(club: Club, golfer: str | None, format: str, folder: Path) -> list[Path]:
    """Write the tests that are due today as sheets, one a group or the one golfer's."""
    tables = club.tables()
    with written_for(tables.settings):
        pages = sheet_pages(tables, routines(tables, sound_fit(club), golfer=golfer), golfer)
        return _write(pages, folder) if format == "html" else _printed(pages, (), folder)


def _facility(club: Club, format: str, folder: Path, *, anyway: bool) -> list[Path]:
    """Write the programme report, its table beside it, as HTML or with the page as PDF."""
    with written_for(club.tables().settings):
        files = facility_files(facility_view(club, anyway=anyway, health_lines=health_lines))
        if format == "xlsx":
            return _write({"facility.xlsx": files["facility.xlsx"]}, folder)
        if format == "html":
            return _write({name: file for name, file in files.items() if name != "facility.xlsx"}, folder)
        pages = {name: str(page) for name, page in files.items() if name.endswith(".html")}
        beside = {name: content for name, content in files.items() if name.endswith(".csv")}
        return [*_printed(pages, (), folder), *_write(beside, folder)]


def _printed(pages: dict[str, str], book: tuple[GolferView, ...], folder: Path) -> list[Path]:
    """Write the pages as PDF; where that cannot be, as HTML, and say so."""
    try:
        if book:
            golfers = [whole(golfer_page(replace(view, long=True))) for view in book]
            sheets = [linked(pages["coach.html"]), *golfers]
            made = {"coach.pdf": pdf(sheets)}
        else:
            made = {f"{name.removesuffix('.html')}.pdf": pdf([page]) for name, page in pages.items()}
    except InputError as error:
        _write(pages, folder)
        told = f"{error.message}; the pages were written as HTML to {folder}"
        raise InputError(told, where=error.where, remedy=error.remedy) from None
    return _write(made, folder)


def golfer_views(
    club: Club, golfer: str | None = None, *, anyway: bool = False, tell: Tell | None = None
) -> tuple[GolferView, ...]:
    """Gather what the pages show of one golfer, or of every golfer with a forecast.

    Raises
    ------
    InputError, NotReportableError
        As :func:`report`.
    """
    tables = club.tables()
    if golfer is not None:
        need_golfer(tables, golfer)
    number, posterior = current_fit(club)
    banner = gate(posterior, anyway)
    return views_of(posterior, tables, golfer, number=number, club=club.name, banner=banner, tell=tell)


def views_of(
    posterior: Posterior,
    tables: Tables,
    golfer: str | None = None,
    *,
    number: int,
    club: str,
    banner: str,
    tell: Tell | None = None,
) -> tuple[GolferView, ...]:
    """Gather the same from a fit and tables that are at hand; ``club`` is the name of the club file."""
    gains = returns_fit(posterior, golfer=golfer).records if posterior.categories else []
    of_returns = _by_golfer(gains)
    people = {str(row["golfer_id"]): row for row in tables.golfers.to_dict("records")}
    of_areas = _by_golfer(areas_fit(posterior, goals_on_file(tables), golfer=golfer).records)
    played = _by_golfer(index_listing(tables, golfer))
    facts = posterior.facts
    shared: dict[str, Any] = {
        "club": tables.settings.club_name or Path(club).stem,
        "as_of": date_of(posterior.as_of),
        "run": RunFacts(number, int(facts["seed"]), int(facts["draws"]), bool(facts["quick"])),
        "health": Health(bool(facts["health"]["ok"]), health_lines(facts["health"])),
        "cautions": STANDING_CAUTIONS,
        "banner": banner,
    }
    pages = page_names(people)
    left = departed(tables, shared["as_of"])
    weeks, kept, aims, rooms = ({}, {}, {}, {}) if golfer in left else _plans(posterior, tables, golfer)
    diary, paces = club_diary(posterior, tables), club_paces(tables, posterior.golfers, posterior.as_of)
    views: list[GolferView] = []
    for golfer_id in posterior.golfers:
        if golfer not in (None, golfer_id) or golfer_id not in people:
            continue
        if tell is not None and golfer is None:
            tell(len(views), len(posterior.golfers), f"answering for {golfer_id}")
        ahead, goal = looked_ahead(posterior, tables, people[golfer_id], STEPS)
        views.append(
            GolferView(
                golfer_id=golfer_id,
                display_name=_text(people[golfer_id]["display_name"]),
                rounds=played_rounds(played.get(golfer_id, [])),
                forecast=ahead,
                returns=of_returns.get(golfer_id, []),
                areas=of_areas.get(golfer_id, []),
                goal=None if golfer_id in left else goal,
                left=left.get(golfer_id),
                notes=(*_notes(posterior, golfer_id), *early_notes(posterior, [paces[golfer_id]])),
                page=pages[golfer_id],
                plan=weeks.get(golfer_id),
                room=rooms.get(golfer_id),
                kept=kept.get(golfer_id),
                goals=tuple(aims.get(golfer_id, ())),
                review=_review(posterior, tables, golfer_id, diary),
                tests=tuple(measured_tests(tables, golfer_id)),
                due=() if golfer_id in left or golfer_id in played else _due(posterior, tables, golfer_id),
                group=one_line(_text(people[golfer_id]["group"])),
                brought=_number(people[golfer_id]["start_index"]),
                **shared,
            )
        )
    return tuple(views)


def _number(value: Any) -> float | None:
    return None if missing(value) else float(value)


def _plans(
    posterior: Posterior, tables: Tables, golfer: str | None
) -> tuple[
    dict[str, dict[str, Any]],
    dict[str, KeptWeek | None],
    dict[str, list[dict[str, Any]]],
    dict[str, Ahead],
]:
    """Return advised weeks, weeks of saved plans that run, goals, and what plans are laid out in."""
    chosen = None if golfer is None else [golfer]
    if not posterior.categories or (golfer is not None and golfer not in posterior.golfers):
        return {}, {}, {}, {}
    found = plan_tables(posterior, tables, golfers=chosen)
    weeks = {one["golfer_id"]: one for one in found.records}
    today = date_of(posterior.as_of)
    kept = {name: kept_week(tables, advice, today) for name, advice in found.advice.items()}
    rooms = {name: ahead_of(advice) for name, advice in found.advice.items()}
    return weeks, kept, _by_golfer(goals_tables(posterior, tables, golfer=golfer).records), rooms


def coach_view(views: tuple[Listed, ...]) -> CoachView:
    """Return the coach's view of golfers that share one club and one fit."""
    if not views:
        raise InputError("the club holds no golfer with a forecast", remedy="import rounds and fit again")
    first = views[0]
    return CoachView(
        club=first.club,
        as_of=first.as_of,
        run=first.run,
        health=first.health,
        golfers=views,
        notes=(ASSUMED,),
        cautions=first.cautions,
        banner=first.banner,
    )


def health_lines(health: dict[str, Any]) -> tuple[str, ...]:
    """Return what failed in the health gate in short, or the two worst values when nothing did.

    No golfer is named: a page may be read by another one. ``paryield health`` lists every quantity.
    """
    lines = health["lines"]
    failed = [line for line in lines if not line["ok"]]
    bad = [f"{len(failed)} of {len(lines)} checks failed"] if failed else []
    if not health["divergences_ok"]:
        bad.append(f"{health['divergences']} divergences")
    if bad or not lines:
        return tuple(bad)
    rhat = max(line["rhat"] for line in lines)
    ess = min(min(line["ess_bulk"], line["ess_tail"]) for line in lines)
    limit = max(line.get("rhat_most", 1.01) for line in lines)
    return (f"R-hat at most {rhat:.3f} (limit {limit:.2f})", f"ESS at least {ess:.0f} (limit 400)")


def page_names(golfer_ids: dict[str, Any] | list[str]) -> dict[str, str]:
    """Return a file name for each golfer that every file system takes and no two golfers share."""
    plain = {golfer: re.sub(r"[^A-Za-z0-9_-]+", "-", golfer).strip("-")[:40] for golfer in golfer_ids}
    shared = Counter(name.casefold() for name in plain.values())
    found = {}
    for golfer, name in plain.items():
        if name != golfer or shared[name.casefold()] > 1:
            name += "-" + hashlib.sha256(golfer.encode()).hexdigest()[:8]
        found[golfer] = f"golfer-{name.lstrip('-')}.html"
    return found


def _due(posterior: Posterior, tables: Tables, golfer_id: str) -> tuple[str, ...]:
    """Return what to test next of a golfer without a round, most telling a minute first."""
    today = date_of(posterior.as_of)
    [found] = routines(tables, posterior, golfer=golfer_id, on=today)
    return tuple(f"{slot.worth.task.title} ({slot.worth.task.minutes:g} min)" for slot in found.due)


def _review(posterior: Posterior, tables: Tables, golfer_id: str, diary: Diary) -> Review | None:
    """Return the golfer's review, or None where his record is of one day only."""
    start = int(posterior.constant("starts")[posterior.golfer_number(golfer_id)])
    if start >= posterior.as_of:
        return None
    return review_tables(posterior, tables, golfer_id, diary=diary)


def _notes(posterior: Posterior, golfer_id: str) -> tuple[str, ...]:
    if golfer_id not in posterior.golfers:
        return (ASSUMED,)
    at = posterior.golfer_number(golfer_id)
    seen, greens, putts, known, filled = (
        int(posterior.constant(name)[at])
        for name in ("rounds_seen", "rounds_greens", "rounds_putts", "weeks_known", "weeks_filled")
    )
    diary = f"Practice diary: {known} weeks known, {filled} filled from the golfer's own habit."
    if not posterior.constant("has_diary")[at]:
        diary = "No practice diary: what practice does is taken from the club and from what is assumed."
    return (
        f"{counted(seen, 'round')} with a score, {greens} of them with greens in regulation and "
        f"{putts} with putts.",
        diary,
        ASSUMED,
    )


def played_rounds(records: list[IndexLine]) -> pd.DataFrame:
    """Return the rounds with a differential of an index listing, as a page shows them.

    ``counts`` says of each whether the index of today averages it.
    """
    last = next((one for one in reversed(records) if one["average"] is not None), None)
    counting = set() if last is None else set(last["lowest_rounds"])
    frame = pd.DataFrame(records, columns=["played_on", "differential", "index_after"])
    frame = frame.assign(counts=[place in counting for place in range(1, len(records) + 1)])
    return frame[frame["differential"].notna()]


def _by_golfer[Line: Mapping[str, Any]](records: list[Line]) -> dict[str, list[Line]]:
    found: dict[str, list[Line]] = {}
    for record in records:
        found.setdefault(record["golfer_id"], []).append(record)
    return found


def _text(value: Any) -> str:
    return "" if pd.isna(value) else str(value)


def _write(pages: Mapping[str, str | bytes], folder: Path) -> list[Path]:
    try:
        private.make_folder(folder)
        for name, page in pages.items():
            private.write(folder / name, page)
    except OSError as error:
        message = f"the reports cannot be written ({error.strerror or error})"
        raise InputError(message, where=str(folder), remedy="choose a folder that can be written") from None
    return [folder / name for name in pages]
