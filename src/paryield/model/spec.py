"""What a fit reads beside the data: the frozen specification, and in what two stored ones differ."""

from __future__ import annotations

import json
from collections.abc import Iterator, Mapping
from dataclasses import asdict, dataclass, field, fields, make_dataclass
from typing import TYPE_CHECKING, Any, ClassVar

from paryield.model.terms import constants, practice
from paryield.posterior.learnt import LearntPrior

MOST_STRETCHES = 8
"""Stretches of draws after which a full fit gives up. [judgement]"""

SIZE = ("priors", "quick", "most_stretches", "learnt")
"""What is no setting of the model by itself, or is compared in another way."""
GAIN_PRIOR = ("gain_median", "gain_common_width", "gain_category_width", "gain_medians", "gain_widths")
"""Settings of the priors that speak of gains from practice alone."""


class _Named(Mapping[str, Any]):
    """Constants of the priors by name."""

    def __getitem__(self, name: str) -> Any:
        return getattr(self, name)

    def __iter__(self) -> Iterator[str]:
        return iter(self.__dataclass_fields__)  # type: ignore[attr-defined]

    def __len__(self) -> int:
        return len(self.__dataclass_fields__)  # type: ignore[attr-defined]

    def gain_of(self, name: str) -> tuple[float, float]:
        """Median gain of a category in strokes per 20 hours, and the width of its own part."""
        return practice.gain_of(self, name)


if TYPE_CHECKING:

    class Priors(_Named):
        """Values of the constants that the terms of the model declare; each may be given by name."""

        __dataclass_fields__: ClassVar[dict[str, Any]]

        def __init__(self, **values: Any) -> None: ...

        def __getattr__(self, name: str) -> Any: ...

else:
    Priors = make_dataclass(
        "Priors",
        [(one.name, Any, field(default=one.value)) for one in constants()],
        bases=(_Named,),
        frozen=True,
        module=__name__,
    )
    Priors.__doc__ = "Values of the constants that the terms of the model declare; each may be given by name."


@dataclass(frozen=True)
class ModelSpec:
    """Everything that a fit reads beside the data.

    Parameters
    ----------
    seed : int
    draws, tune, chains : int
        Posterior draws and warm-up draws per chain.
    sampler : {"nutpie", "pymc"}
    most_stretches : int
        Times that the draws may be taken until the health gate is passed; see
        :mod:`paryield.model.sampling`.
    quick : bool
        A rough fit with few draws, marked in every answer.
    floor : float
        Strokes lost in each area by the best there is (a tour player gains about 5 strokes on scratch in
        all [M]): the gap that practice can close ends here.
    reference_level : float
        Mean differential of the golfer for whom gains are stated (index about 15).
    bend_hours : float
        Stock of one category at which its effective hours are half of it: the middle of what is held
        possible of each category, as wide as the priors say. [J]; a club's record says little of it. The
        power law of practice (Newell & Rosenbloom 1981 [V], exponent 0.2 to 0.4 [M]) bends like 115 to 230
        hours where all practice trains the same; but each kind trains only a part of an area, and can take
        away no more than that part. In doubt the smaller figure is the safer one: a plan that spreads hours
        where returns are straight loses little, one that heaps them where returns bend loses much.
    phantom : bool
        Fit a practice category that nobody practised beside the real ones.
    learnt : LearntPrior, optional
        What other clubs have learnt of practice; see :mod:`paryield.model.learnt_prior`.
    """

    seed: int = 20260705
    draws: int = 500
    tune: int = 120
    chains: int = 4
    most_stretches: int = 1
    sampler: str = "nutpie"
    quick: bool = False
    floor: float = -1.25
    reference_level: float = 18.0
    bend_hours: float = 50.0
    phantom: bool = True
    knot_days: float = 40.0
    most_knots: int = 14
    priors: Priors = field(default_factory=Priors)
    learnt: LearntPrior | None = None

    def __post_init__(self) -> None:
        if min(self.draws, self.tune, self.chains, self.most_stretches) < 1:
            raise ValueError("draws, tune, chains and most_stretches must be at least 1")
        if self.sampler not in ("nutpie", "pymc"):
            raise ValueError(f"unknown sampler {self.sampler!r}: use nutpie or pymc")
        if self.bend_hours <= 0 or self.knot_days <= 0 or self.most_knots < 2:
            raise ValueError("bend_hours and knot_days must be positive, most_knots at least 2")

    def to_dict(self) -> dict[str, object]:
        """Plain record, for fingerprints and storage."""
        return asdict(self)


def stored_spec(record: Mapping[str, Any]) -> ModelSpec:
    """Return the specification that a fit was made with; what it did not know yet has today's default."""
    known = {item.name for item in fields(ModelSpec)} - {"priors", "learnt"}
    priors = {item.name for item in fields(Priors)}
    given, learnt = record.get("priors", {}), record.get("learnt")
    said = {"most_stretches": 1 if record.get("quick") else MOST_STRETCHES, **record}
    return ModelSpec(
        **{name: _tuples(value) for name, value in said.items() if name in known},
        priors=Priors(**{name: _whole(name, value) for name, value in given.items() if name in priors}),
        learnt=None if learnt is None else LearntPrior.from_dict(learnt),
    )


def _whole(name: str, value: Any) -> Any:
    """A prior as it was stored; forms of test that it did not know yet have today's default."""
    found, now = _tuples(value), getattr(Priors(), name)
    if name.startswith("test_") and isinstance(found, tuple):
        return found + now[len(found) :]
    return found


def _tuples(value: Any) -> Any:
    return tuple(_tuples(item) for item in value) if isinstance(value, list | tuple) else value


def differences(before: Mapping[str, Any], after: Mapping[str, Any]) -> list[str]:
    """Names of the settings that differ between two stored fits: facts with ``spec`` and ``versions``."""
    one, two = (_flat(facts["spec"]) for facts in (before, after))
    found = [name for name in sorted(one.keys() | two.keys()) if one.get(name) != two.get(name)]
    versions = (before["versions"], after["versions"])
    names = sorted(versions[0].keys() | versions[1].keys())
    return found + [f"version of {name}" for name in names if versions[0].get(name) != versions[1].get(name)]


def _flat(spec: Mapping[str, Any]) -> dict[str, Any]:
    top = {name: _tuples(value) for name, value in spec.items() if name not in SIZE}
    top["learnt"] = json.dumps(spec.get("learnt"), sort_keys=True)
    return top | {name: _tuples(value) for name, value in spec.get("priors", {}).items()}
