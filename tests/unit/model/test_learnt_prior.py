"""What clubs learnt as a prior: random effects by brute force, a mixture in both forms, conflict, files."""

from __future__ import annotations

import json
from dataclasses import replace
from pathlib import Path

import numpy as np
import numpy.typing as npt
import pymc as pm
import pytest
import xarray as xr
from scipy import stats

from paryield.cli import main
from paryield.club import Club
from paryield.commands.documents import DOCUMENTS
from paryield.errors import InputError
from paryield.model.density import Density
from paryield.model.design import Observations
from paryield.model.learnt_prior import conflict, declare_learnt, log_ratio, practice_values, value_names
from paryield.model.sampling import check_density
from paryield.model.spec import ModelSpec, stored_spec
from paryield.posterior.current import stored_fit
from paryield.posterior.learnt import (
    SPREADS,
    Learnt,
    LearntPrior,
    combine,
    learnt_of,
    read_learnt,
)

FLOATS = npt.NDArray[np.float64]
NAMES = ("common", "chipping", "irons", "half_life:chipping", "half_life:irons")


def club(where: FLOATS, error: float, golfers: int = 60) -> Learnt:
    """A club whose records measured the values with one independent error each."""
    cover = np.eye(len(where)) / (1.0 + 1.0 / error**2)
    return Learnt(NAMES[: len(where)], cover @ (where / error**2), cover, golfers, 2000.0)


def test_the_prior_is_divided_out_of_what_a_club_says() -> None:
    precision, pointed = club(np.array([0.5, -1.0]), 0.4).likelihood()
    np.testing.assert_allclose(precision, np.eye(2) / 0.4**2, atol=1e-9)
    np.testing.assert_allclose(np.linalg.solve(precision, pointed), [0.5, -1.0], atol=1e-9)


def test_random_effects_are_those_of_brute_force() -> None:
    """One value, three clubs: population mean, spread and a new club summed over a fine grid."""
    said, error = np.array([0.9, 1.2, -0.1]), 0.3
    found = combine([club(np.array([one]), error) for one in said])
    theta = np.linspace(-5.0, 5.0, 2001)
    total, first, second = 0.0, 0.0, 0.0
    for share in SPREADS:
        law = np.sqrt(share * (1.0 - share))
        chance = stats.norm.pdf(theta, 0.0, np.sqrt(1.0 - share)) * law
        for one in said:
            chance = chance * stats.norm.pdf(one, theta, np.sqrt(error**2 + share))
        total += chance.sum()
        first += (chance * theta).sum()
        second += (chance * (theta**2 + share)).sum()
    mean = first / total
    assert found.mean[0] == pytest.approx(mean, abs=1e-3)
    assert found.cover[0][0] == pytest.approx(second / total - mean**2, rel=1e-3)
    assert (found.clubs, found.golfers) == (3, 180)


def test_clubs_that_agree_say_more_than_clubs_that_do_not_and_one_says_little() -> None:
    rng = np.random.default_rng(2)
    family = np.array([0.5, 1.0, -1.0, 0.0, 0.0])
    alike = combine([club(family + 0.2 * rng.normal(size=5), 0.2) for _ in range(10)])
    apart = combine([club(family + 1.0 * rng.normal(size=5), 0.2) for _ in range(10)])
    alone = combine([club(family, 0.2)])
    assert alike.spread[1] < 0.4 < apart.spread[1]
    assert alike.cover[1][1] < apart.cover[1][1] < 1.0
    assert alike.cover[1][1] < alone.cover[1][1] < 1.0
    np.testing.assert_allclose(alike.mean, family, atol=0.4)


def test_a_category_that_nobody_learnt_stays_as_usual() -> None:
    prior = combine([club(np.array([0.5, 1.0, -1.0]), 0.2)])
    mean, cover = prior.of(("common", "bunker", "irons"))
    assert mean[1] == 0.0
    np.testing.assert_array_equal(cover[1], [0.0, 1.0, 0.0])
    assert mean[2] == prior.mean[2]


def prior_of_family() -> LearntPrior:
    rng = np.random.default_rng(4)
    family = np.array([0.3, 1.2, -1.2, 0.0, 0.0])
    return combine([club(family + 0.2 * rng.normal(size=5), 0.2) for _ in range(10)])


def test_the_model_has_the_mixture_as_its_prior() -> None:
    """Second route: the densities of SciPy; and the same term on tensors and on arrays."""
    prior = prior_of_family()
    spec = ModelSpec(learnt=prior)
    with pm.Model(coords={"category": ["chipping", "irons", "phantom"]}) as model:
        pm.Normal("gain_common_z", 0.0, 1.0)
        pm.Normal("gain_category_z", 0.0, 1.0, dims="category")
        pm.Normal("log_half_life", 0.0, spec.priors.half_life_log_sd, dims="category")
        declare_learnt(["chipping", "irons", "phantom"], spec)
    point = {
        "gain_common_z": np.array(0.4),
        "gain_category_z": np.array([0.8, -0.5, 2.0]),
        "log_half_life": spec.priors.half_life_log_sd * np.array([0.3, -0.2, 1.0]),
    }
    values = np.array([0.4, 0.8, -0.5, 0.3, -0.2])
    learnt = stats.multivariate_normal(prior.mean, prior.cover).pdf(values)
    usual = stats.multivariate_normal(np.zeros(5)).pdf(values)
    mixed = np.log(0.2 * usual + 0.8 * learnt)
    phantom = stats.norm.logpdf(2.0) + stats.norm.logpdf(1.0) - 3.0 * np.log(spec.priors.half_life_log_sd)
    assert float(model.compile_logp()(point)) == pytest.approx(mixed + phantom, rel=1e-9)
    names = value_names(["chipping", "irons", "phantom"])
    assert log_ratio(values, names, prior, np) == pytest.approx(mixed - np.log(usual), rel=1e-9)


def test_a_club_that_is_different_says_so_and_one_alike_does_not() -> None:
    prior, names, rng = prior_of_family(), list(NAMES), np.random.default_rng(6)
    alike = np.array(prior.mean) + 0.2 * rng.normal(size=(400, 5))
    other = np.array([0.3, -1.5, 1.5, 0.0, 0.0]) + 0.2 * rng.normal(size=(400, 5))
    same, different = (conflict(draws, names, prior) for draws in (alike, other))
    assert same["usual_after"] < 0.1
    assert not same["conflict"]
    assert different["usual_after"] > 0.9
    assert different["conflict"]


def test_draws_are_put_on_the_scale_of_the_prior() -> None:
    rng, spec = np.random.default_rng(8), ModelSpec()
    z, own, life = rng.normal(size=(2, 500)), rng.normal(size=(2, 500, 3)), rng.normal(size=(2, 500, 3))
    draws = xr.Dataset(
        {
            "gain_common_z": (("chain", "draw"), z),
            "gain_category_z": (("chain", "draw", "category"), own),
            "log_half_life": (("chain", "draw", "category"), spec.priors.half_life_log_sd * life),
        }
    )
    found = practice_values(draws, ["chipping", "irons", "phantom"], spec)["practice_values"]
    assert tuple(found["names"]) == NAMES
    np.testing.assert_allclose(np.diag(found["covariance"]), 1.0, atol=0.15)
    assert found["mean"][2] == pytest.approx(own[:, :, 1].mean())


def test_a_file_comes_back_and_other_files_are_refused(tmp_path: Path) -> None:
    path, whole = tmp_path / "club.json", club(np.array([0.5, -1.0, 0.25, 0.0, 1.0]), 0.4)
    path.write_text(whole.to_text(), encoding="utf-8")
    found = read_learnt(path)
    np.testing.assert_allclose(found.mean, whole.mean, atol=1e-3)
    np.testing.assert_allclose(found.cover, whole.cover, atol=1e-4)
    content = json.loads(whole.to_text())
    assert set(content) == {"kind", "format", "golfers", "hours", "names", "mean", "covariance"}
    for changed in (
        {"kind": "something"},
        {"golfers": 3},
        {"mean": [1.0]},
        {"covariance": (-np.eye(5)).tolist()},
        {"mean": [None] * 5},
    ):
        path.write_text(json.dumps(content | changed), encoding="utf-8")
        with pytest.raises(InputError, match=r"no file of what a club has learnt|its covariance is none"):
            read_learnt(path)
    with pytest.raises(InputError, match="cannot be read"):
        read_learnt(tmp_path / "nowhere.json")


def test_a_club_of_six_passes_nothing_on_and_a_larger_one_only_population_values(fitted_club: Path) -> None:
    with Club.open(fitted_club) as opened:
        _, posterior = stored_fit(opened)
    with pytest.raises(InputError, match="what 6 golfers have shown is not passed on"):
        learnt_of(posterior, 100.0, "club.db")
    many = [f"X{number:02d}" for number in range(24)]
    tree = posterior.tree.copy()
    constants = tree["constant_data"].to_dataset()
    four = xr.concat([constants] * 4, dim="golfer", data_vars="minimal", join="outer")
    tree["constant_data"] = xr.DataTree(four.assign_coords(golfer=many))
    larger = replace(posterior, tree=tree)
    text = learnt_of(larger, 100.0, "club.db").to_text()
    assert not [golfer for golfer in [*many, *posterior.golfers] if golfer in text]
    values = posterior.facts["practice_values"]
    np.testing.assert_allclose(json.loads(text)["mean"], values["mean"], atol=1e-3)


def test_what_a_fit_started_from_is_not_passed_on_twice(fitted_club: Path) -> None:
    """A club of flat records that started from the learnt prior has nothing of its own to say."""
    with Club.open(fitted_club) as opened:
        _, posterior = stored_fit(opened)
    prior = prior_of_family()
    tree = posterior.tree.copy()
    constants = tree["constant_data"].to_dataset()
    four = xr.concat([constants] * 4, dim="golfer", data_vars="minimal", join="outer")
    tree["constant_data"] = xr.DataTree(four.assign_coords(golfer=[f"X{n:02d}" for n in range(24)]))
    facts = {
        **posterior.facts,
        "spec": ModelSpec(learnt=prior).to_dict(),
        "practice_values": {"names": NAMES, "mean": prior.mean, "covariance": prior.cover},
    }
    found = learnt_of(replace(posterior, tree=tree, facts=facts), 100.0, "club.db")
    np.testing.assert_allclose(found.mean, 0.0, atol=1e-6)
    np.testing.assert_allclose(found.cover, np.eye(5), atol=1e-6)
    assert stored_spec(json.loads(json.dumps(facts["spec"]))).learnt == prior


def test_the_compiled_density_has_the_term_and_its_gradient(drawn: Observations) -> None:
    names = [category.name for category in drawn.categories]
    where = np.linspace(-1.0, 1.0, len(value_names(names)))
    learnt = Learnt(tuple(value_names(names)), where / 2.0, 0.5 * np.eye(len(where)), 60, 2000.0)
    spec = replace(ModelSpec(most_knots=5, knot_days=50), learnt=combine([learnt]))
    usual, found = Density(drawn, replace(spec, learnt=None)), Density(drawn, spec)
    assert found.variables == usual.variables
    here = found.start + 0.1 * np.random.default_rng(2).normal(size=found.size)
    parts = dict(
        zip(
            found.variables,
            np.split(here, np.cumsum([int(np.prod(shape, dtype=int)) for shape in found.shapes])[:-1]),
            strict=True,
        )
    )
    real = np.array([name != "phantom" for name in names])
    values = np.concatenate(
        [
            parts["gain_common_z"],
            parts["gain_category_z"][real],
            parts["log_half_life"][real] / spec.priors.half_life_log_sd,
        ]
    )
    assert spec.learnt is not None
    expected = log_ratio(values, value_names(names), spec.learnt, np)
    assert found(here)[0] - usual(here)[0] == pytest.approx(expected, abs=1e-8)
    check_density(found)


def test_the_command_writes_what_its_document_says(
    fitted_club: Path, tmp_path: Path, monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]
) -> None:
    path = tmp_path / "club.json"
    words = ["learnt", str(fitted_club), "--out", str(path), "--anyway"]
    assert main(words) == 2
    assert "what 6 golfers have shown is not passed on" in capsys.readouterr().err
    monkeypatch.setattr("paryield.posterior.learnt.FEWEST_GOLFERS", 5)
    assert main([*words, "--json"]) == 0
    record = json.loads(capsys.readouterr().out)
    assert list(record) == DOCUMENTS["learnt"].fields()
    assert read_learnt(path).names == tuple(record["names"])
    assert main(["fit", str(fitted_club), "--learnt", str(path), "--expectations", "usual"]) == 2
    assert "give one of them" in capsys.readouterr().err
