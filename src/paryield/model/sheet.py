"""Occasions in the order in which the likelihood works on them: those at which the same was measured
together."""

from __future__ import annotations

from dataclasses import dataclass
from functools import cached_property
from typing import Any, NamedTuple

import numpy as np
import numpy.typing as npt

from paryield.arrays import FLOATS, INTS
from paryield.model.design import Observations
from paryield.model.terms import EFFECTS, STATS
from paryield.model.terms.term import Here
from paryield.tables.categories import AREAS

KINDS = (*AREAS, *(stat.name for stat in STATS), "differential", "test")
"""Kinds of measurement in the order in which those of one round are decorrelated."""


class Occasions(NamedTuple):
    """What is known of occasions, R of them in the order of the groups; category J, area K, node H.

    ``columns`` holds what each term weighs, (C, R); ``course`` is one-hot (C, R). ``stock`` and ``held``
    (H, J, R), ``habit`` (J, R), ``steady`` (H, J), ``joined`` (R,) are the doses. ``noise`` (R,) is the
    typical spread of the golfer's rounds, ``gap`` and ``habit_area`` (K, R), ``drift`` and ``newness`` (R,).
    ``value`` and ``error`` hold, for each group, what was measured by kind and its known error, (n,) each.
    """

    columns: dict[str, Any]
    course: Any
    stock: Any
    held: Any
    habit: Any
    steady: Any
    joined: Any
    noise: Any
    gap: Any
    habit_area: Any
    drift: Any
    newness: Any
    value: tuple[dict[str, Any], ...]
    error: tuple[dict[str, Any], ...]


@dataclass(frozen=True)
class Group:
    """Occasions ``first`` to ``last`` at which the same kinds were measured.

    ``documented`` where any area was; ``task`` and ``area`` say which test it was, ``alike`` which kind of
    test, -1 for none.
    """

    first: int
    last: int
    kinds: tuple[str, ...]
    documented: bool
    task: int
    area: str
    alike: int

    @property
    def count(self) -> int:
        """Number of occasions."""
        return self.last - self.first


@dataclass(frozen=True)
class Sheet:
    """All that the likelihood reads of a club.

    ``rows`` (R,) are the places of the occasions among those of the data, ``owner`` (R,) their golfers,
    ``knot`` and ``late`` (R,) the knot of form before each and the weight of the next. Measurements M stand
    by group, then kind, then occasion; ``place`` (M,) is the occasion of each, ``alike`` (M,) its kind of
    test among ``kinds_of_test``, -1 for none, and ``order`` (M,) sorts them by golfer, whose are ``bounds``
    (N + 1,) of them. ``spell`` (R,) counts the spells of a golfer's form at tests, ``spells`` at most.
    ``column`` and ``area`` (P,) say of which column, and of strokes in which area, the weights of effects
    are; ``source`` (D,) is the column of each effect, ``form`` that of all knots.
    ``typical`` is the usual error of each kind that the club has.
    """

    occasions: Occasions
    groups: tuple[Group, ...]
    rows: INTS
    golfers: int
    owner: INTS
    knot: INTS
    late: FLOATS
    place: INTS
    alike: INTS
    kinds_of_test: int
    spell: INTS
    spells: int
    order: INTS
    bounds: INTS
    column: INTS
    area: INTS
    source: INTS
    form: int
    knots: int
    typical: dict[str, float]
    floor: float
    reference_level: float
    bend_hours: float

    @property
    def effects(self) -> int:
        """Number D of effects of a golfer."""
        return len(self.source)

    @property
    def columns(self) -> int:
        """Columns of effects that are strokes; those of golfers' own lasting differences follow."""
        return int(self.column[-1]) + 1

    @cached_property
    def shared(self) -> FLOATS:
        """How much of its column each effect takes at occasions, shape (D, R): all, but for the knots."""
        out = np.ones((self.effects, len(self.rows)))
        near = np.arange(self.knots)[:, None] - self.knot[None, :] - self.late[None, :]
        out[self.source == self.form] = np.clip(1.0 - np.abs(near), 0.0, None)
        return out

    @property
    def latents(self) -> int:
        """What moves a golfer's tests beside his effects: a lasting mismatch by kind, then his spells."""
        return self.kinds_of_test + self.spells

    def of_kind(self, kind: str) -> INTS:
        """Occasions at which a kind was measured, in the order of the groups."""
        spans = [np.arange(one.first, one.last) for one in self.groups if kind in one.kinds]
        return np.concatenate([np.zeros(0, dtype=np.int64), *spans])

    @cached_property
    def padded(self) -> tuple[INTS, FLOATS]:
        """Places of each golfer's measurements, shape (N, most), and 1.0 where there is one."""
        counts = np.diff(self.bounds)
        places = np.arange(int(counts.max(initial=1)))[None, :]
        held = (places < counts[:, None]).astype(float)
        within = np.minimum(self.bounds[:-1, None] + places, max(len(self.order) - 1, 0))
        return self.order[within], held


def sheet_of(data: Observations) -> Sheet:
    """Arrange the observations of a club for the likelihood."""
    groups, rows = _groups(data)
    who = data.owner[rows]
    occasions = Occasions(
        columns={name: column[:, rows] for name, column in data.columns.items()},
        course=data.course[rows].T,
        stock=np.stack([one[rows].T for one in data.doses.stock]),
        held=np.stack([one[rows].T for one in data.doses.held]),
        habit=data.habit[who].T,
        steady=np.stack(data.doses.steady_factor),
        joined=data.joined[who],
        noise=data.noise_guess[who],
        gap=data.gap_guess[who].T,
        habit_area=data.habit_area[who].T,
        drift=data.drift[rows],
        newness=data.newness[rows],
        value=tuple({k: data.value[k][rows[g.first : g.last]] for k in g.kinds} for g in groups),
        error=tuple({k: data.error[k][rows[g.first : g.last]] for k in g.kinds} for g in groups),
    )
    each = [np.arange(group.first, group.last) for group in groups for _ in group.kinds]
    place = np.concatenate([np.zeros(0, dtype=np.int64), *each])
    alike = [
        np.full(group.count, group.alike if kind == "test" else -1)
        for group in groups
        for kind in group.kinds
    ]
    order = np.argsort(who[place], kind="stable").astype(np.int64)
    bounds = np.searchsorted(who[place][order], np.arange(len(data.golfers) + 1)).astype(np.int64)
    return Sheet(
        occasions, groups, rows, len(data.golfers), who, data.knot[rows], data.knot_weight[rows], place,
        np.concatenate([np.zeros(0, dtype=np.int64), *alike]), data.kinds_of_test, data.spell[rows],
        data.spells, order, bounds, *_columns(data), len(data.knots), data.typical, data.floor,
        data.reference_level, data.bend_hours,
    )  # fmt: skip


def seen_table(data: Observations) -> npt.NDArray[np.bool_]:
    """Whether an occasion has a measurement of each kind, shape (R, T)."""
    none = np.zeros(len(data.owner))
    return np.stack([data.seen.get(kind, none) > 0 for kind in KINDS], axis=1)


def _groups(data: Observations) -> tuple[tuple[Group, ...], INTS]:
    seen = seen_table(data)
    task = data.which_test.argmax(axis=1) if data.tests else np.zeros(len(seen), dtype=np.int64)
    task = np.where(seen[:, -1], task, 0)
    told = np.column_stack([task, seen, data.documented > 0]).astype(np.int64)
    patterns, which = np.unique(told, axis=0, return_inverse=True)
    groups, rows, first = [], [np.zeros(0, dtype=np.int64)], 0
    for number, (test, *has, documented) in enumerate(patterns):
        kinds = tuple(kind for kind, measured in zip(KINDS, has, strict=True) if measured)
        if not kinds:
            continue
        mine = np.flatnonzero(which.ravel() == number)
        area = AREAS[int(data.test_area[test].argmax())] if "test" in kinds else ""
        alike = int(data.kind_of_test[test]) if "test" in kinds else -1
        groups.append(Group(first, first + len(mine), kinds, bool(documented), int(test), area, alike))
        rows.append(mine)
        first += len(mine)
    return tuple(groups), np.concatenate(rows).astype(np.int64)


def _columns(data: Observations) -> tuple[INTS, INTS, INTS, int]:
    """Column and area of each weight, column of each effect, and the column of form.

    Effects that are strokes come first; those of a load's own keys follow.
    """
    nothing = np.zeros((len(AREAS), 0))
    example = Here(nothing, nothing, nothing, np.zeros(len(AREAS)), np.zeros(0))
    pairs: list[tuple[int, int]] = []
    source: list[int] = []
    form, first = -1, 0
    weighed = [effect.weighed(example) for effect in EFFECTS]
    own = sum(len(columns) for columns in weighed)
    for effect, columns in zip(EFFECTS, weighed, strict=True):
        for place, areas in enumerate(columns):
            pairs += [(first + place, k) for k, one in enumerate(areas) if one is not None]
        if not columns:
            source += range(own, own + effect.size(data))
            own += effect.size(data)
        elif len(columns) == effect.size(data):
            source += range(first, first + len(columns))
        else:
            form = first
            source += [first] * effect.size(data)
        first += len(columns)
    column, area = np.array(pairs, dtype=np.int64).T
    return np.ascontiguousarray(column), np.ascontiguousarray(area), np.array(source, dtype=np.int64), form
