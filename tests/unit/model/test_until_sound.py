"""A fit ends sound: it goes on, starts anew, gives up with a reason, and keeps what it has when stopped."""

from __future__ import annotations

import _thread
import itertools
import signal
from typing import Any

import numpy as np
import pytest
import xarray as xr

from paryield.model.health import check_health
from paryield.model.sampling import Gathered, Sampler, Stretch, draw_until_sound, draws_missing, whole_part
from paryield.model.scaled import Scaled, rescaled
from paryield.model.spec import ModelSpec

CHAINS, DRAWS = 4, 300
COVER = np.array([[2.0, 0.9], [0.9, 0.5]])


def part(rng: np.random.Generator, keep: float = 0.0, apart: float = 0.0, diverged: int = 0) -> Stretch:
    """Draws of one value, each keeping a share of the last; two of the chains lie apart from the others."""
    value = rng.normal(size=(CHAINS, DRAWS))
    for at in range(1, DRAWS):
        value[:, at] = keep * value[:, at - 1] + np.sqrt(1 - keep**2) * value[:, at]
    value[2:] += apart
    diverging = np.zeros((CHAINS, DRAWS), dtype=bool)
    diverging[0, :diverged] = True
    dims, coords = ("chain", "draw"), {"chain": np.arange(CHAINS), "draw": np.arange(DRAWS)}
    return Stretch(
        xr.Dataset({"trend": (dims, value)}, coords=coords),
        xr.Dataset({"diverging": (dims, diverging)}, coords=coords),
        value[..., None],
    )


class Script:
    """Stands in for the sampler: hands out stretches in turn, and notes what was asked of it."""

    def __init__(self, *parts: Stretch | type[BaseException]) -> None:
        self.parts, self.asked, self.accept = list(parts), [], 0.8
        self.given: list[int] = []

    def _next(self, word: str, points: Any = None) -> Stretch:
        self.asked.append(word)
        self.given.append(0 if points is None else points.shape[0] * points.shape[1])
        found = self.parts.pop(0)
        if isinstance(found, Stretch):
            return found
        raise found

    def first(self) -> Stretch:
        return self._next("first")

    def more(self, points: Any, draws: int) -> Stretch:
        assert DRAWS / 3 <= draws <= DRAWS
        return self._next("more", points)

    def anew(self, points: Any) -> Stretch:
        return self._next("anew", points)


def judge(sampled: Stretch, last: bool) -> tuple[dict[str, Any], xr.Dataset | None]:
    health = check_health(sampled.draws, int(sampled.statistics["diverging"].sum()))
    return health, sampled.draws if health["ok"] or last else None


def run(script: Script, most: int = 8) -> tuple[Any, list[str]]:
    said: list[str] = []
    return draw_until_sound(script, judge, most, said.append), said  # type: ignore[arg-type]


@pytest.fixture
def rng() -> np.random.Generator:
    return np.random.default_rng(23)


def test_enough_draws_end_at_once(rng):
    ended, said = run(Script(part(rng)))
    assert (ended.stretches, ended.why, ended.stopped, said) == (1, "", False, [])


def test_too_few_draws_are_added_to():
    rng = np.random.default_rng(22)
    script = Script(*(part(rng, keep=0.65) for _ in range(5)))
    ended, said = run(script)
    assert script.asked == ["first", *["more"] * (ended.stretches - 1)]
    assert 2 <= ended.stretches <= 4
    assert ended.health["ok"]
    assert said[0].startswith("stretch 2: too few effective draws of trend (")
    assert said[0].endswith("of 400): drawing more")


def test_chains_that_disagree_start_anew_and_what_they_drew_is_dropped(rng):
    script = Script(part(rng, apart=1.0), part(rng))
    ended, said = run(script)
    assert script.asked == ["first", "anew"]
    assert ended.kept.sizes["draw"] == DRAWS
    assert "chains disagree about trend (R-hat 1." in said[0]
    assert said[0].endswith("the chains start anew from elsewhere")


def test_diverging_draws_ask_for_smaller_steps(rng):
    script = Script(part(rng, diverged=9), part(rng))
    ended, said = run(script)
    assert ended.health["ok"]
    assert script.accept == 0.95
    assert said == ["stretch 2: 9 draws diverged: starting anew with smaller steps"]


def test_after_the_limit_it_says_why(rng):
    script = Script(*(part(rng, apart=2.0) for _ in range(3)))
    ended, _ = run(script, most=3)
    assert not ended.health["ok"]
    assert ended.why.startswith("given up after 3 stretches: chains disagree about trend (R-hat 1.")


def test_stopped_it_keeps_whole_stretches(rng):
    """Stopped in the second stretch it keeps the first; stopped in the first, what that has."""
    ended, _ = run(Script(part(rng, keep=0.8), KeyboardInterrupt))
    assert (ended.stretches, ended.stopped, ended.kept.sizes["draw"]) == (2, True, DRAWS)
    assert ended.why.startswith("stopped: too few effective draws of trend")
    begun = part(rng, keep=0.9)
    cut = Stretch(begun.draws.isel(draw=slice(0, 50)), begun.statistics.isel(draw=slice(0, 50)), None, True)
    ended, _ = run(Script(cut))
    assert (ended.stretches, ended.stopped, ended.kept.sizes["draw"]) == (1, True, 50)
    with pytest.raises(KeyboardInterrupt):
        run(Script(KeyboardInterrupt))


def test_many_stretches_are_thinned_evenly(rng):
    gathered = Gathered(())
    whole = [part(rng) for _ in range(8)]
    sizes = []
    for one in whole:
        gathered = gathered.with_more(one)
        sizes.append(gathered.joined().draws.sizes["draw"])
    assert sizes == [300, 600, 450, 600, 375, 450, 525, 600]
    kept = gathered.joined()
    np.testing.assert_array_equal(kept.draws["trend"][:, :75], whole[0].draws["trend"][:, ::4])
    np.testing.assert_array_equal(kept.draws["trend"][:, -75:], whole[7].draws["trend"][:, ::4])
    np.testing.assert_array_equal(kept.points[..., 0], kept.draws["trend"])


def test_a_stopped_sampler_is_cut_to_chains_of_one_length():
    def left(*lengths: int) -> tuple[int, int]:
        logp = np.full((len(lengths), 100), np.nan)
        for chain, length in enumerate(lengths):
            logp[chain, :length] = chain
        given = xr.Dataset({"logp": (("chain", "draw"), logp)}, coords={"chain": range(len(lengths))})
        draws = whole_part(given)
        assert np.isfinite(draws["logp"]).all()
        return draws.sizes["chain"], draws.sizes["draw"]

    assert left(100, 100, 3, 0) == (2, 100)
    assert left(100, 60, 50, 40) == (4, 40)
    assert left(30, 0, 0, 0) == (1, 30)
    with pytest.raises(KeyboardInterrupt):
        left(5, 4, 0, 0)


class Normal:
    """A normal density in two dimensions; ``calls`` evaluations later somebody presses Ctrl-C."""

    def __init__(self, calls: int = -1) -> None:
        self.precision, self.size, self.calls = np.linalg.inv(COVER), 2, calls
        self.count = itertools.count()

    def workspace(self) -> list[Any]:
        return []

    def __call__(self, x: Any, _memory: Any = None) -> tuple[float, Any]:
        if next(self.count) == self.calls:
            _thread.interrupt_main()
        slope = -self.precision @ x
        return float(0.5 * x @ slope), slope

    def values(self, x: Any) -> dict[str, Any]:
        return {"trend": np.asarray(x[..., 0]), "share": np.asarray(x)}


def sampler(calls: int = -1, **size: int) -> Sampler:
    spec = ModelSpec(**{"draws": 200, "tune": 60, "chains": 2, "seed": 5, **size})  # type: ignore[arg-type]
    made = Sampler(None, spec, cores=2)  # type: ignore[arg-type]
    made._target = Scaled(Normal(calls), np.zeros(2), np.eye(2))  # type: ignore[arg-type]
    return made


def test_one_seed_gives_the_same_draws_in_every_stretch():
    found = []
    for _ in range(2):
        made = sampler()
        one = made.first()
        two = made.more(one.points)
        three = made.anew(two.points)
        found.append([part.draws["share"].values for part in (one, two, three)])
    for first, again in zip(*found, strict=True):
        np.testing.assert_array_equal(first, again)
    assert not np.array_equal(found[0][0], found[0][1])


def test_later_stretches_are_sampled_on_the_scale_of_the_draws_and_from_the_same_density():
    made = sampler(draws=1500)
    points = made.first().points
    assert points is not None
    later = made.more(points)
    assert made._target is not None
    cover = np.cov(points.reshape(-1, 2).T)
    np.testing.assert_allclose(made._target.factor @ made._target.factor.T, cover, rtol=1e-10)
    drawn = later.draws["share"].values.reshape(-1, 2)
    np.testing.assert_allclose(later.points.reshape(-1, 2), drawn, atol=1e-9)  # type: ignore[union-attr]
    np.testing.assert_allclose(np.cov(drawn.T), COVER, rtol=0.2)
    np.testing.assert_allclose(drawn.mean(axis=0), [0.0, 0.0], atol=0.15)
    assert rescaled(made._target, points[0, :10]) is made._target


@pytest.fixture
def interrupts():
    """Let an interrupt be heard also where the tests run in the background, which turns it off."""
    before = signal.signal(signal.SIGINT, signal.default_int_handler)
    yield
    signal.signal(signal.SIGINT, before)


@pytest.mark.usefixtures("interrupts")
def test_ctrl_c_keeps_the_draws_so_far():
    found = sampler(calls=4000, draws=20_000).first()
    assert found.stopped
    assert found.points is not None
    assert found.draws["share"].shape == (*found.points.shape[:2], 2)
    assert 20 <= found.draws.sizes["chain"] * found.draws.sizes["draw"] < 40_000
    assert np.isfinite(found.draws["share"]).all()


def line(**changed: float) -> dict[str, Any]:
    return {"rhat": 1.0, "rhat_most": 1.01, "ess_bulk": 400.0, "ess_tail": 500.0} | changed


def test_so_many_draws_are_added_as_are_missing():
    assert draws_missing([line(ess_bulk=350.0), line(ess_tail=310.0)], 300, 300) == 152  # 7/6 of 400/310
    assert draws_missing([line(ess_bulk=399.0)], 300, 300) == 100
    assert draws_missing([line(ess_bulk=20.0)], 300, 300) == 300
    assert draws_missing([line(ess_bulk=399.0), line(rhat=1.02)], 300, 300) == 300


def test_a_later_stretch_is_as_long_as_asked_and_a_new_start_as_long_as_the_first():
    made = sampler()
    points = made.first().points
    assert made.more(points, 80).draws.sizes["draw"] == 80
    assert made.more(points).draws.sizes["draw"] == made.anew(points).draws.sizes["draw"] == 200
