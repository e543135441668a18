"""Draw the population values, stretch after stretch, until the health gate is passed or the limit is reached.

A stretch is a run of every chain with a warm-up of its own. The first starts far from the mode, on the scale
of the curvature there. Each later one is sampled on the scale of the draws so far. Where the chains agree it
starts from draws taken at random out of all of them, and its draws are added. Where they disagree they start
anew, far from each other, and the draws so far count as warm-up.
"""

from __future__ import annotations

import itertools
from collections.abc import Callable
from dataclasses import dataclass
from typing import Any

import numpy as np
import pymc as pm
import xarray as xr

from paryield.arrays import FLOATS
from paryield.errors import InternalError
from paryield.model.build import build_model
from paryield.model.density import Density
from paryield.model.design import Observations
from paryield.model.health import ESS_LEAST
from paryield.model.scaled import Scaled, compiled_for_nutpie, rescaled, scaled
from paryield.model.spec import ModelSpec

Drawn = Callable[[int, int], None]
"""Receives the draws done and the draws to do, warm-up included, now and then while a fit samples."""
PROGRESS_MS = 500
"""Milliseconds between two reports of the sampler."""
FEWEST = 20
"""Draws in all chains below which nothing is kept of a stretch that was stopped."""
KEPT_STRETCHES = 2
"""Stretches worth of draws that are kept; of more, every second draw, then every fourth."""
SPARE = 7.0 / 6.0
"""So many times the draws that are missing are drawn. [judgement]"""
ACCEPT, ACCEPT_CAREFUL = 0.8, 0.95
"""Acceptance that steps are sized for, and where draws diverged."""
POINT = "unconstrained_draw"


@dataclass(frozen=True)
class Stretch:
    """Draws and statistics of one stretch, dims chain and draw first, and whether it was stopped.

    ``points`` are the unconstrained values, shape (chain, draw, size); None from the plain sampler.
    """

    draws: xr.Dataset
    statistics: xr.Dataset
    points: FLOATS | None
    stopped: bool = False


class Sampler:
    """Draws the population of one club.

    Parameters
    ----------
    data : Observations
    spec : ModelSpec
    cores : int
    progress : bool
        Draw a progress bar.
    drawn : callable, optional
        Hears how far it is, in the sampler's own count.
    """

    def __init__(
        self,
        data: Observations,
        spec: ModelSpec,
        *,
        cores: int = 2,
        progress: bool = False,
        drawn: Drawn | None = None,
    ) -> None:
        self.data, self.spec, self.progress, self.drawn = data, spec, progress, drawn
        self.cores = min(cores, spec.chains)
        self.size = {"draws": spec.draws, "tune": spec.tune, "chains": spec.chains}
        self.accept = ACCEPT
        self._number = 0
        self._target: Scaled | None = None

    def first(self) -> Stretch:
        """Draw the first stretch."""
        return self._next(None)

    def more(self, points: FLOATS | None, draws: int | None = None) -> Stretch:
        """Draw on from ``points``, shape (chain, draw, size), on their scale: ``draws`` a chain, else as many
        as the first time. The warm-up is half as long: only the size of the steps is open."""
        self._learn(points)
        return self._next(points, draws)

    def anew(self, points: FLOATS | None) -> Stretch:
        """Draw from other starts, far from each other on the scale of ``points``."""
        self._learn(points)
        return self._next(None)

    def _learn(self, points: FLOATS | None) -> None:
        if points is not None and self._target is not None:
            self._target = rescaled(self._target, flat(points))

    def _next(self, starts: FLOATS | None, draws: int | None = None) -> Stretch:
        self._number += 1
        seed = self.spec.seed
        if self._number > 1:
            seed = int(np.random.SeedSequence([seed, self._number]).generate_state(1)[0])
        if self.spec.sampler == "pymc":
            return self._plain(seed)
        if self._target is None:
            density = Density(self.data, self.spec)
            check_density(density)
            self._target = scaled(density)
        size = self.size
        if starts is not None:
            size = size | {"tune": max(self.spec.tune // 2, 1), "draws": draws or self.spec.draws}
        return self._fast(self._target, starts, seed, size)

    def _plain(self, seed: int) -> Stretch:
        with build_model(self.data, self.spec):
            tree = pm.sample(
                **self.size,
                cores=self.cores,
                random_seed=seed,
                progressbar=self.progress,
                callback=each_draw(self.drawn, self.spec.chains * (self.spec.tune + self.spec.draws)),
                nuts_sampler="pymc",
                compute_convergence_checks=False,
                compile_kwargs={"mode": "NUMBA"},
            )
        return Stretch(tree["posterior"].to_dataset(), tree["sample_stats"].to_dataset(), None)

    def _fast(self, target: Scaled, starts: FLOATS | None, seed: int, size: dict[str, int]) -> Stretch:
        import nutpie

        running = nutpie.sample(
            compiled_for_nutpie(target, None if starts is None else target.scaled(flat(starts))),
            **size,
            cores=self.cores,
            seed=seed,
            progress_bar=self.progress,
            progress_callback=all_chains(self.drawn),
            progress_rate=PROGRESS_MS,
            maxdepth=7,
            target_accept=self.accept,
            store_unconstrained=True,
            blocking=False,
        )
        stopped = False
        try:
            tree = running.wait()
        except KeyboardInterrupt:
            tree, stopped = running.abort(), True
        except BaseException:
            running.cancel()
            raise
        statistics = tree["sample_stats"].to_dataset()
        if stopped:
            statistics = whole_part(statistics)
        points = target.unscaled(statistics[POINT].values)
        return Stretch(values_at(target, points), statistics.drop_vars(POINT), points, stopped)


def flat(points: FLOATS) -> FLOATS:
    """Draws of all chains one after another, shape (sample, size)."""
    return points.reshape(-1, points.shape[-1])


def values_at(target: Scaled, points: FLOATS) -> xr.Dataset:
    """Population values at unconstrained values, shape (chain, draw, size): dims chain and draw first."""
    values = {
        name: (("chain", "draw", *(f"{name}_dim_{axis}" for axis in range(value.ndim - 2))), value)
        for name, value in target.density.values(points).items()
    }
    chains, draws = points.shape[:2]
    return xr.Dataset(values, coords={"chain": np.arange(chains), "draw": np.arange(draws)})


def whole_part(statistics: xr.Dataset) -> xr.Dataset:
    """Cut what a stopped sampler left to chains of one length, as many draws as there can be.

    Raises
    ------
    KeyboardInterrupt
        When there are too few.
    """
    length = np.isfinite(statistics["logp"].values).sum(axis=1) if statistics["logp"].size else np.zeros(1)
    order = np.argsort(-length, kind="stable")
    total = np.arange(1, len(length) + 1) * length[order]
    chains = int(np.argmax(total)) + 1
    if total[chains - 1] < FEWEST:
        raise KeyboardInterrupt
    cut = {"chain": np.sort(order[:chains]), "draw": slice(0, int(length[order[chains - 1]]))}
    return statistics.isel(cut).assign_coords(chain=np.arange(chains))


@dataclass(frozen=True)
class Gathered:
    """Draws of several stretches side by side; ``step`` says that every step-th draw is kept."""

    parts: tuple[Stretch, ...]
    step: int = 1

    def with_more(self, part: Stretch) -> Gathered:
        """Return these and one more stretch, thinned where they are many."""
        parts, step = (*self.parts, thinned(part, self.step)), self.step
        while len(parts) > KEPT_STRETCHES * step:
            parts, step = tuple(thinned(one, 2) for one in parts), 2 * step
        return Gathered(parts, step)

    def joined(self) -> Stretch:
        """Return the draws of every chain one after another."""
        if len(self.parts) == 1:
            return self.parts[0]
        points = [part.points for part in self.parts if part.points is not None]
        return Stretch(
            _chained([part.draws for part in self.parts]),
            _chained([part.statistics for part in self.parts]),
            np.concatenate(points, axis=1) if points else None,
        )


def _chained(parts: list[xr.Dataset]) -> xr.Dataset:
    joined = xr.concat(parts, "draw", data_vars="all", coords="minimal", compat="override", join="override")
    return joined.assign_coords(draw=np.arange(joined.sizes["draw"])).transpose("chain", "draw", ...)


def thinned(part: Stretch, step: int) -> Stretch:
    """Return every ``step``-th draw of a stretch."""
    if step == 1:
        return part
    every = {"draw": slice(None, None, step)}
    points = None if part.points is None else part.points[:, ::step]
    return Stretch(part.draws.isel(every), part.statistics.isel(every), points, part.stopped)


def all_chains(drawn: Drawn | None) -> Callable[[list[Any]], None] | None:
    """Return what nutpie calls with the progress of each chain; it tells the sums over the chains."""
    if drawn is None:
        return None
    return lambda chains: drawn(
        sum(chain.finished_draws for chain in chains), sum(chain.total_draws for chain in chains)
    )


def each_draw(drawn: Drawn | None, total: int) -> Callable[..., None] | None:
    """Return what the plain sampler calls after each draw of any chain."""
    if drawn is None:
        return None
    done = itertools.count(1)
    return lambda **_: drawn(next(done), total)


def check_density(density: Density) -> None:
    """Check that a compiled density moves along its own gradient.

    Raises
    ------
    InternalError
        When a small step does not change the density by what the gradient says: a compiler has spoilt it.
    """
    here = density.start
    direction = np.random.default_rng(0).normal(size=here.size)
    step = 1e-5
    slope = float(density(here)[1] @ direction)
    found = (density(here + step * direction)[0] - density(here - step * direction)[0]) / (2 * step)
    if not abs(found - slope) <= 1e-3 * (1.0 + abs(slope)):
        raise InternalError(
            f"the compiled model is wrong: its density changes by {found:.6g}, its gradient says {slope:.6g}",
            remedy="use the plain sampler, and report the versions of pymc, numba and jax",
        )


Judge = Callable[[Stretch, bool], tuple[dict[str, Any], xr.Dataset | None]]
"""Takes the draws so far and whether these are the last; returns their health, and what is to be stored (None
where they are neither sound nor the last)."""


@dataclass(frozen=True)
class Ended:
    """What a fit ended with.

    ``stretches`` were drawn, those that count as warm-up included; ``why`` says in one line why the outcome
    is not sound, empty when it is.
    """

    sampled: Stretch
    health: dict[str, Any]
    kept: xr.Dataset
    stretches: int
    stopped: bool
    why: str


def draw_until_sound(sampler: Sampler, judge: Judge, most: int, tell: Callable[[str], None]) -> Ended:
    """Draw stretch after stretch, at most ``most`` of them.

    Stopped by KeyboardInterrupt, it ends with the draws so far.

    Raises
    ------
    KeyboardInterrupt
        When it was stopped before there were draws to keep, or a second time.
    """
    part = sampler.first()
    gathered, number, stopped = Gathered(()).with_more(part), 1, part.stopped
    while True:
        last = stopped or number >= most
        sampled = gathered.joined()
        try:
            health, kept = judge(sampled, last)
        except KeyboardInterrupt:
            if last:
                raise
            stopped = True
            continue
        if kept is not None and (health["ok"] or last):
            why = "" if health["ok"] else _why(health, number, stopped)
            return Ended(sampled, health, kept, number, stopped, why)
        number += 1
        try:
            part, added = _draw_on(sampler, sampled, gathered, health, number, tell)
        except KeyboardInterrupt:
            stopped = True
            continue
        stopped = part.stopped
        if not stopped:
            gathered = added


def _draw_on(
    sampler: Sampler,
    sampled: Stretch,
    gathered: Gathered,
    health: dict[str, Any],
    number: int,
    tell: Callable[[str], None],
) -> tuple[Stretch, Gathered]:
    """Draw the next stretch as the health of the draws so far asks for; say so."""
    # R-hat above its limit may be chance where there are few effective draws: then more of them tell.
    apart = [line for line in health["lines"] if line["rhat"] > line["rhat_by_chance"]]
    if not health["divergences_ok"]:
        tell(f"stretch {number}: {health['divergences']} draws diverged: starting anew with smaller steps")
        sampler.accept = ACCEPT_CAREFUL
    elif apart:
        tell(f"stretch {number}: {_shown(apart)}: the chains start anew from elsewhere")
    else:
        few = [line for line in health["lines"] if not line["ok"]]
        tell(f"stretch {number}: {_shown(few)}: drawing more")
        length = max(part.draws.sizes["draw"] for part in gathered.parts) * gathered.step
        part = sampler.more(sampled.points, draws_missing(few, sampled.draws.sizes["draw"], length))
        return part, gathered.with_more(part)
    part = sampler.anew(sampled.points)
    return part, Gathered(()).with_more(part)


def draws_missing(lines: list[dict[str, Any]], drawn: int, most: int) -> int:
    """Draws a chain that should bring every line to its effective draws, a sixth more for luck.

    At least a third of ``most``; ``most`` where chains may disagree, of which only many draws tell.
    """
    if any(line["rhat"] > line["rhat_most"] for line in lines):
        return most
    least = min((min(line["ess_bulk"], line["ess_tail"]) for line in lines), default=ESS_LEAST)
    missing = drawn * (SPARE * ESS_LEAST / max(least, 1.0) - 1.0)
    return int(np.clip(np.ceil(missing), np.ceil(most / 3), most))


def _shown(lines: list[dict[str, Any]]) -> str:
    """Say what is furthest from passing among lines of the gate."""
    worst = max(lines, key=_badness)
    name = f"{worst['quantity']} of {worst['element']}" if worst["element"] else str(worst["quantity"])
    least = min(worst["ess_bulk"], worst["ess_tail"])
    sure = worst["rhat"] > worst["rhat_by_chance"]
    if least < ESS_LEAST and not sure:
        return f"too few effective draws of {name} ({least:.0f} of {ESS_LEAST:.0f})"
    word = "disagree" if sure else "may disagree"
    return f"chains {word} about {name} (R-hat {worst['rhat']:.3f}, limit {worst['rhat_most']:.3f})"


def _badness(line: dict[str, Any]) -> float:
    excess = (line["rhat"] - 1.0) / (line["rhat_most"] - 1.0)
    return float(max(excess, ESS_LEAST / min(line["ess_bulk"], line["ess_tail"])))


def _why(health: dict[str, Any], number: int, stopped: bool) -> str:
    bad = [line for line in health["lines"] if not line["ok"]]
    what = _shown(bad) if bad else f"{health['divergences']} draws diverged"
    ended = "stopped" if stopped else f"given up after {number} stretch{'es' if number > 1 else ''}"
    return f"{ended}: {what}"
