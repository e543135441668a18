"""What is known of a golfer brought up to another goal, plan or week, without answering for him again.

A goal and a saved plan move no draw of the golfer and not his advised week: only what names them is worked
out, and only the parts of his page that show it are drawn. So it is with the week itself, where others whom
he is held beside practise otherwise now.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, replace
from typing import Any

from paryield.dose.diary import Diary
from paryield.forecast.areas import areas_fit, goals_on_file
from paryield.forecast.goals import goals_tables
from paryield.forecast.once import people
from paryield.forecast.past import club_diary
from paryield.plan import plan_tables
from paryield.plan.review import Review, next_review, planned_and_done
from paryield.plan.saved import Ahead, KeptWeek, ahead_of, kept_week
from paryield.posterior import Posterior
from paryield.report.first_screen import Line
from paryield.report.glance import WEEKS, Glance
from paryield.report.goal_ahead import looked_ahead
from paryield.report.sections import MOVED_BY, Fold
from paryield.report.views import GolferView, Listed
from paryield.tables import Tables

AIMS, PLANS, OTHERS = "goals", "plans", "others"
"""What may have moved: the golfer's goal, his saved plans, what his advised week takes from others."""


@dataclass(frozen=True)
class Parts:
    """The parts of a golfer's page, drawn once for each state of the club."""

    first: tuple[Line, ...]
    folds: list[Fold]


@dataclass(frozen=True)
class Before:
    """What was known of a golfer before his goal, plan or week moved; ``which`` says what of it moved."""

    which: frozenset[str]
    view: GolferView | None = None
    glance: Glance | None = None
    parts: Parts | None = None

    def further(
        self, which: frozenset[str], view: GolferView | None, glance: Glance | None, parts: Parts | None
    ) -> Before:
        """Return the same after one more move, with what was worked out meanwhile."""
        return Before(self.which | which, view or self.view, glance or self.glance, parts or self.parts)

    def folds(self) -> Mapping[str, Fold]:
        """Return the parts of the page, by name, that what moved does not touch."""
        if self.parts is None:
            return {}
        gone = {name for one in self.which for name in MOVED_BY[one]}
        return {one.name: one for one in self.parts.folds if one.name not in gone}


def renewed_view(view: GolferView, which: frozenset[str], posterior: Posterior, tables: Tables) -> GolferView:
    """Return what a golfer's page shows with his goal, plan or week as they are now."""
    changed: dict[str, Any] = {}
    if AIMS in which:
        changed["areas"] = areas_fit(posterior, goals_on_file(tables), golfer=view.golfer_id).records
        if view.left is None:
            changed["goal"] = _goal(view, posterior, tables)
        if view.left is None and posterior.categories:
            changed["goals"] = tuple(goals_tables(posterior, tables, golfer=view.golfer_id).records)
    room = view.room
    if OTHERS in which and view.plan is not None:
        changed["plan"], room = _week(view, posterior, tables)
        changed["room"] = room
    if PLANS in which or OTHERS in which:
        changed["kept"] = _kept(view, room, tables)
    if PLANS in which and view.review is not None:
        diary = club_diary(posterior, tables)
        changed["review"] = _reviewed(view.review, tables, diary, view.golfer_id)
    return replace(view, **changed)


def renewed_glance(glance: Glance, which: frozenset[str], posterior: Posterior, tables: Tables) -> Glance:
    """Return what the list of the club shows of a golfer with his goal, plan or week as they are now."""
    changed: dict[str, Any] = {}
    if AIMS in which and glance.left is None:
        changed["goal"] = _goal(glance, posterior, tables)
    room = glance.room
    if OTHERS in which and glance.plan is not None:
        changed["plan"], room = _week(glance, posterior, tables)
        changed["room"] = room
    if PLANS in which or OTHERS in which:
        kept = _kept(glance, room, tables)
        changed["follows"] = "" if kept is None else kept.plan
    return replace(glance, **changed)


def _goal(view: Listed, posterior: Posterior, tables: Tables) -> Any:
    person = people(tables)[view.golfer_id]
    return looked_ahead(posterior, tables, person, (WEEKS,), because=False)[1]


def _week(view: Listed, posterior: Posterior, tables: Tables) -> tuple[dict[str, Any], Ahead]:
    """Return the advised week, and what any plan of the golfer is laid out in."""
    found = plan_tables(posterior, tables, golfers=[view.golfer_id])
    return found.records[0], ahead_of(found.advice[view.golfer_id])


def _kept(view: Listed, room: Ahead | None, tables: Tables) -> KeptWeek | None:
    return None if room is None or view.left is not None else kept_week(tables, room, view.as_of)


def _reviewed(review: Review, tables: Tables, diary: Diary, golfer_id: str) -> Review:
    practice, unknown, planned = planned_and_done(tables, diary, golfer_id, review.since, review.until)
    coming = next_review(tables, golfer_id, review.until)
    return replace(
        review,
        practice=practice,
        days_unknown=unknown,
        days_planned=planned,
        next_from=coming["next_from"],
        next_to=coming["next_to"],
    )
