"""Fit a club and store the run."""

from __future__ import annotations

import time
from collections.abc import Callable, Sequence
from dataclasses import dataclass, replace
from datetime import date, timedelta
from typing import Any

import pandas as pd

from paryield.club import Club
from paryield.club import fingerprint as data_fingerprint
from paryield.errors import InputError
from paryield.model.before_fit import before_fit
from paryield.model.expectations import expected_priors, read_expectations
from paryield.model.fit import fit_tables
from paryield.model.sampling import Drawn
from paryield.model.spec import MOST_STRETCHES, ModelSpec
from paryield.posterior.learnt import combine, read_learnt
from paryield.posterior.store import fingerprint, to_bytes
from paryield.tables import Tables
from paryield.tables.digest import golfer_digests

QUICK = {"chains": 2, "draws": 250, "tune": 120}
"""Size of a rough fit; too small for the health gate as a rule."""
FULL: dict[str, Any] = {"most_stretches": MOST_STRETCHES}
"""A full fit goes on until it is sound."""


@dataclass(frozen=True)
class FitReceipt:
    """What a fit stored: the number of the run, its facts and how long it took in seconds."""

    run: int
    facts: dict[str, Any]
    seconds: float

    @property
    def ok(self) -> bool:
        """Whether the fit passed the health gate."""
        return bool(self.facts["health"]["ok"])

    def to_dict(self) -> dict[str, Any]:
        """Return the record of the ``fit`` command."""
        facts = self.facts
        return {
            "run": self.run,
            "seed": facts["seed"],
            "quick": facts["quick"],
            "draws": facts["draws"],
            "as_of": (date(1970, 1, 1) + timedelta(days=facts["as_of"])).isoformat(),
            "golfers": len(facts["golfers"]),
            "categories": [name for name in facts["categories"] if name != "phantom"],
            "seconds": round(self.seconds, 1),
            "stretches": facts["stretches"],
            "stopped": facts["stopped"],
            "why": facts["why"],
            "health": facts["health"],
        }


def fit(
    club: Club,
    seed: int | None = None,
    quick: bool = False,
    *,
    spec: ModelSpec | None = None,
    expectations: str | None = None,
    learnt: Sequence[str] = (),
    golfers: Sequence[str] | None = None,
    facts: dict[str, Any] | None = None,
    progress: bool = False,
    say: Callable[[str], None] | None = None,
    drawn: Drawn | None = None,
) -> FitReceipt:
    """Fit a club and store the run, whether its health is good or not.

    A full fit goes on until its health is good, or says in ``why`` of the receipt why it could not. Stopped
    by KeyboardInterrupt it stores the draws so far.

    Parameters
    ----------
    club : Club
        An open club that holds data.
    seed : int, optional
        By default that of the specification.
    quick : bool
        A rough fit with few draws; marked in every answer.
    spec : ModelSpec, optional
        Everything else; replaces ``seed`` and ``quick``.
    expectations : str, optional
        File or ready set of a coach's expectations of practice; see
        :func:`paryield.model.expectations.read_expectations`.
    learnt : sequence of str
        Files of what other clubs have learnt of practice, to start from.
    golfers : sequence of str, optional
        Read these golfers alone; the others are answered from the population and their own rows.
    facts : dict, optional
        More facts to store with the run.
    progress : bool
        Draw a progress bar.
    say : callable, optional
        Receives one line a stage.
    drawn : callable, optional
        Receives the draws done and the draws to do; see :func:`paryield.model.fit.fit_tables`.

    Raises
    ------
    InputError
        When the club holds nothing to fit or cannot be written, a file cannot be read, or both expectations
        and what clubs learnt are given.
    """
    if learnt and expectations is not None:
        raise InputError(
            "expectations and what other clubs learnt both say what practice saves",
            where="--learnt",
            remedy="give one of them",
        )
    if spec is None:
        size: dict[str, Any] = {**QUICK, "quick": True} if quick else FULL
        spec = ModelSpec(**size) if seed is None else ModelSpec(seed=seed, **size)
    if learnt:
        spec = replace(spec, learnt=combine([read_learnt(file) for file in learnt]))
    begun = time.monotonic()
    club.check_writable()
    erased = club.erased()
    tables = club.tables()
    kept: dict[str, Any] = {**(facts or {}), "data": data_fingerprint(tables)}
    if golfers is not None:
        tables = of_golfers(tables, golfers)
    if expectations is not None:
        found = read_expectations(expectations, tables.categories)
        spec = replace(spec, priors=expected_priors(found, tables.categories, spec))
        kept["expectations"] = found.name
    kept["before_fit"] = before_fit(tables)
    kept |= {"rows": golfer_digests(tables), "rounds": len(tables.rounds)}
    posterior = fit_tables(tables, spec, progress=progress, say=say, drawn=drawn, facts=kept)
    payload = to_bytes(posterior)
    stored = {**posterior.facts, "payload": fingerprint(payload)}
    number = club.save_run(payload=payload, facts=stored, erased=erased)
    return FitReceipt(number, stored, time.monotonic() - begun)


def of_golfers(tables: Tables, golfers: Sequence[str]) -> Tables:
    """The tables of some golfers alone; rows of the whole club stay."""

    def of(frame: pd.DataFrame) -> pd.DataFrame:
        if "golfer_id" not in frame.columns:
            return frame
        keep = frame["golfer_id"].isin(golfers) | frame["golfer_id"].isna()
        return frame[keep].reset_index(drop=True)

    frames = {name: of(frame) for name, frame in tables.items()}
    return Tables(**frames, categories=tables.categories, settings=tables.settings)
