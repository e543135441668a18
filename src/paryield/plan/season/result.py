"""What a season told: the lot's own test, the model and a regression side by side; what comes next."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import date, timedelta

import numpy as np
import numpy.typing as npt
import pandas as pd

from paryield.arrays import FLOATS, INTS
from paryield.forecast import golfer_draws
from paryield.forecast.outlook import practised
from paryield.plan.learning import entropy
from paryield.plan.options import Question, club_question, golfer_question
from paryield.plan.season.emphases import CLEAR, STILL_BEST
from paryield.plan.season.layout import EPOCH, SEASON_DRAWS
from paryield.plan.season.lot import Entrant, pair_numbers, redraw
from paryield.plan.season.lot_test import (
    Contrast,
    LotTest,
    Outcome,
    exposures,
    hours_at_work,
    lot_test,
    plain_contrasts,
)
from paryield.plan.season.reckoning import measured_tests, stock_under
from paryield.plan.season.record import Kept, Running, progress
from paryield.posterior import Posterior
from paryield.posterior.live import thinned
from paryield.scoring import differentials
from paryield.tables import AREAS, Tables
from paryield.tables.schema import HEALTH_KINDS

ORDERS = 999
"""Orders drawn anew for the permutation test."""


@dataclass(frozen=True)
class Gain:
    """A category in the model's answer and in the plain one, strokes per 20 hours.

    Parameters
    ----------
    name : str
    chance_best : float
        In the newest fit.
    low, middle, high : float
        8 in 10, of its gain against the mean of the emphases, in the newest fit.
    plain : Contrast or None
        The same by plain regression on the scores.
    ends : bool
        Whether it can hardly be the best any more, so that its emphasis ends.
    """

    name: str
    chance_best: float
    low: float
    middle: float
    high: float
    plain: Contrast | None
    ends: bool


@dataclass(frozen=True)
class Event:
    """Something of the season's time that is no practice, and how many members it touched."""

    name: str
    starts_on: date
    members: int


@dataclass(frozen=True)
class Result:
    """What a season told.

    Parameters
    ----------
    over : bool
        Whether its last day has passed; before, the answer is one on the way.
    lot : LotTest or None
        None where too few members have data.
    open_now : float
        Bits still open in the newest fit.
    gains : tuple of Gain
    kept : tuple of Kept
    cost : array, shape (S,)
        Strokes a round given up on average over the season, by the newest fit and the hours really done.
    settled : dict of golfer to category
        Members whose own answer is clear: they stop.
    following : dict of golfer to category
        Emphasis of the next block of the others.
    """

    running: Running
    over: bool
    lot: LotTest | None
    open_now: float
    gains: tuple[Gain, ...]
    kept: tuple[Kept, ...]
    cost: FLOATS
    events: tuple[Event, ...]
    settled: dict[str, str]
    following: dict[str, str]

    @property
    def ending(self) -> tuple[str, ...]:
        """Emphases that end."""
        return tuple(one.name for one in self.gains if one.ends)


def season_result(posterior: Posterior, tables: Tables, running: Running, orders: int = ORDERS) -> Result:
    """Answer a season from the newest fit and the records.

    Parameters
    ----------
    posterior : Posterior
        A fit that holds the season's records.
    tables : Tables
    running : Running
    orders : int
        Orders drawn anew.
    """
    today = EPOCH + timedelta(days=posterior.as_of)
    few = thinned(posterior, SEASON_DRAWS)
    outcomes, exposure, drawn = drawn_again(posterior, tables, running, orders)
    tested = lot_test(outcomes, exposure, drawn)
    names = running.lot().names
    plain = plain_contrasts(outcomes[0], exposure, names) if outcomes else ()
    question = club_question(posterior)
    gains = _gains(question, running.emphases, {one.name: one for one in plain})
    settled = _settled(few, running)
    even = np.full((1, len(question.returns)), 1.0 / len(question.returns))
    bits = float(entropy(even, question.returns.argmax(axis=1), len(question.names))[0])
    return Result(
        running=running,
        over=today >= running.ends_on,
        lot=tested,
        open_now=bits,
        gains=gains,
        kept=tuple(progress(tables, running, min(today, running.ends_on))),
        cost=season_cost(few, tables, running),
        events=tuple(events_of(tables, running)),
        settled=settled,
        following=next_block(
            [one.entrant for one in running.members if one.entrant.golfer_id not in settled],
            {one.name: one.chance_best for one in gains if not one.ends},
            running.seed + running.number,
        ),
    )


def drawn_again(
    posterior: Posterior, tables: Tables, running: Running, orders: int
) -> tuple[list[Outcome], FLOATS, FLOATS]:
    """Outcomes by member and block, and the planned exposures as drawn and as they might have been drawn."""
    lot = running.lot()
    by_name = {one.name: one for one in tables.categories}
    spans = [((b.starts_on - EPOCH).days, (b.ends_on - EPOCH).days) for b in running.blocks]
    at_work = hours_at_work(spans, [by_name[name].half_life_days for name in lot.names])
    shifts = np.zeros((len(running.members), len(lot.names) + 1, len(lot.names)))
    for place, one in enumerate(running.members):
        for number, emphasis in enumerate(lot.names):
            if emphasis in one.emphasis_hours:
                hours = one.emphasis_hours[emphasis]
                shifts[place, number] = [
                    hours.get(name, 0.0) - one.before.get(name, 0.0) for name in lot.names
                ]
    entrants = [one.entrant for one in running.members]
    again = redraw(entrants, lot, orders, running.seed)
    outcomes = [score_outcome(posterior, tables, running), *test_outcomes(tables, running, lot.names)]
    return outcomes, exposures(lot.orders, shifts, at_work), exposures(again, shifts, at_work)


def score_outcome(posterior: Posterior, tables: Tables, running: Running) -> Outcome:
    """Mean score differential by member and block, with the fit's spread of a round."""
    frame = differentials(tables)
    frame = frame[frame["differential"].notna()]
    mean, count = _cells(
        running,
        frame["golfer_id"].to_numpy(dtype=str),
        frame["played_on"].to_numpy().astype("datetime64[D]").astype(np.int64),
        frame["differential"].to_numpy(float),
    )
    spread = np.array(
        [
            float(posterior.draws("noise_total")[:, posterior.golfer_number(one.entrant.golfer_id)].mean())
            if one.entrant.golfer_id in posterior.golfers
            else float(posterior.draws("noise_total").mean())
            for one in running.members
        ]
    )
    error = np.where(count > 0, spread[:, None] / np.sqrt(np.maximum(count, 1)), np.inf)
    form = float(np.sqrt(np.mean(posterior.draws("sd_wander") ** 2)))
    return Outcome("scores", mean, error, np.ones(len(running.lot().names)), form)


def test_outcomes(tables: Tables, running: Running, names: Sequence[str]) -> list[Outcome]:
    """Mean of each kind of test by member and block, oriented so that less is better."""
    found = measured_tests(tables)
    by_name = {one.name: one for one in tables.categories}
    out = []
    for (test, area), own in found.groupby(["test", "area"], sort=True):
        mean, count = _cells(
            running,
            own["golfer_id"].to_numpy(dtype=str),
            own["on"].to_numpy().astype("datetime64[D]").astype(np.int64),
            own["worse"].to_numpy(float),
        )
        sampling = float(np.sqrt(np.mean(own["error_sd"].to_numpy(float) ** 2)))
        error = np.where(count > 0, max(sampling, 1e-6) / np.sqrt(np.maximum(count, 1)), np.inf)
        loads = np.array([by_name[name].serves.get(str(area), 0.0) for name in names])
        if loads.any() and str(area) in AREAS:
            out.append(Outcome(str(test), mean, error, loads))
    return out


def _cells(running: Running, golfer: npt.NDArray[np.str_], day: INTS, value: FLOATS) -> tuple[FLOATS, FLOATS]:
    """Mean and count by member and block, shape (N, B) each."""
    shape = (len(running.members), len(running.blocks))
    total, count = np.zeros(shape), np.zeros(shape)
    for place, one in enumerate(running.members):
        own = golfer == one.entrant.golfer_id
        for number, block in enumerate(running.blocks):
            first, last = (block.starts_on - EPOCH).days, (block.ends_on - EPOCH).days
            inside = own & (day >= first) & (day <= last)
            total[place, number], count[place, number] = value[inside].sum(), inside.sum()
    return total / np.maximum(count, 1), count


def _gains(question: Question, emphases: Sequence[str], plain: dict[str, Contrast]) -> tuple[Gain, ...]:
    at = [question.names.index(name) for name in emphases]
    about = question.returns[:, at] - question.returns[:, at].mean(axis=1, keepdims=True)
    found = []
    for place, name in enumerate(emphases):
        low, middle, high = np.quantile(about[:, place], [0.1, 0.5, 0.9])
        chance = float(question.chance_best[at[place]])
        found.append(
            Gain(name, chance, float(low), float(middle), float(high), plain.get(name), chance < STILL_BEST)
        )
    return tuple(sorted(found, key=lambda one: -one.chance_best))


def _settled(few: Posterior, running: Running) -> dict[str, str]:
    found = {}
    for one in running.members:
        golfer = one.entrant.golfer_id
        if golfer in few.golfers:
            own = golfer_question(few, golfer)
            best = int(own.chance_best.argmax())
            if own.chance_best[best] >= CLEAR:
                found[golfer] = own.names[best]
    return found


def season_cost(few: Posterior, tables: Tables, running: Running) -> FLOATS:
    """Strokes a round given up so far against going on as before, by the newest fit, shape (S,).

    By the hours planned and the share of them that was done, as if it began from today's hours at work; the
    mean over members and the weeks lived.
    """
    today = EPOCH + timedelta(days=few.as_of)
    shares = {one.golfer_id: one.share for one in progress(tables, running, min(today, running.ends_on))}
    names, costs = list(few.categories), []
    for one in running.members:
        golfer_id = one.entrant.golfer_id
        if golfer_id not in few.golfers:
            continue
        share = shares[golfer_id]
        rows, before = [], _vector(one.before, names)
        for block, emphasis in zip(running.blocks, one.order, strict=True):
            lived = sum(start <= today for start in block.weeks)
            rows += [_vector(one.hours(emphasis), names)] * lived
        if not rows:
            continue
        own = golfer_draws(few, golfer_id)
        days: FLOATS = (np.arange(len(rows), dtype=float) + 0.5) * 7.0
        done = before + (np.array(rows) - before) * (0.0 if share is None else min(share, 1.0))
        lost = practised(own, stock_under(own, done, days), days)
        still = practised(own, stock_under(own, np.tile(before, (len(rows), 1)), days), days)
        costs.append((lost - still).sum(axis=2).mean(axis=1))
    return np.mean(costs, axis=0) if costs else np.zeros(few.samples)


def _vector(hours: object, names: Sequence[str]) -> FLOATS:
    return np.array([float(hours.get(name, 0.0)) for name in names])  # type: ignore[attr-defined]


def events_of(tables: Tables, running: Running) -> list[Event]:
    """Programmes and events of the season by month, with the members they touched; health is left out."""
    members = {one.entrant.golfer_id for one in running.members}
    first, last = pd.Timestamp(running.starts_on), pd.Timestamp(running.ends_on)
    events = tables.events[~tables.events["kind"].isin(HEALTH_KINDS)]
    found = []
    for name, frame, column in (
        ("programme", tables.programmes, "started_on"),
        ("event", events, "happened_on"),
    ):
        inside = frame[frame["golfer_id"].isin(members) & (frame[column] >= first) & (frame[column] <= last)]
        label = inside["programme" if name == "programme" else "kind"]
        month = inside[column].dt.strftime("%Y-%m-01")
        for (text, first_day), own in inside.groupby([label, month]):
            begun = date.fromisoformat(str(first_day))
            found.append(Event(str(text), begun, own["golfer_id"].nunique()))
    return sorted(found, key=lambda one: (one.starts_on, one.name))


def next_block(entrants: Sequence[Entrant], chance_best: dict[str, float], seed: int) -> dict[str, str]:
    """Emphasis of each member in the block to come: hours go by the chance to be best, who has which by lot.

    So many members have an emphasis as its chance says (largest remainders); neighbours in level and hours
    get different ones where there are two. One emphasis alone needs no block.

    Parameters
    ----------
    entrants : sequence of Entrant
    chance_best : dict of emphasis to chance
        Of those still open.
    seed : int
    """
    total = sum(chance_best.values())
    if len(chance_best) < 2 or not entrants or total <= 0:
        return {}
    names = sorted(chance_best, key=lambda name: -chance_best[name])
    wanted = np.array([chance_best[name] / total * len(entrants) for name in names])
    count = np.floor(wanted).astype(int)
    rest = len(entrants) - int(count.sum())
    count[np.argsort(count - wanted, kind="stable")[:rest]] += 1
    rng = np.random.default_rng([seed, 33])
    # Spread each emphasis evenly over the row of members, so that neighbours differ.
    slots = sorted(
        ((number + rng.random()) / many, name)
        for name, many in zip(names, count, strict=True)
        for number in range(many)
    )
    pairs = pair_numbers([Entrant(one.golfer_id, one.index, one.hours, tuple(names)) for one in entrants])
    order = np.lexsort((rng.random(len(entrants)), pairs))
    return {entrants[place].golfer_id: name for place, (_, name) in zip(order, slots, strict=True)}
