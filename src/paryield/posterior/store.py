"""A fit as bytes (NetCDF) and back, with a fingerprint that loading checks."""

from __future__ import annotations

import hashlib
import json
import warnings
from typing import Any

import numpy as np
import xarray as xr

from paryield.errors import InputError
from paryield.posterior.contents import REST, Posterior
from paryield.posterior.netcdf import read_tree

FORMAT = 4
"""Raised when the declared contents change; an older fit asks for a new fit."""


def to_bytes(posterior: Posterior) -> bytes:
    """Write a fit as one NetCDF file in memory; draws are kept in single precision."""
    tree = posterior.tree.copy()
    for group in ("posterior", *REST):
        if group in tree:
            draws = tree[group].to_dataset()
            small = {name: draws[name].astype(np.float32) for name in draws.data_vars}
            tree[group] = xr.DataTree(draws.assign(small))
    tree.attrs["paryield"] = json.dumps({"format": FORMAT, **posterior.facts}, sort_keys=True)
    with warnings.catch_warnings():
        warnings.simplefilter("ignore")
        payload = tree.to_netcdf(engine="h5netcdf")
    return bytes(payload) if payload is not None else b""


def fingerprint(payload: bytes) -> str:
    """SHA-256 of a stored fit."""
    return hashlib.sha256(payload).hexdigest()


def from_bytes(payload: bytes, expected: str | None = None) -> Posterior:
    """Read a stored fit.

    Parameters
    ----------
    payload : bytes
    expected : str, optional
        Fingerprint that the bytes must have.

    Raises
    ------
    InputError
        When the bytes were changed or come from another version of the contents.
    """
    if expected is not None and fingerprint(payload) != expected:
        raise InputError("the stored fit does not match its fingerprint", remedy="run paryield fit again")
    try:
        tree = read_tree(payload)
        facts: dict[str, Any] = json.loads(tree.attrs["paryield"])
        found = facts.pop("format")
    except Exception as error:  # a damaged file can fail anywhere in the reader, in any way
        raise InputError("the stored fit is damaged", remedy="run paryield fit again") from error
    if found != FORMAT:
        raise InputError(
            "the stored fit is of an older version of paryield and does not hold what answers now need",
            remedy="run paryield fit again",
        )
    return Posterior(tree, facts)
