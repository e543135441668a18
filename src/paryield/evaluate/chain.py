"""Every club of a folder: fitted again where rows are new, learning from one another, on several workers.

A club's run is stored in its own file as soon as it is done, and what it learnt stands in a file of its own,
so that a chain that was stopped goes on where it was. A club of many golfers is fitted on a stratified sample
of them; the population so learnt answers for the others from their own rows.
"""

from __future__ import annotations

import json
import time
from collections.abc import Callable, Sequence
from dataclasses import dataclass, replace
from pathlib import Path
from typing import Any

import numpy as np
from threadpoolctl import threadpool_limits  # type: ignore[import-untyped]

from paryield import private
from paryield.club import Club, fingerprint
from paryield.errors import InputError, ParyieldError
from paryield.evaluate.parallel import ordered, workers_of
from paryield.forecast.learnt import practice_hours
from paryield.model.command import FULL, QUICK, fit
from paryield.model.spec import ModelSpec
from paryield.plan.options import club_question
from paryield.posterior import Posterior, from_bytes
from paryield.posterior.learnt import Learnt, combine, learnt_of, read_learnt
from paryield.programme.answer import ALL, programme_fit
from paryield.tables import Tables

SAMPLE = 60
"""Golfers of a club that its population is learnt from; of more, a stratified sample. [judgement]"""
LEARNT = "learnt"
FITTED, TOGETHER, SAME, FAILED = "fitted", "fitted with the others", "no new rows", "failed"


@dataclass(frozen=True)
class ClubTask:
    """One club to look at; ``others`` is what the other clubs had learnt before any task began."""

    path: Path
    out: Path
    others: tuple[Learnt, ...]
    quick: bool
    together: bool
    sample: int = SAMPLE


@dataclass(frozen=True)
class CategoryGain:
    """A category of one club: chance to be the best, and its gain, strokes per 20 hours."""

    category: str
    chance_best: float
    q10: float
    q50: float
    q90: float


@dataclass(frozen=True)
class ProgrammeLine:
    """A programme of one club as its report shows it; blank where it is hidden."""

    programme: str
    golfers: int | None
    verdict: str
    q10: float | None
    q50: float | None
    q90: float | None


@dataclass(frozen=True)
class ClubDone:
    """What became of one club.

    Parameters
    ----------
    name : str
        Name of the file without its ending.
    did : str
        ``fitted``, ``fitted with the others``, ``no new rows`` or ``failed``.
    reason : str
        Why it failed.
    golfers, sampled : int
        Golfers on record, and those that the fit read.
    run : int or None
    sound : bool
    seconds : float
    learnt_from : int
        Other clubs that the fit started from.
    conflict : bool
        Whether its records disagree with what they learnt.
    """

    name: str
    did: str
    reason: str = ""
    golfers: int = 0
    sampled: int = 0
    run: int | None = None
    sound: bool = False
    seconds: float = 0.0
    learnt_from: int = 0
    conflict: bool = False
    gains: tuple[CategoryGain, ...] = ()
    programmes: tuple[ProgrammeLine, ...] = ()


@dataclass(frozen=True)
class Chain:
    """What became of all clubs, and how fast.

    Parameters
    ----------
    clubs : tuple of ClubDone
    seconds : float
        From the first club to the last.
    workers : int
        Processes at a time; 0 for a cluster, whose size is its own affair.
    """

    clubs: tuple[ClubDone, ...]
    seconds: float
    workers: int

    @property
    def fitted(self) -> int:
        """Golfers of clubs that were fitted."""
        return sum(one.golfers for one in self.clubs if one.did in (FITTED, TOGETHER))

    @property
    def rate(self) -> float | None:
        """Golfers a second and core; None on a cluster or where nothing was fitted."""
        if not (self.workers and self.fitted and self.seconds > 0):
            return None
        return self.fitted / self.seconds / self.workers


def club_files(folder: Path) -> list[Path]:
    """Club files of a folder by name.

    Raises
    ------
    InputError
        When there is no such folder, or no club in it.
    """
    if not folder.is_dir():
        raise InputError("there is no such folder", where=str(folder), remedy="name a folder of club files")
    found = sorted(folder.glob("*.db"))
    if not found:
        raise InputError("it holds no club file", where=str(folder), remedy="put the clubs' .db files there")
    return found


def chain(
    folder: str | Path,
    out: str | Path,
    *,
    workers: int | str = 1,
    quick: bool = False,
    sample: int = SAMPLE,
    progress: Callable[[ClubDone], None] | None = None,
) -> Chain:
    """Bring every club of a folder up to date, learning together.

    Clubs with new rows are fitted first, each from what the others had learnt before. Then those that
    started from fewer than half of the others are fitted once more from all of them.

    Parameters
    ----------
    folder : str or Path
        Holds the club files (``.db``).
    out : str or Path
        Folder for what each club has learnt.
    workers : int or str
        As :func:`paryield.evaluate.parallel.run_tasks`. Workers of a cluster must see the same files.
    quick : bool
        Rough fits, marked so in every answer.
    sample : int
        Most golfers that a club's population is learnt from.
    progress : callable, optional
        Receives each club as it is done.
    """
    files, place = club_files(Path(folder).expanduser()), Path(out).expanduser()
    private.make_folder(place / LEARNT)
    kind, begun = workers_of(workers), time.monotonic()
    done: dict[str, ClubDone] = {}
    for together in (False, True):
        tasks = [
            ClubTask(file, place, others_of(file, files, place), quick, together, sample) for file in files
        ]
        tasks = [task for task in tasks if not together or _may_gain(done[task.path.stem], task)]
        with ordered(bring_up, tasks, kind) as found:
            for one in found:
                done[one.name] = one
                if progress is not None:
                    progress(one)
    clubs = tuple(done[file.stem] for file in files)
    return Chain(clubs, time.monotonic() - begun, kind if isinstance(kind, int) else 0)


def rough_spec() -> ModelSpec:
    """The specification of a rough fit."""
    size: dict[str, Any] = {**QUICK, "quick": True}
    return ModelSpec(**size)


def others_of(file: Path, files: Sequence[Path], out: Path) -> tuple[Learnt, ...]:
    """What the other clubs of the folder have learnt so far.

    Raises
    ------
    InputError
        When a file of it is damaged.
    """
    named = [out / LEARNT / f"{one.stem}.json" for one in files if one != file]
    return tuple(read_learnt(one) for one in named if one.exists())


def _may_gain(done: ClubDone, task: ClubTask) -> bool:
    return done.did != FAILED and 2 * done.learnt_from < len(task.others)


def bring_up(task: ClubTask) -> ClubDone:
    """Bring one club up to date; a club that cannot be fitted is reported and does not stop the others."""
    begun = time.monotonic()
    try:
        # Sums over several threads differ in their last digits: a club has the same draws on any worker.
        with threadpool_limits(limits=1), Club.open(task.path) as club:
            done = _brought_up(club, task)
    except ParyieldError as error:
        return ClubDone(task.path.stem, FAILED, error.line(), seconds=time.monotonic() - begun)
    return replace(done, seconds=time.monotonic() - begun)


def _brought_up(club: Club, task: ClubTask) -> ClubDone:
    tables = club.tables()
    number, facts = _last_full_run(club, task.quick)
    did = SAME
    if task.together or facts is None or facts.get("data") != fingerprint(tables):
        spec = rough_spec() if task.quick else ModelSpec(**FULL)
        if task.others:
            spec = replace(spec, learnt=combine(task.others))
        golfers = sampled(tables, task.sample)
        receipt = fit(club, spec=spec, golfers=golfers)
        number, facts, did = receipt.run, receipt.facts, TOGETHER if task.together else FITTED
    assert number is not None
    posterior = from_bytes(club.run(number)[2], facts.get("payload"))
    _pass_on(posterior, tables, task)
    prior = facts["spec"].get("learnt") or {}
    return ClubDone(
        task.path.stem,
        did,
        golfers=len(tables.golfers),
        sampled=len(posterior.golfers),
        run=number,
        sound=bool(facts["health"]["ok"]),
        learnt_from=int(prior.get("clubs", 0)),
        conflict=bool((facts.get("learnt") or {}).get("conflict")),
        gains=gains_of(posterior),
        programmes=programmes_of(posterior, tables),
    )


def _last_full_run(club: Club, quick: bool) -> tuple[int | None, dict[str, Any] | None]:
    """The newest run that may stand: a rough one only where rough fits were asked for."""
    runs = club.runs()
    for run, stale, text in zip(runs["run_no"][::-1], runs["stale"][::-1], runs["facts"][::-1], strict=True):
        facts = json.loads(text)
        if not stale and (quick or not facts["quick"]):
            return int(run), facts
    return None, None


def _pass_on(posterior: Posterior, tables: Tables, task: ClubTask) -> None:
    """Write what the club has learnt, where it is large enough and its fit may speak."""
    file = task.out / LEARNT / f"{task.path.stem}.json"
    if not (posterior.facts["health"]["ok"] or task.quick):
        return
    try:
        private.write(file, learnt_of(posterior, practice_hours(tables), str(task.path)).to_text())
    except InputError:  # too small, or nothing to say: the others do without
        file.unlink(missing_ok=True)


def sampled(tables: Tables, most: int) -> list[str] | None:
    """Golfers to fit, a stratified sample of those with rounds; None for all.

    They are put in order of whether they keep a diary, then of their mean score, and every so many of the
    row is taken, so that each stratum is there as in the club.
    """
    rounds = tables.rounds.groupby("golfer_id").size()
    if len(rounds) <= most:
        return None
    diary = set(tables.practice["golfer_id"])
    score = tables.rounds["score_differential"].where(
        tables.rounds["score_differential"].notna(),
        tables.rounds["adjusted_gross_score"].astype(float) - 72.0,
    )
    mean = score.groupby(tables.rounds["golfer_id"]).mean()
    order = sorted(rounds.index, key=lambda golfer: (golfer in diary, float(mean[golfer]), str(golfer)))
    places = np.floor((np.arange(most) + 0.5) * len(order) / most).astype(int)
    return [str(order[place]) for place in places]


def gains_of(posterior: Posterior) -> tuple[CategoryGain, ...]:
    """Gain of every real category and its chance to be the best."""
    if not posterior.categories:
        return ()
    question = club_question(posterior)
    found = []
    for place, name in enumerate(question.names):
        low, middle, high = np.quantile(question.returns[:, place], [0.1, 0.5, 0.9])
        chance = float(question.chance_best[place])
        found.append(CategoryGain(str(name), chance, float(low), float(middle), float(high)))
    return tuple(sorted(found, key=lambda one: -one.chance_best))


def programmes_of(posterior: Posterior, tables: Tables) -> tuple[ProgrammeLine, ...]:
    """Outcomes of the club's programmes, small ones hidden as in its own report."""
    try:
        records = programme_fit(tables, posterior).records
    except InputError:
        return ()
    found = []
    for one in records:
        if one["programme"] != ALL and not one["hidden"]:
            effect = one["effect"]
            low, middle, high = (effect[name] for name in ("q10", "q50", "q90"))
            found.append(ProgrammeLine(one["programme"], one["golfers"], one["verdict"], low, middle, high))
    return tuple(found)
