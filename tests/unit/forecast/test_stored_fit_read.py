"""A stored fit is read as the library reads it, only sooner."""

from __future__ import annotations

import io
from pathlib import Path

import numpy as np
import xarray as xr

from paryield.club import Club
from paryield.posterior.store import read_tree


def test_a_stored_fit_is_what_xarray_reads(fitted_club: Path) -> None:
    with Club.open(fitted_club) as club:
        payload = club.latest_run()[2]
    with xr.open_datatree(io.BytesIO(payload), engine="h5netcdf") as stored:
        expected = stored.load().copy()
    found = read_tree(payload)
    assert found.groups == expected.groups
    assert found.identical(expected)
    for group in found.groups:
        here, there = found[group].to_dataset(), expected[group].to_dataset()
        assert {name: one.dtype for name, one in here.variables.items()} == {
            name: one.dtype for name, one in there.variables.items()
        }


def test_text_truth_values_and_dimensions_without_values_come_back() -> None:
    own = xr.Dataset(
        {
            "names": ("place", np.array(["Gr\u00f6na", "b"], dtype=object)),
            "yes": ("place", np.array([True, False])),
        },
        coords={"label": ("place", [3, 4])},
        attrs={"note": "one", "several": ["a", "b"]},
    )
    tree = xr.DataTree.from_dict({"/": xr.Dataset(attrs={"what": "all"}), "/own": own, "/none": xr.Dataset()})
    payload = bytes(tree.to_netcdf(engine="h5netcdf") or b"")
    with xr.open_datatree(io.BytesIO(payload), engine="h5netcdf") as stored:
        expected = stored.load().copy()
    found = read_tree(payload)
    assert found.identical(expected)
    assert found["own"]["yes"].dtype == bool
