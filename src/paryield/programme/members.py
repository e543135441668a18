"""The outcome of each member of a programme, at the end and on the way, and of groups of members."""

from __future__ import annotations

from dataclasses import dataclass, replace

import numpy as np
import pandas as pd

from paryield.arrays import FLOATS
from paryield.dose.exposure import Enrolment
from paryield.forecast import golfer_draws
from paryield.posterior import Posterior
from paryield.programme.plain import Rounds, plain_change, stopped_posting
from paryield.programme.practice import Diaries, earlier_habit, hours_effect, weekly
from paryield.scoring import HandicapRecord, handicap_records, index_paths
from paryield.tables import Tables
from paryield.tables.categories import AREAS

HOUR_EDGES, LEVEL_EDGES = (2.0, 4.0), (12.0, 22.0)
"""Hours a week, and mean differential on joining (index about 9 and 18). [judgement]"""
NOT_KNOWN = "not known"
KINDS = {
    "off_the_tee": "full swing",
    "approach": "full swing",
    "short_game": "short game",
    "putting": "putting",
}
BY = ("outcome", "hours", "practice", "level", "coach", "group")
"""What members are grouped by, in the order in which groups are given room."""


@dataclass(frozen=True)
class Outcome:
    """What became of one member; S draws, strokes, negative when scores fell.

    Parameters
    ----------
    member : Enrolment
    on : int
        Day of the outcome: the planned end, or the as-of day while it runs.
    from_hours, beyond : array, shape (S,)
        Effect of practising otherwise than before, and of the programme itself.
    index : array, shape (S,) or None
        Effect on the Handicap Index in force; None where no counting round was played in between.
    plain : float or None
        Before/after, for comparison only.
    level : float
        Mean differential that the fit expected just before joining.
    hours : array, shape (J,)
        Hours a week in the programme, over known weeks.
    weeks_known : float
    silent, assumed : bool
        Nothing posted since; earlier habit not known and taken from the others.
    """

    member: Enrolment
    on: int
    from_hours: FLOATS
    beyond: FLOATS
    index: FLOATS | None
    plain: float | None
    level: float
    hours: FLOATS
    weeks_known: float
    silent: bool
    assumed: bool

    @property
    def effect(self) -> FLOATS:
        """Whole effect, shape (S,)."""
        return self.from_hours + self.beyond


def programme_draws(posterior: Posterior, programme: str) -> FLOATS | None:
    """Strokes at full exposure beyond the logged hours, shape (S,); None where the fit has no such term."""
    tree = posterior.tree["posterior"].to_dataset()
    if "programme_effect" not in tree or "programme" not in tree["programme_effect"].dims:
        return None
    names = [str(name) for name in tree["programme"].to_numpy()]
    return posterior.draws("programme_effect")[:, names.index(programme)] if programme in names else None


def outcomes(
    tables: Tables, posterior: Posterior, members: tuple[Enrolment, ...], diaries: Diaries, rounds: Rounds
) -> list[Outcome]:
    """Outcomes of all members that the fit knows, in their order."""
    known = [one for one in members if one.golfer_id in posterior.golfers]
    habits = {one: earlier_habit(diaries, posterior.golfer_number(one.golfer_id), one.start) for one in known}
    others = [habit for habit in habits.values() if habit is not None]
    fallback = np.mean(others, axis=0) if others else posterior.constant("habit").mean(axis=0)
    found = []
    for one in known:
        habit = habits[one]
        done = _outcome(tables, posterior, one, diaries, rounds, fallback if habit is None else habit)
        found.append(replace(done, assumed=habit is None))
    return found


def _outcome(
    tables: Tables,
    posterior: Posterior,
    member: Enrolment,
    diaries: Diaries,
    rounds: Rounds,
    habit: FLOATS,
) -> Outcome:
    number = posterior.golfer_number(member.golfer_id)
    own, starts = golfer_draws(posterior, member.golfer_id), float(posterior.constant("starts")[number])
    on = min(member.planned_end, posterior.as_of)
    his = posterior.of(member.golfer_id)
    begun = his.draws("start_share")[:, his.golfer_number(member.golfer_id)]
    days, scores = rounds.of(member.golfer_id)
    played = days[(days > member.start) & (days <= on)]
    grid = np.concatenate([played, [on]]).astype(np.int64)
    beyond = programme_draws(his, member.programme)
    beyond = np.zeros(own.samples) if beyond is None else beyond
    trained = hours_effect(own, diaries, number, starts, begun, member.start, habit, grid)
    path = trained + beyond[:, None] * member.exposure(grid)[None, :]
    hours, weeks = weekly(diaries, number, member.start, on + 1)
    before = scores[days < member.start][-20:]
    return Outcome(
        member=member,
        on=on,
        from_hours=trained[:, -1],
        beyond=path[:, -1] - trained[:, -1],
        index=_index_effect(tables, member, on, path[:, :-1]),
        plain=plain_change(rounds, member, posterior.as_of),
        level=float(before.mean() if len(before) else own.level.sum(axis=1).mean()),
        hours=hours,
        weeks_known=weeks,
        silent=stopped_posting(rounds, member, posterior.as_of),
        assumed=False,
    )


def _index_effect(tables: Tables, member: Enrolment, on: int, path: FLOATS) -> FLOATS | None:
    """Index in force minus the index after the same rounds without the effect, shape (S,).

    The luck, courses and dates of the rounds stay as they were; only the effect is taken out of each, and
    both runs go through the rules from the record as it stood on joining.
    """
    own = tables.golfers[tables.golfers["golfer_id"] == member.golfer_id]
    rounds = tables.rounds[tables.rounds["golfer_id"] == member.golfer_id]
    start, last = (pd.Timestamp(np.datetime64(day, "D")) for day in (member.start, on))

    def record(upto: pd.Timestamp) -> HandicapRecord | None:
        shown = replace(tables, rounds=rounds[rounds["played_on"] <= upto], golfers=own)
        return handicap_records(shown).get(member.golfer_id)

    before, whole = record(start), record(last)
    if before is None or whole is None:
        return None
    later = [
        (step.played_on.toordinal(), step.counts, value)
        for step, value in zip(whole.steps, whole.differentials, strict=True)
        if step.played_on > start.date() and value is not None
    ]
    use = np.array([counts for _, counts, _ in later], dtype=bool)
    if len(later) != path.shape[1] or not use.any():
        return None
    days = np.array([day for day, _, _ in later])[use]
    scores = np.array([value for _, _, value in later], dtype=float)[use]
    without = index_paths(before.end, days, scores[None, :] - path[:, use])[:, -1]
    effect: FLOATS = index_paths(before.end, days, scores[None, :])[0, -1] - without
    return None if np.isnan(effect).any() else effect


def labels(outcome: Outcome, tables: Tables, categories: list[str]) -> dict[str, str]:
    """The group of one member under each of :data:`BY`."""
    person = tables.golfers[tables.golfers["golfer_id"] == outcome.member.golfer_id].iloc[0]
    known = outcome.weeks_known > 0
    return {
        "outcome": outcome.member.outcome,
        "hours": band(float(outcome.hours.sum()), HOUR_EDGES, "h a week") if known else NOT_KNOWN,
        "practice": main_kind(outcome.hours, tables, categories) if known else NOT_KNOWN,
        "level": band(outcome.level, LEVEL_EDGES, "over the course rating"),
        "coach": NOT_KNOWN if pd.isna(person["coach"]) else str(person["coach"]),
        "group": NOT_KNOWN if pd.isna(person["group"]) else str(person["group"]),
    }


def band(value: float, edges: tuple[float, ...], unit: str) -> str:
    """The band of a value: under 2, 2 to 4, 4 and more."""
    place = int(np.searchsorted(edges, value, side="right"))
    if place == 0:
        return f"under {edges[0]:g} {unit}"
    if place == len(edges):
        return f"{edges[-1]:g} {unit} and more"
    return f"{edges[place - 1]:g} to {edges[place]:g} {unit}"


def main_kind(hours: FLOATS, tables: Tables, categories: list[str]) -> str:
    """The kind of practice with most hours: putting, short game, full swing or strength and mobility."""
    total: dict[str, float] = {}
    by_name = {category.name: category for category in tables.categories}
    for spent, name in zip(hours, categories, strict=True):
        if name not in by_name or spent <= 0:
            continue
        if by_name[name].load == "strength" or name == "mobility":
            total["strength and mobility"] = total.get("strength and mobility", 0.0) + float(spent)
            continue
        for area in AREAS:
            share = float(spent) * by_name[name].serves.get(area, 0.0)
            total[KINDS[area]] = total.get(KINDS[area], 0.0) + share
    return max(sorted(total), key=lambda kind: total[kind]) if total else "none"
