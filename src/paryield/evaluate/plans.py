"""Plans for made-up clubs held against the best split there is, found by running the generator forward."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass

import numpy as np
import pandas as pd

from paryield.arrays import FLOATS, INTS
from paryield.plan import plan_tables
from paryield.plan.solver import QUARTER, Room
from paryield.posterior import Posterior
from paryield.synth import MadeUpClub
from paryield.synth.skills import AREA_SHARES
from paryield.tables.categories import AREAS, BY_NAME

HOURS, WEEKS = 4.0, 16
RULES = ("plan", "advised", "even", "present", "weakest area", "best constant")
MOST_PASSES = 200


@dataclass(frozen=True)
class TrueGains:
    """What splits of the coming weeks really gain in a made-up club, for all its golfers at once.

    Parameters
    ----------
    club : MadeUpClub
    weeks : int
        Horizon; a split is kept up until then.
    """

    club: MadeUpClub
    weeks: int = WEEKS

    def lost(self, hours: FLOATS) -> FLOATS:
        """Strokes lost at the horizon from ability and practice, shape (G,), of hours (G, J) or (J,)."""
        roster = self.club.truth.roster
        lived = self.club.truth.life.hours.copy()
        shape = lived[:, :, 0].shape
        lived[:, :, roster.now :] = np.broadcast_to(hours, shape)[:, :, None]
        effort = roster.learning.effort(lived)
        lost: FLOATS = roster.learning.strokes_at(effort, roster.now + self.weeks).sum(axis=1)
        return lost

    def gain(self, hours: FLOATS) -> FLOATS:
        """Strokes saved against no practice at all until the horizon, shape (G,)."""
        return self.lost(np.zeros_like(hours)) - self.lost(hours)

    def best(self, low: INTS, high: INTS, totals: INTS, fixed: FLOATS | None = None) -> FLOATS:
        """Best split of each golfer in quarter hours within his room, as hours, shape (G, J).

        True gains are concave: quarters are placed where they pay most, then exchanged while that pays.
        """
        base = np.zeros(low.shape) if fixed is None else fixed
        quarters = low.copy()
        everyone = np.arange(len(quarters))
        unit = np.eye(low.shape[1], dtype=np.int64)
        while np.any(quarters.sum(axis=1) < totals):
            places = self._each([quarters + step for step in unit], low, high, base)
            place = places.argmin(axis=0)
            growing = quarters.sum(axis=1) < totals
            quarters[everyone[growing], place[growing]] += 1
        steps = [there - here for here in unit for there in unit if here is not there]
        now = self.lost(_hours(base, quarters))
        for _ in range(MOST_PASSES):
            lost = self._each([quarters + step for step in steps], low, high, base)
            place = lost.argmin(axis=0)
            better = lost[place, everyone] < now - 1e-9
            if not better.any():
                break
            quarters[better] += np.array(steps)[place[better]]
            now = self.lost(_hours(base, quarters))
        return _hours(base, quarters)

    def _each(self, candidates: Sequence[INTS], low: INTS, high: INTS, base: FLOATS) -> FLOATS:
        """Strokes lost of each candidate by golfer, shape (N, G); infinite outside the room."""
        return np.array(
            [
                np.where(((one >= low) & (one <= high)).all(axis=1), self.lost(_hours(base, one)), np.inf)
                for one in candidates
            ]
        )

    def best_constant(self, total: int) -> FLOATS:
        """Best one split for all golfers in hindsight, as hours, shape (J,)."""
        count = len(self.club.spec.categories)
        quarters = np.zeros(count, dtype=np.int64)
        unit = np.eye(count, dtype=np.int64)
        for _ in range(total):
            quarters = min((quarters + step for step in unit), key=self._together)
        for _ in range(MOST_PASSES):
            around = [quarters + b - a for a in unit for b in unit if (quarters - a).min() >= 0]
            best = min(around, key=self._together)
            if self._together(best) >= self._together(quarters) - 1e-9:
                break
            quarters = best
        return _hours(0.0, quarters)

    def _together(self, quarters: INTS) -> float:
        return float(self.lost(_hours(0.0, quarters)).sum())


def _hours(fixed: FLOATS | float, quarters: INTS) -> FLOATS:
    hours: FLOATS = fixed + QUARTER * quarters.astype(np.float64)
    return hours


def weakest_split(club: MadeUpClub, hours: float) -> FLOATS:
    """All hours on the area that is truly weakest for the golfer's level, shape (G, J).

    The rule knows the truth about the areas; the hours are shared evenly among the categories whose main
    area it is.
    """
    truth, names = club.truth, club.spec.categories
    lost = truth.life.practice_strokes[:, :, truth.roster.now]
    excess = lost - lost.sum(axis=1, keepdims=True) * AREA_SHARES
    main = [max(BY_NAME[name].serves, key=BY_NAME[name].serves.__getitem__) for name in names]
    split = np.zeros((len(lost), len(names)))
    trained = [place for place, area in enumerate(AREAS) if area in main]
    for who in range(len(lost)):
        weakest = AREAS[max(trained, key=lambda place: float(excess[who, place]))]
        split[who] = [float(area == weakest) for area in main]
    shared: FLOATS = hours * split / split.sum(axis=1, keepdims=True)
    return shared


def plan_regret(
    club: MadeUpClub,
    posterior: Posterior,
    *,
    hours: float = HOURS,
    weeks: int = WEEKS,
    free: bool = True,
    aim: str = "likely",
) -> pd.DataFrame:
    """Hold the plans of one made-up club against the truth.

    Parameters
    ----------
    club : MadeUpClub
        Made with more ``future_weeks`` than ``weeks``.
    posterior : Posterior
        A fit of its tables.
    hours, weeks, free, aim
        As :func:`paryield.plan.plan`. Without ``free`` the best split is the best inside each box.

    Every rule splits the same hours: those asked for, or the most that a golfer has on file.

    Returns
    -------
    DataFrame
        One row per golfer and rule: golfer_id, rule, hours by category, gain and best (true strokes
        saved against no practice at the horizon), verdict, claimed (the plan's median gain against the
        present split) and delivered (the true one). The rule ``plan`` is the best-looking split,
        ``advised`` the present one where the verdict is to keep it.
    """
    names, ids = club.spec.categories, list(club.truth.ids)
    made = plan_tables(
        posterior, club.tables, golfers=ids, hours=hours, weeks=weeks, free=free, aim=aim
    ).records
    found = {record["golfer_id"]: record for record in made}
    own = np.array([float(found[golfer_id]["hours"]) for golfer_id in ids])
    share = (own / hours)[:, None]
    splits = {
        "plan": _table(found, ids, names, "hours_best"),
        "advised": _table(found, ids, names, "hours_advised"),
        "even": share * np.full((len(ids), len(names)), hours / len(names)),
        "present": share * _present(club, ids, hours),
        "weakest area": share * weakest_split(club, hours),
    }
    truth = TrueGains(club, weeks)
    splits["best constant"] = share * truth.best_constant(int(hours / QUARTER))
    best = truth.gain(_best(truth, posterior, club, ids, own, hours, weeks, free))
    present = truth.gain(splits["present"])
    rows = []
    for rule, split in splits.items():
        gain = truth.gain(split)
        for who, golfer_id in enumerate(ids):
            record = found[golfer_id]
            rows.append(
                {"golfer_id": golfer_id, "rule": rule, "gain": float(gain[who]), "best": float(best[who])}
                | {"verdict": record["verdict"], "claimed": record["gain"]["q50"]}
                | {"delivered": float(gain[who] - present[who])}
                | dict(zip(names, map(float, split[who]), strict=True))
            )
    return pd.DataFrame(rows)


def thrown_away(table: pd.DataFrame, by: Sequence[str] = ()) -> pd.DataFrame:
    """Share of the best gain that each rule throws away, golfers summed; one row per rule."""
    sums = table.groupby([*by, "rule"], sort=False)[["gain", "best"]].sum()
    return (1.0 - sums["gain"] / sums["best"]).rename("thrown_away").reset_index()


def kept(club: MadeUpClub, posterior: Posterior, *, hours: float = HOURS, weeks: int = 12) -> pd.DataFrame:
    """Verdicts of the plans of one club, one row a golfer: golfer_id, verdict, chance_gain, q50."""
    records = plan_tables(posterior, club.tables, hours=hours, weeks=weeks).records
    return pd.DataFrame(
        {
            "golfer_id": [one["golfer_id"] for one in records],
            "verdict": [one["verdict"] for one in records],
            "chance_gain": [one["chance_gain"] for one in records],
            "q50": [one["gain"]["q50"] for one in records],
        }
    )


def _best(
    truth: TrueGains,
    posterior: Posterior,
    club: MadeUpClub,
    ids: Sequence[str],
    own: FLOATS,
    hours: float,
    weeks: int,
    free: bool,
) -> FLOATS:
    shape = (len(ids), len(club.spec.categories))
    if free:
        totals = (own / QUARTER).astype(np.int64)
        return truth.best(np.zeros(shape, dtype=np.int64), np.broadcast_to(totals[:, None], shape), totals)
    advice = plan_tables(posterior, club.tables, golfers=ids, hours=hours, weeks=weeks).advice
    rooms: list[Room] = [advice[golfer_id].room for golfer_id in ids]
    names = advice[ids[0]].names
    order = [names.index(name) for name in club.spec.categories]
    return truth.best(
        np.array([room.low[order] for room in rooms]),
        np.array([room.high[order] for room in rooms]),
        np.array([room.total for room in rooms]),
        np.array([room.fixed[order] for room in rooms]),
    )


def _present(club: MadeUpClub, ids: Sequence[str], hours: float) -> FLOATS:
    habit = np.array([list(club.truth.habit(golfer_id).values()) for golfer_id in ids])
    total = habit.sum(axis=1, keepdims=True)
    even = np.full_like(habit, 1.0 / habit.shape[1])
    split: FLOATS = hours * np.where(total > 0, habit / np.maximum(total, 1e-9), even)
    return split


def _table(
    found: Mapping[str, dict[str, object]], ids: Sequence[str], names: Sequence[str], column: str
) -> FLOATS:
    rows: list[list[float]] = []
    for golfer_id in ids:
        plan: list[dict[str, object]] = found[golfer_id]["weeks_plan"]  # type: ignore[assignment]
        hours = {str(row["category"]): float(str(row[column])) for row in plan}
        rows.append([hours.get(name, 0.0) for name in names])
    return np.array(rows)
