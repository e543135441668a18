"""Cards and shots of some made-up rounds as written down: they agree with score, stats and truth."""

from __future__ import annotations

from dataclasses import dataclass, field
from typing import Any

import numpy as np
import numpy.typing as npt
import pandas as pd

from paryield.arrays import BOOLS, FLOATS
from paryield.rounds.area_strokes import STANDARD_SLOPE, TOUR_TO_SCRATCH
from paryield.rounds.shots import OTHER_READING_ERROR, READING_ERROR
from paryield.synth.places import Layout, layout, need
from paryield.synth.play import Played, Wish, play
from paryield.synth.scores import Counts
from paryield.synth.skills import AREA_SHARES
from paryield.synth.spec import ClubSpec
from paryield.units import FEET_PER_YARD

AFTER_PUTT_FEET = (2.5, 1.2)
"""Feet left after the first and the second putt, in the middle (made up)."""

KEY = ["golfer_id", "played_on", "round_no"]


def card_rows(holes: Layout, played: Played) -> dict[str, npt.NDArray[Any]]:
    """Return the columns of the holes table but the key of the round."""
    fairway = np.where(holes.par == 3, "none", np.where(played.tee.fairway, "hit", "missed"))
    return {
        "hole": np.arange(1, len(holes.par) + 1),
        "par": holes.par,
        "stroke_index": holes.stroke_index,
        "strokes": played.strokes(holes.par),
        "putts": played.putts,
        "fairway": fairway,
        "penalty_strokes": played.tee.penalties + played.lost_balls,
    }


def shot_rows(holes: Layout, played: Played, rng: np.random.Generator) -> dict[str, npt.NDArray[Any]]:
    """Return the columns of the shots table but the key of the round.

    Distances are read with the errors that strokes by area are told with: none on the tee, 10 % of it on
    the green, 5 % elsewhere.
    """
    places = [_places(holes, played, hole, rng) for hole in range(len(holes.par))]
    count = np.array([len(each) for each in places])
    lie = np.array([shot[0] for each in places for shot in each])
    yards = np.array([shot[1] for each in places for shot in each])
    cost = np.array([1 + shot[2] for each in places for shot in each])
    before = np.cumsum(cost) - cost
    first = np.cumsum(count) - count
    share = np.select([lie == "tee", lie == "green"], [0.0, READING_ERROR["green"]], OTHER_READING_ERROR)
    read = yards * np.exp(share * rng.normal(size=len(yards)))
    green = lie == "green"
    holed = np.full(len(lie), None, dtype=object)
    holed[first + count - 1] = True
    return {
        "hole": np.repeat(np.arange(1, len(count) + 1), count),
        "shot_no": 1 + before - np.repeat(before[first], count),
        "lie": lie,
        "distance": np.round(read * np.where(green, FEET_PER_YARD, 1.0), 1),
        "distance_unit": np.where(green, "ft", "yd"),
        "holed": holed,
    }


def _places(
    holes: Layout, played: Played, hole: int, rng: np.random.Generator
) -> list[tuple[str, float, int]]:
    """Lie, yards and penalty strokes of every shot of a hole, in order."""
    tee = played.tee
    long = holes.par[hole] > 3
    found: list[tuple[str, float, int]] = []
    if long:
        found.append(("tee", float(holes.yards[hole]), int(tee.penalties[hole])))
    count, far = int(played.approaches[hole]), float(tee.yards[hole])
    for turn in range(count):
        first = ("fairway" if tee.fairway[hole] else "rough") if long else "tee"
        lie = first if turn == 0 else "fairway" if rng.random() < 0.5 else "rough"
        here = far - (far - min(90.0, far)) * turn / count
        found.append((lie, here, int(played.lost_balls[hole]) if turn == 0 else 0))
    near = float(played.chip_yards[hole])
    for turn in range(int(played.chips[hole])):
        lie = str(played.chip_lie[hole]) if turn == 0 else "rough"
        found.append((lie, max(near * 0.6**turn, 3.0), 0))
    left = float(played.putt_feet[hole])
    for turn in range(int(played.putts[hole])):
        found.append(("green", left / FEET_PER_YARD, 0))
        left = min(left, AFTER_PUTT_FEET[min(turn, 1)] * float(np.exp(0.5 * rng.normal())))
    return found


@dataclass
class _Columns:
    """Columns of a table gathered round by round: positions of the rounds, rows of each, values."""

    places: list[int] = field(default_factory=list)
    sizes: list[int] = field(default_factory=list)
    values: dict[str, list[npt.NDArray[Any]]] = field(default_factory=dict)

    def add(self, place: int, columns: dict[str, npt.NDArray[Any]]) -> None:
        """Take in the rows of one round."""
        self.places.append(place)
        self.sizes.append(len(columns["hole"]))
        for name, value in columns.items():
            self.values.setdefault(name, []).append(value)


def add_details(
    cards: pd.DataFrame,
    lost: FLOATS,
    drawn: dict[str, Counts],
    spec: ClubSpec,
    rng: np.random.Generator,
) -> tuple[pd.DataFrame, dict[str, pd.DataFrame]]:
    """Play some rounds of the record hole by hole and write them down.

    Parameters
    ----------
    cards : DataFrame
        Of :func:`paryield.synth.scores.rounds_table`.
    lost : array, shape (rounds, areas)
        Strokes lost by area as played, on the scale of the differential, 18 holes.
    drawn : dict of arrays, shape (rounds,)
        Stats drawn for every round.
    spec : ClubSpec
        Says the shares of rounds with holes and with shots.

    Returns
    -------
    cards : DataFrame
        The rounds with holes have their score and ratings given, and the stats of their holes.
    frames : dict of DataFrame
        ``holes`` and ``shots``; empty dict where neither was asked for.
    """
    if not spec.holes_share and not spec.shots_share:
        return cards, {}
    lot = rng.random(len(cards))
    detailed = lot < max(spec.holes_share, spec.shots_share)
    detailed &= (cards["played_on"] <= pd.Timestamp(spec.ends_on)).to_numpy()
    written, stats = _written(cards, lost, drawn, detailed, lot < spec.shots_share, rng)
    keys = cards[KEY].reset_index(drop=True)
    frames = {}
    for name, columns in written.items():
        places = np.repeat(columns.places, columns.sizes)
        joined = {one: np.concatenate(parts) for one, parts in columns.values.items()}
        frames[name] = pd.concat([keys.iloc[places].reset_index(drop=True), pd.DataFrame(joined)], axis=1)
    return _agreeing(cards, stats), frames


def _written(
    cards: pd.DataFrame,
    lost: FLOATS,
    drawn: dict[str, Counts],
    detailed: BOOLS,
    with_shots: BOOLS,
    rng: np.random.Generator,
) -> tuple[dict[str, _Columns], dict[int, dict[str, float]]]:
    """Play the rounds; return the columns of holes and shots, and the stats by position of the round."""
    written: dict[str, _Columns] = {}
    stats: dict[int, dict[str, float]] = {}
    wanted = ["rating_18", "rating", "slope", "pcc", "score", "holes"]
    numbers = [dict(zip(wanted, row, strict=True)) for row in cards[wanted].to_numpy(dtype=float).tolist()]
    for place in np.flatnonzero(detailed).tolist():
        card = numbers[place]
        holes = layout(card["rating_18"]).front(int(card["holes"]))
        wish = _wish({name: int(values[place]) for name, values in drawn.items()})
        played = play(holes, _to_tour(holes, card, lost[place]), int(card["score"]), wish, rng)
        if played is None:
            continue
        written.setdefault("holes", _Columns()).add(place, card_rows(holes, played))
        if with_shots[place]:
            written.setdefault("shots", _Columns()).add(place, shot_rows(holes, played, rng))
        stats[place] = _stats(holes, played)
    return written, stats


def _to_tour(holes: Layout, row: dict[str, float], lost: FLOATS) -> FLOATS:
    """Strokes lost by area against the tour on the holes played; they sum to the score less its need."""
    part = len(holes.par) / 18.0
    tour = float(need("tee", holes.yards).sum())
    gap = row["rating"] + row["pcc"] * part - tour
    raw = row["slope"] / STANDARD_SLOPE * part * lost + gap * TOUR_TO_SCRATCH / TOUR_TO_SCRATCH.sum()
    return np.asarray(raw + (row["score"] - tour - raw.sum()) * AREA_SHARES)


def _wish(drawn: dict[str, int]) -> Wish:
    return Wish(
        greens=drawn["greens_hit"],
        putts=drawn["putts"],
        three_putts=drawn["three_putts"],
        penalties=drawn["penalty_strokes"],
        fairways=drawn["fairways_hit"],
        short_shots=drawn["up_and_downs_tried"],
        sand=drawn["sand_saves_tried"],
    )


def _stats(holes: Layout, played: Played) -> dict[str, float]:
    strokes = played.strokes(holes.par)
    around, sand = played.chips > 0, played.chip_lie == "sand"
    saved = around & (played.chips + played.putts <= 2)
    counts = {
        "greens_hit": (strokes - played.putts <= holes.par - 2).sum(),
        "putts": played.putts.sum(),
        "three_putts": (played.putts >= 3).sum(),
        "fairways_possible": (holes.par > 3).sum(),
        "fairways_hit": played.tee.fairway.sum(),
        "up_and_downs_tried": around.sum(),
        "up_and_downs_made": saved.sum(),
        "sand_saves_tried": sand.sum(),
        "sand_saves_made": (saved & sand).sum(),
        "penalty_strokes": (played.tee.penalties + played.lost_balls).sum(),
    }
    return {name: float(count) for name, count in counts.items()}


def _agreeing(cards: pd.DataFrame, stats: dict[int, dict[str, float]]) -> pd.DataFrame:
    """Give the rounds played by hole their score, ratings and stats."""
    where = cards.index[list(stats)]
    columns = pd.DataFrame(list(stats.values()), index=where)
    given = {"adjusted_gross_score": "score", "course_rating": "rating", "slope_rating": "slope"}
    for column, source in given.items():
        columns[column] = cards.loc[where, source]
    columns["score_differential"] = np.nan
    cards = cards.copy()
    cards.loc[where, columns.columns] = columns
    return cards
