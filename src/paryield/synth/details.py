"""Cards and shots of some made-up rounds, in agreement with their score, their stats and their truth."""

from __future__ import annotations

from dataclasses import dataclass, field
from typing import Any

import numpy as np
import numpy.typing as npt
import pandas as pd

from paryield.arrays import BOOLS, FLOATS
from paryield.rounds.area_strokes import STANDARD_SLOPE, TOUR_TO_SCRATCH
from paryield.synth.ability import AREA_SHARES
from paryield.synth.layout import Layout, layout
from paryield.synth.notes import card_rows, shot_rows
from paryield.synth.places import need
from paryield.synth.play import Played, play
from paryield.synth.spec import ClubSpec
from paryield.synth.stats import Counts
from paryield.synth.tee_shots import Wish

KEY = ["golfer_id", "played_on", "round_no"]


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
