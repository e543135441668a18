"""Round stats: how each moves with strokes lost by area, what it leans on, and its luck in the day's score.

A stat is one row of :data:`STATS`. Slopes are sampled per stroke of the whole score, which the data fix; per
area they follow from the shares.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from math import prod
from typing import Any

from paryield.model.prior import JUDGED, MEMORY, READ, Constant, LogNormal, Normal, Value, constants_in
from paryield.model.terms.term import Effect, Values, declared, independent
from paryield.tables.categories import AREAS

SD_LOG = Constant(
    "stat_sd_log", 0.25, "log", JUDGED, "how far the spread of a stat may lie from sampling error"
)
OWN_LOG = Constant("stat_own_log", 0.5, "log")
OWN = (
    "how far golfers may differ for good from others who lose the same strokes: of two who lose the "
    "same, one "
    "misses greens by less"
)
DAY = "how much of the day's luck in the stat stands in the day's score"
TIMES = "multiple of its sampling error"
GREENS = (
    "greens in regulation as an angle (radians), from weak guesses 10/7.5/5/3/1.5 of 18 at index 0/5/10/18/28"
)
PUTTS = (
    "putts a round 29 on tour, 33 for a 90-golfer (read); 31.3 scratch, 36.4 at 40 (Soley 1977, "
    "read): about 0.2 "
    "a stroke of the whole score, of which putting itself explains 0.16. Free to be larger, a stroke "
    "lost in the "
    "short game could take the place of one in putting: a second mode, 15 log units lower, in which "
    "chains stayed"
)
FAIRWAYS = "fairways as an angle: 55 to 43 % over the index range; weak"
UP_AND_DOWNS = "up-and-downs as an angle: 45 to 12 % over the index range; weak"
PENALTIES = "root of penalty strokes: 0.5 to 3 a round; weak"


@dataclass(frozen=True)
class Stat:
    """One stat of a round.

    Parameters
    ----------
    name : str
    unit : str
    loads : tuple
        Area, sign, and the population values that are multiplied: how it moves with a stroke lost there.
    intercept : Normal
        At no strokes lost.
    slope : LogNormal
        Per stroke of the whole score, or of its last area where ``whole`` is False.
    luck : Constant
        Its spread in a round, in sampling errors.
    extra : tuple of Value
        Further values.
    fixed : tuple
        Constants of the specification by the name under which loads use them.
    leans_on : tuple of str, optional
        The stat whose luck it shares, and the value that says how much.
    day : Normal, optional
        How much of its luck stands in the day's score, by ``day_sign``.
    own : Constant, optional
        How far golfers differ for good.
    """

    name: str
    unit: str
    loads: tuple[tuple[str, float, tuple[str, ...]], ...]
    intercept: Normal
    slope: LogNormal
    luck: Constant
    extra: tuple[Value, ...] = ()
    fixed: tuple[tuple[str, Constant], ...] = ()
    leans_on: tuple[str, str] | None = None
    day: Normal | None = None
    day_sign: float = 1.0
    own: Constant | None = None
    whole: bool = True

    @property
    def values(self) -> tuple[Value, ...]:
        """All population values of the stat."""
        name, unit = self.name, self.unit
        found = [Value(f"{name}_intercept", self.intercept, unit)]
        found.append(Value(f"{name}_sd", LogNormal(self.luck, SD_LOG), TIMES))
        if self.day is not None:
            found.append(Value(f"{name}_day", self.day, f"strokes of a score per {unit}"))
        if self.own is not None:
            found.append(Value(f"{name}_own", LogNormal(self.own, OWN_LOG), unit))
        found += self.extra
        by = self.slope if not self.whole else None
        return (*found, Value(f"{name}_slope", by, f"{unit} per stroke lost in an area"))

    @property
    def areas(self) -> tuple[str, ...]:
        """Areas with whose strokes it moves."""
        return tuple(area for area, _, _ in self.loads)

    def known(self) -> tuple[Constant, ...]:
        """All constants of the stat."""
        laws = (*(value.law for value in self.values), self.slope)
        by_law = (one for law in laws for one in constants_in(law))
        return (*by_law, *(constant for _, constant in self.fixed))

    def declare(self, p: Values, data: Any, priors: Mapping[str, Any]) -> Values:
        """Declare the stat in the current PyMC model where the club keeps it, and return ``p`` with it."""
        if self.name not in data.seen:
            return p
        import pymc as pm

        p = p | declared(self.values, priors)
        if not self.whole:
            return p
        own = f"{self.name}_slope"
        reach = sum(
            p["share"][AREAS.index(area)] * prod(p[name] for name in names if name != own)
            for area, _, names in self.loads
        )
        whole = self.slope.declare(f"{self.name}_per_stroke", priors)
        return p | {own: pm.Deterministic(own, whole / reach)}

    def load(self, p: Values) -> dict[str, Any]:
        """How it moves with strokes lost by area, and with the golfer's own difference."""
        found = {area: sign * prod(over(p, name) for name in names) for area, sign, names in self.loads}
        return {**found, **({own_key(self.name): 1.0} if self.own is not None else {})}


def over(p: Values, name: str) -> Any:
    """A scalar population value (...,) against occasions, shape (..., 1)."""
    value = p[name]
    return value if isinstance(value, float) else value[..., None]


def own_key(stat: str) -> str:
    """Key, in a load, of a golfer's own lasting difference in a stat."""
    return f"own {stat}"


STATS = (
    Stat(
        "greens",
        "radians",
        (
            ("off_the_tee", -1.0, ("greens_slope", "greens_tee")),
            ("approach", -1.0, ("greens_slope",)),
        ),
        Normal(
            Constant("greens_intercept", 0.47, "radians", MEMORY, GREENS),
            Constant("greens_intercept_sd", 0.08, "radians"),
        ),
        LogNormal(
            Constant("greens_per_stroke", 0.0175, "radians per stroke of the score", MEMORY, GREENS),
            Constant("greens_per_stroke_log", 0.35, "log"),
        ),
        Constant("greens_sd", 1.1, TIMES, MEMORY, GREENS),
        fixed=(("greens_tee", Constant("greens_tee_weight", 0.5, "share of what an approach stroke tells")),),
        day=Normal(
            Constant("greens_day", 10.0, "strokes a radian", JUDGED, DAY),
            Constant("greens_day_sd", 6.0, "strokes a radian"),
        ),
        day_sign=-1.0,
        own=Constant("greens_own", 0.025, "radians", JUDGED, OWN),
    ),
    Stat(
        "putts",
        "putts",
        (("short_game", 1.0, ("putts_short_game",)), ("putting", 1.0, ("putts_slope",))),
        Normal(
            Constant("putts_intercept", 32.5, "putts a round", READ, PUTTS),
            Constant("putts_intercept_sd", 2.0, "putts a round"),
        ),
        LogNormal(1.0, Constant("putts_slope_log", 0.2, "log")),
        Constant("putts_sd", 1.9, TIMES, READ, PUTTS),
        extra=(
            Value(
                "putts_per_green",
                Normal(
                    Constant("putts_per_green", 8.0, "putts a radian"),
                    Constant("putts_per_green_sd", 3.2, "putts a radian"),
                ),
                "putts a radian",
            ),
            Value(
                "putts_short_game",
                Normal(
                    Constant("putts_short_game", 0.3, "putts a stroke", READ, PUTTS),
                    Constant("putts_short_game_sd", 0.25, "putts a stroke", READ, PUTTS),
                ),
                "putts a stroke lost in the short game",
            ),
        ),
        leans_on=("greens", "putts_per_green"),
        day=Normal(
            Constant("putts_day", 0.8, "strokes a putt", JUDGED, DAY),
            Constant("putts_day_sd", 0.4, "strokes a putt"),
        ),
        own=Constant("putts_own", 0.25, "putts a round", JUDGED, OWN),
        whole=False,
    ),
    Stat(
        "fairways",
        "radians",
        (("off_the_tee", -1.0, ("fairways_slope",)),),
        Normal(
            Constant("fairways_intercept", 0.77, "radians", MEMORY, FAIRWAYS),
            Constant("fairways_intercept_sd", 0.15, "radians"),
        ),
        LogNormal(
            Constant("fairways_per_stroke", 0.004, "radians per stroke of the score", MEMORY, FAIRWAYS),
            Constant("fairways_per_stroke_log", 0.5, "log"),
        ),
        Constant("fairways_sd", 1.1, TIMES, MEMORY, FAIRWAYS),
    ),
    Stat(
        "up_and_downs",
        "radians",
        (
            ("short_game", -1.0, ("up_and_downs_slope",)),
            ("putting", -1.0, ("up_and_downs_slope", "up_and_downs_putting")),
        ),
        Normal(
            Constant("up_and_downs_intercept", 0.49, "radians", MEMORY, UP_AND_DOWNS),
            Constant("up_and_downs_intercept_sd", 0.12, "radians"),
        ),
        LogNormal(
            Constant("up_and_downs_per_stroke", 0.012, "radians a stroke of the score", MEMORY, UP_AND_DOWNS),
            Constant("up_and_downs_per_stroke_log", 0.4, "log"),
        ),
        Constant("up_and_downs_sd", 1.1, TIMES, MEMORY, UP_AND_DOWNS),
        extra=(
            Value(
                "up_and_downs_on_putts",
                Normal(
                    Constant("up_and_downs_on_putts", -0.02, "radians a putt"),
                    Constant("up_and_downs_on_putts_sd", 0.03, "radians a putt"),
                ),
                "radians a putt",
            ),
        ),
        fixed=(
            (
                "up_and_downs_putting",
                Constant("up_and_downs_putting", 0.7, "share of what a short-game stroke tells"),
            ),
        ),
        leans_on=("putts", "up_and_downs_on_putts"),
        day=Normal(
            Constant("up_and_downs_day", -5.0, "strokes a radian", JUDGED, DAY),
            Constant("up_and_downs_day_sd", 3.0, "strokes a radian"),
        ),
        own=Constant("up_and_downs_own", 0.025, "radians", JUDGED, OWN),
    ),
    Stat(
        "penalties",
        "roots",
        (
            ("off_the_tee", 1.0, ("penalties_slope",)),
            ("approach", 1.0, ("penalties_slope", "penalties_approach")),
        ),
        Normal(
            Constant("penalties_intercept", 1.4, "root strokes", MEMORY, PENALTIES),
            Constant("penalties_intercept_sd", 0.25, "root strokes"),
        ),
        LogNormal(
            Constant("penalties_per_stroke", 0.03, "root strokes a stroke of the score", MEMORY, PENALTIES),
            Constant("penalties_per_stroke_log", 0.5, "log"),
        ),
        Constant("penalties_sd", 1.1, TIMES, MEMORY, PENALTIES),
        extra=(
            Value(
                "penalties_on_greens",
                Normal(
                    Constant("penalties_on_greens", -0.5, "root strokes a radian"),
                    Constant("penalties_on_greens_sd", 1.0, "root strokes a radian"),
                ),
                "root strokes a radian",
            ),
        ),
        fixed=(
            (
                "penalties_approach",
                Constant("penalties_approach", 0.3, "share of what a stroke off the tee tells"),
            ),
        ),
        leans_on=("greens", "penalties_on_greens"),
        day=Normal(
            Constant("penalties_day", 1.5, "strokes a root", JUDGED, DAY),
            Constant("penalties_day_sd", 1.5, "strokes a root"),
        ),
    ),
)
STAT_NAMES = tuple(stat.name for stat in STATS)
BY_NAME = {stat.name: stat for stat in STATS}


class OwnStats(Effect):
    """How a golfer's greens, putts and up-and-downs differ for good from what his strokes say."""

    name = "stats"
    of = tuple(stat.name for stat in STATS if stat.own is not None)
    keys = tuple(own_key(name) for name in of)

    def size(self, data: Any) -> int:
        """One a stat in which golfers may differ."""
        return len(self.of)

    def cover(self, p: Values, data: Any, xp: Any) -> Any:
        """Independent from stat to stat; 1 where the club does not keep one, so that nothing hangs on it."""
        one = 1.0 + 0.0 * p["sd_response"]
        return independent([p.get(f"{name}_own", one) for name in self.of], xp)
