"""Programme outcomes: records for the command, the report and notebooks."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import asdict, dataclass, field
from typing import TYPE_CHECKING, Any, TypedDict

import numpy as np
import pandas as pd

from paryield.arrays import FLOATS
from paryield.club.designs import StoredDesign
from paryield.dose.exposure import COMPLETED, LEFT, RUNNING, Enrolment, enrolments
from paryield.errors import InputError
from paryield.forecast import gate
from paryield.posterior import Posterior
from paryield.programme import checks
from paryield.programme.board import board_fields, bounds, promise, verdict, warnings_of
from paryield.programme.hiding import FEWEST, shown_cells
from paryield.programme.members import BY, Outcome, labels, outcomes, programme_draws
from paryield.programme.places import KIND, by_lot
from paryield.programme.plain import Rounds, club_rounds
from paryield.programme.practice import club_diaries, planned_hours
from paryield.programme.second import mean_change
from paryield.results import summary
from paryield.tables import Tables

if TYPE_CHECKING:
    from paryield.club import Club

ALL = "all programmes"
COUNTS = ("golfers", "finished", "left", "running", "stopped_posting")
SHOWN = (
    *COUNTS,
    "effect",
    "from_hours",
    "beyond_hours",
    "index_effect",
    "plain_change",
    "plain_range",
    "verdict",
    "hours_done",
    "hours_planned",
    "bounds",
    "second_route",
    "outside",
    "placebo",
    "never_joined",
    "promise",
    "offered",
    "hours_kept",
    "anyway",
    "cost",
    "recommendation",
    "why",
    "members_needed",
    "by_lot",
)
"""Fields that a hidden programme leaves blank."""


@dataclass(frozen=True)
class Programme:
    """Records of programme outcomes; ``draws`` holds the mean effect of each shown programme, (S,)."""

    records: list[dict[str, Any]]
    draws: dict[str, FLOATS] = field(repr=False)
    banner: str = ""
    notes: tuple[str, ...] = ()

    def to_frame(self) -> pd.DataFrame:
        """One row per programme and group; the programme itself has ``by`` blank."""
        return pd.DataFrame.from_records(flat_rows(self.records))


def flat_rows(records: list[dict[str, Any]]) -> list[dict[str, Any]]:
    """Programmes and their groups as flat rows: programme, by, value, golfers, hidden and quantiles."""
    rows = []
    for record in records:
        for one in ({"by": "", "value": "", **record}, *record["groups"]):
            head = {"programme": record["programme"], "by": one["by"], "value": one["value"]}
            spread = one["effect"] or dict.fromkeys(("q05", "q10", "q50", "q90", "q95"))
            kept = {name: spread[name] for name in ("q05", "q10", "q50", "q90", "q95")}
            rows.append({**head, "golfers": one["golfers"], "hidden": one["hidden"], **kept})
    return rows


def programme(
    club: Club, name: str | None = None, anyway: bool = False, cost: float | None = None
) -> Programme:
    """Outcomes of the club's programmes against what would have happened anyway.

    Parameters
    ----------
    club : Club
    name : str, optional
        One programme; default all.
    anyway : bool
        Answer although the health gate says no; the answer carries a banner.
    cost : float, optional
        Cost of one member's place, in the club's money.

    Raises
    ------
    InputError
        For an unknown programme, or a club without programmes.
    NotReportableError
        When the fit is not healthy.
    """
    from paryield.forecast.current import current_fit

    _, posterior = current_fit(club)
    return programme_fit(
        club.tables(),
        posterior,
        name=name,
        banner=gate(posterior, anyway),
        cost=cost,
        lots=club.designs(KIND),
    )


def programme_fit(
    tables: Tables,
    posterior: Posterior,
    *,
    name: str | None = None,
    banner: str = "",
    cost: float | None = None,
    lots: Sequence[StoredDesign] = (),
) -> Programme:
    """Outcomes from tables and a fit; see :func:`programme`."""
    members = enrolments(tables.programmes, posterior.as_of)
    _need(members, name)
    rounds, diaries = club_rounds(tables, posterior.as_of), club_diaries(tables, posterior)
    found = outcomes(tables, posterior, members, diaries, rounds)
    lost = len({one.golfer_id for one in members} - set(posterior.golfers))
    notes = (f"{lost} members are not in the fit and are left out: fit again",) if lost else ()
    report = _Report(tables, posterior, members, rounds, found, cost, lots)
    records = [record for record in report.records() if name in (None, record["programme"])]
    return Programme(records, report.draws, banner, notes)


def _need(members: tuple[Enrolment, ...], name: str | None) -> None:
    names = sorted({one.programme for one in members})
    if not names:
        raise InputError(
            "the club has no programme that has started",
            where="programmes",
            remedy="import a programmes table (golfer_id, programme, started_on)",
        )
    if name is not None and name not in names:
        raise InputError(f"no programme is called {name!r}", where="--name", remedy=f"use {', '.join(names)}")


class SecondRoute(TypedDict):
    """The plain second route at the exposure received, strokes, and whether the answer agrees with it."""

    effect: float
    low: float
    high: float
    agrees: bool


class _Report:
    """Everything that the records of one answer share."""

    def __init__(
        self,
        tables: Tables,
        posterior: Posterior,
        members: tuple[Enrolment, ...],
        rounds: Rounds,
        found: list[Outcome],
        cost: float | None,
        lots: Sequence[StoredDesign],
    ) -> None:
        self.cost, self.lots = cost, {str(one.facts["programme"]): one for one in lots}
        self.tables, self.posterior, self.members, self.rounds = tables, posterior, members, rounds
        self.by_name: dict[str, list[Outcome]] = {}
        for one in found:
            self.by_name.setdefault(one.member.programme, []).append(one)
        if len(self.by_name) > 1:
            self.by_name[ALL] = found
        joined = {one.golfer_id for one in members}
        self.outsiders = [golfer for golfer in posterior.golfers if golfer not in joined]
        self.groups = {name: self._groups(own) for name, own in self.by_name.items() if name != ALL}
        self.shown = self._shown(lambda one: True, groups=True)
        self.plain = self._shown(lambda one: one.plain is not None)
        self.index = self._shown(lambda one: one.index is not None)
        self.draws: dict[str, FLOATS] = {}

    def _groups(self, own: list[Outcome]) -> dict[tuple[str, str], list[Outcome]]:
        groups: dict[tuple[str, str], list[Outcome]] = {}
        for one in own:
            for by, value in labels(one, self.tables, self.posterior.categories).items():
                groups.setdefault((by, value), []).append(one)
        return dict(sorted(groups.items(), key=lambda item: (BY.index(item[0][0]), item[0][1])))

    def _shown(self, use: Callable[[Outcome], bool], groups: bool = False) -> set[tuple[str, str, str]]:
        """Keys of programmes, and of their groups, that may be shown."""
        cells = [((name, "", ""), own) for name, own in self.by_name.items()]
        if groups:
            cells += [((name, *key), own) for name, by in self.groups.items() for key, own in by.items()]
        return shown_cells(
            [(key, frozenset(one.member.golfer_id for one in own if use(one))) for key, own in cells]
        )

    def records(self) -> list[dict[str, Any]]:
        """One record a programme, then all of them together when there are several."""
        return [self._record(name, own) for name, own in self.by_name.items()]

    def _record(self, name: str, own: list[Outcome]) -> dict[str, Any]:
        groups = [] if name == ALL else self._group_records(name)
        if (name, "", "") not in self.shown:
            blank = dict.fromkeys(SHOWN) | {"verdict": "hidden", "hidden": True}
            return {"programme": name, **blank, "warnings": [], "groups": groups}
        effect = np.mean([one.effect for one in own], axis=0)
        self.draws[name] = effect
        record: dict[str, Any] = {"programme": name, **self._counts(own), "hidden": False}
        record |= {"effect": summary(effect), **self._parts(name, own)}
        record["verdict"] = verdict(effect, record["beyond_hours"] is not None)
        record |= self._beside(name, own, effect)
        record |= board_fields(record, own, self.cost)
        lot = by_lot(self.lots[name], self.rounds) if name in self.lots else None
        record["by_lot"] = None if lot is None else asdict(lot)
        record["warnings"] = warnings_of(record, own)
        record["groups"] = groups
        return record

    def _counts(self, own: list[Outcome]) -> dict[str, int]:
        said = [one.member.outcome for one in own]
        return {
            "golfers": len({one.member.golfer_id for one in own}),
            "finished": said.count(COMPLETED),
            "left": said.count(LEFT),
            "running": said.count(RUNNING),
            "stopped_posting": sum(one.silent for one in own),
        }

    def _parts(self, name: str, own: list[Outcome]) -> dict[str, Any]:
        fitted = any(programme_draws(self.posterior, one.member.programme) is not None for one in own)
        plain = [one.plain for one in own if one.plain is not None]
        index = [one.index for one in own if one.index is not None]
        key = (name, "", "")
        change = mean_change(plain) if key in self.plain else None
        return {
            "from_hours": summary(np.mean([one.from_hours for one in own], axis=0)),
            "beyond_hours": summary(np.mean([one.beyond for one in own], axis=0)) if fitted else None,
            "index_effect": summary(np.mean(index, axis=0)) if key in self.index else None,
            "plain_change": change and change.value,
            "plain_range": change and dict(zip(("low", "high"), change.interval(), strict=True)),
        }

    def _beside(self, name: str, own: list[Outcome], effect: FLOATS) -> dict[str, Any]:
        known = [one for one in own if one.weeks_known > 0]
        planned = [planned_hours(self.tables, one.member, one.on) for one in own]
        given = [hours for hours in planned if hours is not None]
        target = None if name == ALL else name
        mine = tuple(one.member for one in own)
        return {
            "hours_done": float(np.mean([one.hours.sum() for one in known]))
            if len(known) >= FEWEST
            else None,
            "hours_planned": float(np.mean(given)) if len(given) >= FEWEST else None,
            "bounds": bounds(self.posterior, own),
            "second_route": self._second(target, own, effect),
            "outside": checks.outside(self.rounds, mine, self.outsiders, self.posterior.as_of),
            "placebo": None if target is None else checks.placebo(self.rounds, self.members, target),
            "never_joined": checks.never_joined(self.rounds, mine, self.outsiders),
            "promise": promise(self.posterior, own),
        }

    def _second(self, target: str | None, own: list[Outcome], effect: FLOATS) -> SecondRoute | None:
        found = checks.second_route(self.rounds, self.members, target)
        if found is None:
            return None
        received = float(np.mean([one.member.exposure(one.on) for one in own]))
        scaled = found.times(received)
        low, high = scaled.interval()
        agrees = not checks.disagree(effect, scaled)
        return {"effect": scaled.value, "low": low, "high": high, "agrees": agrees}

    def _group_records(self, name: str) -> list[dict[str, Any]]:
        out = []
        for (by, value), own in self.groups[name].items():
            shown = (name, by, value) in self.shown
            effect = summary(np.mean([one.effect for one in own], axis=0)) if shown else None
            count = len({one.member.golfer_id for one in own}) if shown else None
            out.append({"by": by, "value": value, "golfers": count, "hidden": not shown, "effect": effect})
        return out
