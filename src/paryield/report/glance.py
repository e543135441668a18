"""What the list of a club shows of a golfer: the same answers as on his page, without the rest of it."""

from __future__ import annotations

from dataclasses import dataclass, field
from datetime import date
from typing import Any

from paryield.days import date_of
from paryield.forecast import golfer_draws
from paryield.forecast.once import own_record, people
from paryield.plan import STANDING_CAUTIONS, plan_tables
from paryield.plan.saved import Ahead, ahead_of, kept_week
from paryield.plan.worth import evidence_words
from paryield.posterior import Posterior
from paryield.report.goal_ahead import looked_ahead
from paryield.report.views import Goal, Health, RunFacts
from paryield.report.words import one_line
from paryield.report.write import health_lines, page_names
from paryield.tables import Tables
from paryield.tables.frames import departed, once

WEEKS = 12
"""How far ahead the list looks."""


@dataclass(frozen=True)
class Glance:
    """One golfer in the list of a club; the attributes are those of :class:`paryield.report.views.Listed`.

    ``played`` are the days of his rounds with a differential, ``forecast`` the records of the command by
    quantity, ``WEEKS`` ahead.
    """

    golfer_id: str
    name: str
    page: str
    club: str
    as_of: date
    run: RunFacts
    health: Health
    left: date | None
    goal: Goal | None
    index_now: float | None
    evidence: frozenset[str]
    banner: str = ""
    cautions: tuple[str, ...] = STANDING_CAUTIONS
    weeks: int = WEEKS
    group: str = ""
    follows: str = ""
    played: tuple[date, ...] = field(default=(), repr=False)
    forecast: dict[str, dict[str, Any]] = field(default_factory=dict, repr=False)
    plan: dict[str, Any] | None = field(default=None, repr=False)
    room: Ahead | None = field(default=None, repr=False)

    def rounds_after(self, day: date) -> int:
        """How many rounds were played after a day."""
        return sum(on > day for on in self.played)

    def ahead(self, quantity: str) -> dict[str, Any] | None:
        """Return the forecast of one quantity at the headline horizon."""
        return self.forecast.get(quantity)


def glance(
    posterior: Posterior, tables: Tables, golfer_id: str, *, number: int, club: str, banner: str
) -> Glance:
    """Gather what the list of a club shows of one golfer.

    Forecast, goal and week are those of his page to the last digit: the same draws of the same fit.

    Parameters
    ----------
    posterior : Posterior
    tables : Tables
        Of the whole club.
    golfer_id : str
        In the fit and in the tables.
    number : int
        Of the run.
    club, banner : str
        Name of the club file, and what stands on top of an answer that is not reportable.
    """
    person = people(tables)[golfer_id]
    pages: dict[str, str] = once(tables, "pages", lambda: page_names(people(tables)))
    today = date_of(posterior.as_of)
    left = once(tables, ("left", today), lambda: departed(tables, today)).get(golfer_id)
    name, group = person["display_name"], person["group"]
    facts, record = posterior.facts, own_record(tables, golfer_id)
    steps = () if record is None else zip(record.steps, record.differentials, strict=True)
    played = [step for step, final in steps if final is not None]
    indexes = [step.index_after for step in played if step.index_after is not None]
    held = golfer_draws(posterior, golfer_id)  # so that forecast and week are answered from the same object
    found, goal = looked_ahead(posterior, tables, person, (WEEKS,), because=False)
    week = kept = room = None
    if posterior.categories and left is None:
        advised = plan_tables(posterior, tables, golfers=[golfer_id])
        week, room = advised.records[0], ahead_of(advised.advice[golfer_id])
        kept = kept_week(tables, room, today)
    del held
    return Glance(
        golfer_id=golfer_id,
        name=one_line(name if isinstance(name, str) else "") or one_line(golfer_id),
        page=pages[golfer_id],
        club=tables.settings.club_name or club,
        as_of=today,
        run=RunFacts(number, int(facts["seed"]), int(facts["draws"]), bool(facts["quick"])),
        health=Health(bool(facts["health"]["ok"]), health_lines(facts["health"])),
        left=left,
        group=one_line(group if isinstance(group, str) else ""),
        goal=None if left is not None else goal,
        index_now=indexes[-1] if indexes else None,
        evidence=evidence_words(posterior, golfer_id) if posterior.categories else frozenset(),
        banner=banner,
        played=tuple(step.played_on for step in played),
        forecast={record["quantity"]: record for record in found},
        plan=week,
        room=room,
        follows="" if kept is None else kept.plan,
    )
