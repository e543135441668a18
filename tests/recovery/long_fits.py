"""Fits of made-up clubs for the long tests, kept until anything that made them changes."""

from __future__ import annotations

import hashlib
import os
import pickle
from pathlib import Path

import numpy as np
import pandas as pd

import paryield
from paryield.evaluate.known import known_tables
from paryield.model.fit import fit_tables
from paryield.model.spec import ModelSpec
from paryield.posterior import Posterior
from paryield.synth import ClubSpec, MadeUpClub, make_club

SOURCE = Path(paryield.__file__).parent
MAKERS = ("model", "dose", "rounds", "scoring", "synth", "tables", "posterior")
KEPT = Path(os.environ.get("PARYIELD_LONG_FITS", Path.home() / ".cache" / "paryield-long-fits"))


def made_by() -> bytes:
    """Digest of the code that makes clubs and fits."""
    found = hashlib.sha256()
    for maker in MAKERS:
        for path in sorted((SOURCE / maker).rglob("*.py")):
            found.update(path.read_bytes())
    return found.digest()


def fitted(
    club: ClubSpec, spec: ModelSpec, as_of: int | None = None, cores: int = 1
) -> tuple[MadeUpClub, Posterior]:
    """Make a club and fit it, chain after chain unless told otherwise, or take the fit that was kept.

    With ``as_of``, in days since 1970-01-01, the fit knows what was known on that day.
    """
    asked = (club, spec) if as_of is None else (club, spec, as_of)
    name = hashlib.sha256(made_by() + repr(asked).encode()).hexdigest()[:24]
    path, made = KEPT / f"{name}.pickle", make_club(club)
    if path.exists():
        fit: Posterior = pickle.loads(path.read_bytes())
        return made, fit
    tables = made.tables
    if as_of is not None:
        tables = known_tables(tables, pd.Timestamp(np.datetime64(as_of, "D")))
    fit = fit_tables(tables, spec, as_of=as_of, cores=cores)
    KEPT.mkdir(parents=True, exist_ok=True)
    path.with_suffix(f".{os.getpid()}").write_bytes(pickle.dumps(fit))
    path.with_suffix(f".{os.getpid()}").replace(path)
    return made, fit
