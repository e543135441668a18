"""Calibration and recovery on this machine: is the engine right, and would a wrong one be caught?

Made-up clubs have a known truth: what practice gives there is held against what a fit says and what a plain
regression would say.
"""

from __future__ import annotations

import importlib.metadata
import platform
import time
from collections.abc import Callable, Iterator, Sequence
from dataclasses import dataclass, field
from typing import Any, TypedDict

import numpy as np
import pandas as pd
from joblib import Parallel, delayed

from paryield.arrays import FLOATS
from paryield.dose.diary import days_since_epoch
from paryield.dose.stock import stock
from paryield.evaluate.calibration import Evenness, replicate, uniformity
from paryield.forecast import golfer_draws, habit_hours
from paryield.model.before_fit import club_diary
from paryield.model.fit import VERSIONED, fit_tables
from paryield.model.spec import ModelSpec
from paryield.plan.worth import return_draws, returns_fit
from paryield.posterior import Posterior
from paryield.scoring import differentials
from paryield.synth import ClubSpec, MadeUpClub, make_club
from paryield.tables import Tables
from paryield.tables.categories import PHANTOM

WEEKS, HOURS = 10, 20.0
GRID = (
    ("steady", 1.0),
    ("steady", 2.0),
    ("weak", 1.0),
    ("thin", 1.0),
    ("tied", 1.0),
    ("enrol", 1.0),
    ("null", 0.0),
)
"""Kinds of club and factor on what practice gives."""
SPEC = ModelSpec(draws=250, tune=120, chains=2)
LITTLE = 0.1
"""Strokes per 20 hours that count as nearly nothing."""


def recover(case: str, effect: float, seed: int, golfers: int = 40, spec: ModelSpec = SPEC) -> pd.DataFrame:
    """Fit one made-up club and hold its answers against the truth.

    Returns
    -------
    DataFrame
        case, effect, seed and the columns of :func:`answers_of`.
    """
    club = make_club(ClubSpec(golfers=golfers, seed=seed, case=case, effect=effect))
    answers = answers_of(club, fit_tables(club.tables, spec, cores=1))
    kind = pd.DataFrame({"case": case, "effect": effect, "seed": seed}, index=answers.index)
    return kind.join(answers)


def answers_of(club: MadeUpClub, fit: Posterior) -> pd.DataFrame:
    """Compare the club's mean gain of 20 hours over 10 weeks with its truth.

    Returns
    -------
    DataFrame
        One row per category: category, truth (the generator run forward twice), ours, low and high (8 in
        10), covered, raw (slope of rounds on stock without any model, strokes per 20 hours), population_low
        (2.5 % of the population gain), and for the club ``stand_out`` (share of golfers told that a category
        stands out) and ``claimed`` (median gain of the best next hour, strokes).
    """
    ours, answers = mean_gains(fit), returns_fit(fit)
    table = answers.to_frame()
    real = table[table["category"] != PHANTOM]
    stands = real.groupby("golfer_id")["verdict"].agg(lambda words: bool((words == "stands out").any()))
    claimed = float(np.median([draws.max(axis=1) for draws in answers.draws.values()]))
    raw = raw_slopes(club.tables)
    rows: list[dict[str, Any]] = []
    for place, name in enumerate(fit.categories):
        if name == PHANTOM:
            continue
        low, high = (float(value) for value in np.quantile(ours[:, place], [0.1, 0.9]))
        truth = club.truth.population_gain(name, HOURS, WEEKS)
        rows.append(
            {"category": name, "truth": truth, "ours": float(ours[:, place].mean()), "low": low, "high": high}
            | {"raw": raw.get(name), "covered": low <= truth <= high}
            | {"stand_out": float(stands.mean()), "claimed": claimed}
            | {"population_low": float(np.quantile(fit.draws("gain")[:, place], 0.025))}
        )
    return pd.DataFrame(rows)


def mean_gains(fit: Posterior) -> FLOATS:
    """Draws of the club's mean gain of 20 hours over 10 weeks, shape (S, J), strokes."""
    total = np.zeros((fit.samples, len(fit.categories)))
    for golfer in fit.golfers:
        total += return_draws(golfer_draws(fit, golfer), habit_hours(fit, golfer), WEEKS, extra=HOURS / WEEKS)
    return total / len(fit.golfers)


def raw_slopes(tables: Tables) -> dict[str, float]:
    """Strokes that rounds fall per 20 hours of stock, from one plain regression a category.

    No golfers, no season: what a reader would get from a scatter plot of scores against practice.
    """
    diary, _ = club_diary(tables)
    rounds = differentials(tables).dropna(subset=["differential"])
    order = {golfer: place for place, golfer in enumerate(diary.golfers) if diary.has_diary[place]}
    rounds = rounds[rounds["golfer_id"].isin(list(order))]
    golfer = np.array([order[str(one)] for one in rounds["golfer_id"]], dtype=int)
    day = days_since_epoch(rounds["played_on"]) - diary.first_day
    found = {}
    for place, category in enumerate(diary.categories):
        at = stock(diary.hours[:, :, place], category.half_life_days)[golfer, day]
        if len(at) > 2 and np.ptp(at) > 0:
            found[category.name] = float(
                -HOURS * np.polyfit(at, rounds["differential"].to_numpy(float), 1)[0]
            )
    return found


@dataclass(frozen=True)
class Size:
    """How much is run: replicates of the calibration and of its planted fault, seeds a kind of club."""

    replicates: int
    faulty: int
    kinds: tuple[tuple[str, float], ...]
    seeds: int
    null_seeds: int
    golfers: int


SMALL = Size(16, 8, (("steady", 1.0),), 1, 3, 20)
FULL = Size(200, 50, tuple(kind for kind in GRID if kind[0] != "null"), 4, 10, 40)
RESPONSIBLE = ("noise_scale",)
"""Quantities that the planted fault (more luck than the truth says) must push out of their bands."""
NULL_QUIET, NULL_LITTLE, NULL_CLAIMED = 0.9, 0.9, 0.15
"""A null club: golfers to whom no area stands out, gains whose interval reaches nearly nothing, most strokes
claimed for the best next hour."""
NULL_ERRORS = 2.0
"""Standard errors, by the spread between the null clubs that were made up, that the mean of what they claim
may lie above that."""
COVERED = (0.8, 2.0)
"""Share of truths that 8-in-10 ranges must hold, and how many binomial errors they may miss it by."""


class Check(TypedDict):
    """One check: its name, whether it passed, and what was found and wanted, in words."""

    check: str
    ok: bool
    found: str
    wanted: str


@dataclass(frozen=True)
class Verification:
    """Checks with their outcome, the tables behind them, and where they were run."""

    checks: list[Check]
    calibration: list[Evenness]
    faulty: list[Evenness]
    recovery: pd.DataFrame = field(repr=False)
    seconds: float = 0.0

    @property
    def ok(self) -> bool:
        """Whether anything was checked, and every check passed."""
        return bool(self.checks) and all(check["ok"] for check in self.checks)

    def to_dict(self) -> dict[str, Any]:
        """Return the record of the ``verify`` command."""
        return {
            "ok": self.ok,
            "seconds": round(self.seconds, 1),
            "checks": self.checks,
            "calibration": [{k: v for k, v in one.items() if k != "ranks"} for one in self.calibration],
            "recovery": self.recovery.to_dict("records"),
            "machine": machine(),
        }


def machine() -> dict[str, Any]:
    """Where this was run."""
    versions = {name: importlib.metadata.version(name) for name in VERSIONED}
    return {"system": platform.platform(), "python": platform.python_version(), "versions": versions}


def verify(
    full: bool = False,
    *,
    workers: int = 2,
    seed: int = 1,
    size: Size | None = None,
    say: Callable[[str], None] | None = None,
) -> Verification:
    """Calibrate the engine on this machine.

    Parameters
    ----------
    full : bool
        200 replicates, every kind of club, 10 null clubs; hours. Otherwise a small run of minutes.
    workers : int
        Fits at a time.
    seed : int
        First seed; one seed gives one outcome.
    size : Size, optional
        Instead of the two sizes.
    say : callable, optional
        Receives one line a fit.
    """
    size = size or (FULL if full else SMALL)
    begun = time.monotonic()
    first = 1000 * seed
    ranks = _run("calibration", [(replicate, (first + n,)) for n in range(size.replicates)], workers, say)
    wrong = _run(
        "planted fault", [(replicate, (first + 500 + n, "luck")) for n in range(size.faulty)], workers, say
    )
    clubs = [(*kind, first + n) for kind in size.kinds for n in range(size.seeds)]
    clubs += [("null", 0.0, first + n) for n in range(size.null_seeds)]
    recovery = _run("known truth", [(recover, (*club, size.golfers)) for club in clubs], workers, say)
    calibration, faulty = uniformity(ranks), uniformity(wrong)
    checks = _calibrated(calibration, faulty)
    if clubs:
        checks += [*_recovered(recovery), *_null(recovery)]
    return Verification(checks, calibration, faulty, recovery, time.monotonic() - begun)


def _run(
    what: str,
    jobs: Sequence[tuple[Callable[..., pd.DataFrame], tuple[Any, ...]]],
    workers: int,
    say: Callable[[str], None] | None,
) -> pd.DataFrame:
    parts: list[pd.DataFrame] = []
    found: Iterator[pd.DataFrame] = Parallel(n_jobs=workers, return_as="generator")(
        delayed(function)(*given) for function, given in jobs
    )
    begun = time.monotonic()
    for part in found:
        parts.append(part)
        if say is not None:
            left = (time.monotonic() - begun) / len(parts) * (len(jobs) - len(parts)) / 60
            say(f"{what}: {len(parts)} of {len(jobs)}, about {left:.0f} min left")
    return pd.concat(parts, ignore_index=True) if parts else pd.DataFrame()


def _check(name: str, ok: bool, found: str, wanted: str) -> Check:
    return {"check": name, "ok": bool(ok), "found": found, "wanted": wanted}


def _calibrated(calibration: list[Evenness], faulty: list[Evenness]) -> list[Check]:
    out = [f"{one['quantity']} {one['element']}".strip() for one in calibration if one["outside"]]
    caught = [one["quantity"] for one in faulty if one["outside"]]
    missed = [name for name in RESPONSIBLE if name not in caught]
    checks = []
    if calibration:
        checks.append(
            _check(
                "ranks of the truth are even",
                not out,
                f"outside their bands: {', '.join(out) or 'none'} of {len(calibration)}",
                "none; by chance one or more in 1 of 20 runs",
            )
        )
    if faulty:
        checks.append(
            _check(
                "a planted fault is caught",
                not missed,
                f"outside their bands: {', '.join(dict.fromkeys(caught)) or 'none'}",
                f"{', '.join(RESPONSIBLE)} outside",
            )
        )
    return checks


def _recovered(recovery: pd.DataFrame) -> list[Check]:
    real = recovery[recovery["case"] != "null"]
    if real.empty:
        return []
    share, error = _covered(real)
    weak = real[real["case"] == "weak"]
    found = [
        _check(
            "8-in-10 ranges hold the true gain",
            abs(share - COVERED[0]) <= COVERED[1] * error,
            f"{share:.2f} of {len(real)} ({real.groupby(['case', 'seed']).ngroups} clubs)",
            f"0.80 give or take {COVERED[1] * error:.2f}",
        )
    ]
    if len(weak):
        ratio, raw = (float(weak[name].mean() / weak["truth"].mean()) for name in ("ours", "raw"))
        found.append(
            _check(
                "where people practise what is weak the adjusted gain is right",
                abs(ratio - 1.0) <= 0.25,
                f"ours {ratio:.2f} of the truth, raw association {raw:.2f}",
                "ours within 0.25 of 1",
            )
        )
    return found


def _covered(real: pd.DataFrame) -> tuple[float, float]:
    """Share of truths covered and its error, categories of a club going together."""
    by_club = real.groupby(["case", "effect", "seed"])["covered"].mean()
    share = float(real["covered"].mean())
    error = max(float(by_club.std(ddof=1)) if len(by_club) > 1 else 0.0, (0.8 * 0.2) ** 0.5 / 2)
    return share, error / len(by_club) ** 0.5


def _null(recovery: pd.DataFrame) -> list[Check]:
    null = recovery[recovery["case"] == "null"]
    if null.empty:
        return []
    clubs = null.groupby("seed")[["stand_out", "claimed"]].first()
    quiet, claimed = 1.0 - float(clubs["stand_out"].mean()), float(clubs["claimed"].mean())
    apart = float(clubs["claimed"].std(ddof=1)) if len(clubs) > 1 else NULL_CLAIMED
    error = apart / len(clubs) ** 0.5
    little = float((null["population_low"] < LITTLE).mean())
    count = f"{len(clubs)} null clubs"
    return [
        _check(
            "null club: nothing stands out",
            quiet >= NULL_QUIET,
            f"{quiet:.2f} of golfers, {count}",
            "0.9 or more",
        ),
        _check(
            "null club: gains reach nearly nothing",
            little >= NULL_LITTLE,
            f"{little:.2f} of intervals",
            "0.9 or more",
        ),
        _check(
            "null club: little is claimed",
            claimed - NULL_ERRORS * error <= NULL_CLAIMED,
            f"{claimed:.2f} strokes for the best next hour, {count}",
            f"at most {NULL_CLAIMED}, give or take {NULL_ERRORS * error:.2f}",
        ),
    ]
