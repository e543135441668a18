"""The record of population values: names, shapes, and what a newcomer sees of it."""

from __future__ import annotations

import re
from pathlib import Path
from typing import Any

import jax.numpy as jnp
import numpy as np
import pytensor.tensor as pt
import pytest
import xarray as xr

from paryield.errors import InternalError
from paryield.model.build import build_model
from paryield.model.design import Observations
from paryield.model.population import PopulationValues, constants_of, contents, of_draws
from paryield.model.spec import ModelSpec, Priors
from paryield.model.terms import ALL, KNOWN, VALUES
from paryield.model.terms.term import Values

SPEC = ModelSpec(most_knots=5, knot_days=50)
TREND = PopulationValues({"trend": np.array([0.2, 0.3])})


def test_every_value_that_a_term_declares_is_known_and_no_other() -> None:
    declared = {value.name for term in ALL for value in term.values} | {
        name for t in ALL for name, _ in t.fixed
    }
    assert declared == set(VALUES) | set(constants_of(Priors()))
    assert declared | {"start_known", "start_new", "gain_common_z", "gain_category_z"} == set(KNOWN)


@pytest.mark.parametrize("wrong", [
    lambda: PopulationValues({"trent": np.float64(0.2)}),
    lambda: TREND["trent"],
    lambda: TREND.get("trent", 0.0),
    lambda: "trent" in TREND,
    lambda: TREND | {"trent": np.zeros(2)},
])  # fmt: skip
def test_a_wrong_name_is_an_error_that_names_the_nearest(wrong: Any) -> None:
    with pytest.raises(InternalError, match="no term declares a population value 'trent'") as found:
        wrong()
    assert found.value.remedy == "nearest is trend"


def test_a_value_that_the_club_does_not_need_is_missing_like_a_key() -> None:
    assert "test_luck" not in TREND
    assert TREND.get("test_luck") is None
    with pytest.raises(KeyError, match="test_luck is not among the population values of this club"):
        TREND["test_luck"]


def test_the_axes_in_front_are_those_of_all() -> None:
    draws = TREND | {"share": np.full((2, 4), 0.25)}
    assert set(draws | {"sd_start": np.float64(0.3)}) == {"trend", "share", "sd_start"}
    for wrong in ({"share": np.full(4, 0.25)}, {"level_mean": np.float64(17.0)}):
        with pytest.raises(InternalError, match=r"same axes in front: trend 1, .* 0"):
            TREND | wrong
    with pytest.raises(InternalError, match="share -1"):
        PopulationValues({"share": np.float64(0.25)})


@pytest.mark.parametrize("array", [np.asarray, jnp.asarray, pt.as_tensor], ids=["numpy", "jax", "tensor"])
def test_any_arrays_travel_in_it(values: Values, array: Any) -> None:
    found = values.each(array)
    assert list(found) == list(values)
    assert all(isinstance(one, type(array(0.0))) for one in found.values())


def test_it_cannot_be_changed(values: Values) -> None:
    with pytest.raises(TypeError):
        values["trend"] = 0.0  # type: ignore[index]
    changed = values | {"trend": np.float64(9.0)}
    assert changed["trend"] == 9.0 != values["trend"]


def test_a_newcomer_sees_names_shapes_and_units(values: Values) -> None:
    every = dict(line.split(maxsplit=1) for line in contents().splitlines())
    assert set(every) == set(KNOWN)
    assert every["share"].split(maxsplit=1) == ["(area)", "share of a score gap"]
    assert every["rate_area"].startswith("(category, area)")
    assert every["sd_start"].split() == ["()", "share"]
    shown = repr(values).splitlines()
    assert [line.split()[0] for line in shown] == list(values)
    assert all(one.unit for one in KNOWN.values())


def test_draws_of_a_fit_become_one_axis() -> None:
    """Chain by chain; variables of the sampler that are no population values are left out."""
    trend, share = np.arange(6.0).reshape(2, 3), np.random.default_rng(1).random((2, 3, 4))
    found = of_draws(
        xr.Dataset(
            {
                "trend": (("chain", "draw"), trend),
                "share": (("chain", "draw", "area"), share),
                "sd_drift_unit": (("chain", "draw"), trend),
            }
        )
    )
    assert list(found) == ["trend", "share"]
    np.testing.assert_array_equal(found["trend"], np.arange(6.0))
    np.testing.assert_array_equal(found["share"], share.reshape(6, 4))


def test_the_reference_model_keeps_every_population_value(drawn: Observations, values: Values) -> None:
    """Whichever sampler drew them: golfers are drawn from all of them."""
    kept = {variable.name for variable in build_model(drawn, SPEC).unobserved_RVs}
    assert set(values) - set(constants_of(SPEC.priors)) <= kept


def test_the_line_of_the_documents_lists_them_all(capsys: pytest.CaptureFixture[str]) -> None:
    text = (Path(__file__).parents[3] / "DEVELOPERS.md").read_text(encoding="utf-8")
    found = re.search(r'`python -c "(from paryield\.model\.population .*?)"`', text)
    assert found is not None
    exec(found[1])
    assert capsys.readouterr().out == contents() + "\n"
