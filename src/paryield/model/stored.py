"""The specification of a stored fit, and in what two of them differ."""

from __future__ import annotations

import json
from collections.abc import Mapping
from dataclasses import fields
from typing import Any

from paryield.model.spec import MOST_STRETCHES, ModelSpec, Priors
from paryield.posterior.learnt import LearntPrior

SIZE = ("priors", "quick", "most_stretches", "learnt")
"""What is no setting of the model by itself, or is compared in another way."""
GAIN_PRIOR = ("gain_median", "gain_common_width", "gain_category_width", "gain_medians", "gain_widths")
"""Settings of the priors that speak of gains from practice alone."""


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
