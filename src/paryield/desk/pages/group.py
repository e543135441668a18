"""Group: tests of a whole group, or a session's practice, typed down a column and stored at once."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass, field
from datetime import date
from typing import Annotated
from urllib.parse import urlencode

import pandas as pd
from fastapi import APIRouter, Query, Request
from starlette.responses import RedirectResponse, Response

from paryield.club import Club
from paryield.desk.changes import change_of, receipt_of
from paryield.desk.entries import problems_of, store_tables
from paryield.desk.group import ALL, blocks_of, field_name, filled
from paryield.desk.guard import visitor_of
from paryield.desk.security import Sent
from paryield.desk.show import desk_of, page
from paryield.desk.state import Snapshot
from paryield.errors import InputError
from paryield.report.words import by_name
from paryield.results import Problem
from paryield.rounds.tasks import TASKS

router = APIRouter()
MANY = 24
"""More golfers than this stand on the page only where a group or golfers are chosen."""


@dataclass(frozen=True)
class Choice:
    """Who and what is asked for: a group, golfers ticked beside it, tests, a practice category, the day."""

    group: str = ""
    who: tuple[str, ...] = ()
    tasks: tuple[str, ...] = ()
    category: str = ""
    day: str = field(default_factory=lambda: date.today().isoformat())

    @property
    def somebody(self) -> bool:
        """Whether golfers were chosen; without that everybody is shown."""
        return bool(self.group or self.who)

    def query(self, **more: str) -> str:
        """Return the choice as the query of an address."""
        pairs = [("group", self.group), ("category", self.category), ("day", self.day)]
        pairs += [("task", one) for one in self.tasks] + [("who", one) for one in self.who]
        return urlencode([pair for pair in [*pairs, *more.items()] if pair[1]])


@router.get("/group")
def group_page(
    request: Request,
    group: str = "",
    category: str = "",
    day: str = "",
    done: str = "",
    task: Annotated[Sequence[str], Query()] = (),
    who: Annotated[Sequence[str], Query()] = (),
) -> Response:
    """Show the form; what was typed already comes back in it when the choice changes."""
    choice = Choice(group, tuple(who[:500]), tuple(task[:20]), category, day[:20] or date.today().isoformat())
    typed = {name: text for name, text in request.query_params.items() if name.startswith("v.")}
    return _shown(request, choice, typed, {}, done=done)


@router.post("/group")
def store(request: Request, form: Sent) -> Response:
    """Store all that was typed as one change, or show it again with what is wrong."""
    desk, visitor = desk_of(request), visitor_of(request)
    snapshot = desk.snapshot()

    def texts(name: str) -> tuple[str, ...]:
        return tuple(str(value) for value in form.getlist(name))

    choice = Choice(
        str(form.get("group", "")), texts("who"), texts("task"), str(form.get("category", "")), _day(form)
    )
    given = {name: str(text) for name, text in form.items() if name.startswith("v.")}
    unit = snapshot.tables.settings.distance_unit
    own = visitor.own(snapshot)
    golfers = {snapshot.ids[golfer]: golfer for golfer in own}
    blocks = blocks_of(choice.tasks, choice.category, unit)
    members = _members(snapshot, own, _groups(snapshot, own), choice)[0] if choice.somebody else []
    together = {shown for shown, _ in members}
    found = filled(blocks, golfers, given, choice.day, snapshot.tables, unit, together)
    if not found.rows and not found.wrong:
        return _shown(request, choice, given, {"": "nothing was typed: type at least one number"}, status=400)
    if found.wrong:
        return _shown(request, choice, given, found.wrong, status=400)
    try:
        number = store_tables(desk, found.rows, who=visitor.who)
    except InputError as error:
        wrong = _by_field(problems_of(error), found.fields)
        return _shown(request, choice, given, wrong, status=400)
    return RedirectResponse(f"/group?{choice.query(done=str(number or 'same'))}", 303)


def _day(form: Sent) -> str:
    return str(form.get("day", "")).strip()[:20]


def _date(text: str) -> date | None:
    try:
        return date.fromisoformat(text)
    except ValueError:
        return None


def _by_field(problems: Sequence[Problem], fields: dict[str, list[str]]) -> dict[str, str]:
    """What is wrong by the field that holds it; by nothing where it is of none."""
    wrong: dict[str, str] = {}
    for problem in problems:
        if problem.severity != "error":
            continue
        names = fields.get(problem.file.removesuffix(".csv"), [])
        place = (problem.row or 0) - 2
        name = names[place] if 0 <= place < len(names) else ""
        text = f"{problem.message}: {problem.remedy}"
        wrong[name] = f"{wrong[name]}; {text}" if name in wrong and text not in wrong[name] else text
    return wrong


def _shown(
    request: Request,
    choice: Choice,
    given: dict[str, str],
    wrong: dict[str, str],
    *,
    done: str = "",
    status: int = 200,
) -> Response:
    desk, visitor = desk_of(request), visitor_of(request)
    snapshot = desk.snapshot()
    own = visitor.own(snapshot)
    groups = _groups(snapshot, own)
    members, left = _members(snapshot, own, groups, choice)
    unit = snapshot.tables.settings.distance_unit
    told, receipt = None, []
    if done.isascii() and done.isdecimal() and len(done) < 12:
        with Club.open(desk.where) as club:
            told = change_of(club, int(done), own)
            receipt = receipt_of(club, int(done), own) if told is not None and told.is_of(own) else []
    return page(
        request,
        "group.html",
        status=status,
        title="A group at once",
        choice=choice,
        groups=sorted(groups),
        tasks=TASKS,
        categories=[one.name for one in snapshot.tables.categories],
        blocks=blocks_of(choice.tasks, choice.category, unit),
        members=members,
        left=left,
        others=_by_name((snapshot.ids[one], name) for one, name in own.items()),
        field_name=field_name,
        for_all=ALL,
        given=given,
        wrong=wrong,
        today=date.today().isoformat(),
        on=_date(choice.day),
        told=told,
        receipt=receipt,
        same=done == "same",
    )


def _groups(snapshot: Snapshot, own: dict[str, str]) -> dict[str, set[str]]:
    golfers = snapshot.tables.golfers
    mine = golfers[golfers["golfer_id"].isin(list(own)) & golfers["group"].notna()]
    found: dict[str, set[str]] = {}
    for golfer, group in zip(mine["golfer_id"], mine["group"], strict=True):
        found.setdefault(str(group), set()).add(str(golfer))
    return found


def _members(
    snapshot: Snapshot, own: dict[str, str], groups: dict[str, set[str]], choice: Choice
) -> tuple[list[tuple[str, str]], list[str]]:
    """Return how addresses call each golfer of the choice, with his name, and the names of those who left.

    Who has left is in the choice only where he himself was ticked.
    """
    picked = {one for one in own if snapshot.ids[one] in choice.who} | groups.get(choice.group, set())
    if not picked and len(own) <= MANY:
        picked = set(own)
    left_on = snapshot.tables.golfers.set_index("golfer_id")["left_on"]
    here = {one for one in picked if pd.isna(left_on[one]) or snapshot.ids[one] in choice.who}
    return _by_name((snapshot.ids[one], own[one]) for one in here), sorted(
        (own[one] for one in picked - here), key=by_name
    )


def _by_name(pairs: Iterable[tuple[str, str]]) -> list[tuple[str, str]]:
    return sorted(pairs, key=lambda pair: by_name(pair[1]))
