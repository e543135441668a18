"""The compiled evidence of the golfers as an operation of the model, with its gradient."""

from __future__ import annotations

from typing import Any

import numpy as np
import pytensor.tensor as pt
from pytensor.gradient import DisconnectedType, disconnected_type
from pytensor.graph.basic import Apply
from pytensor.graph.op import Op
from pytensor.link.numba.dispatch.basic import numba_njit, register_funcify_default_op_cache_key

from paryield.model.design import Observations
from paryield.model.kernel import evidence, measurements
from paryield.model.rows import Rows, directions


class GolferEvidence(Op):
    """Evidence of all golfers' measurements, see :func:`paryield.model.kernel.evidence`.

    Inputs: bounds (N + 1,), direction (M, D), error (M,), prior (D, D). Outputs: the value and its
    derivatives by the last three.
    """

    __props__ = ()

    def make_node(self, *inputs: Any) -> Apply:
        """Declare the outputs: a scalar and one derivative per input that changes."""
        known = [pt.as_tensor(value) for value in inputs]
        return Apply(self, known, [pt.dscalar(), *(value.type() for value in known[1:])])

    def perform(self, _node: Apply, inputs: Any, outputs: Any) -> None:
        """Run the kernel on plain arrays."""
        bounds, direction, error, prior = (np.ascontiguousarray(value) for value in inputs)
        slopes = np.zeros_like(direction), np.zeros_like(error)
        value, d_prior = evidence(bounds, direction, error, prior, *slopes)
        for store, found in zip(outputs, (value, *slopes, d_prior), strict=True):
            store[0] = np.asarray(found)

    def pullback(self, _inputs: Any, outputs: Any, cotangents: Any) -> list[Any]:
        """Multiply the derivatives by the incoming one; they have no derivative of their own."""
        if not all(isinstance(one.type, DisconnectedType) for one in cotangents[1:]):
            raise NotImplementedError("second derivatives of the evidence are not needed")
        return [disconnected_type(), *(cotangents[0] * slope for slope in outputs[1:])]

    L_op = pullback  # type: ignore[assignment]

    def connection_pattern(self, _node: Apply) -> list[list[bool]]:
        """The value depends on the inputs that change; nothing is carried through the derivatives."""
        return [[False] * 4, *([[True] + [False] * 3] * 3)]


@register_funcify_default_op_cache_key(GolferEvidence)
def _in_numba(_op: GolferEvidence, **_: Any) -> Any:
    @numba_njit
    def run(bounds, direction, error, prior):  # type: ignore
        d_direction, d_error = np.zeros(direction.shape), np.zeros(error.shape)
        value, d_prior = evidence(
            bounds, np.ascontiguousarray(direction), np.ascontiguousarray(error), np.ascontiguousarray(prior),
            d_direction, d_error,
        )  # fmt: skip
        return np.asarray(value), d_direction, d_error, d_prior

    return run


def golfer_evidence(data: Observations, rows: Rows, share: Any, load: Any, error: Any, prior: Any) -> Any:
    """Return the evidence as a scalar of the model.

    ``load`` (R, T, L) and ``error`` (R, T) as :func:`paryield.model.rows.whitened` gives them, ``prior`` the
    prior precision of a golfer's effects, (D, D).
    """
    bounds, occasion, kind = measurements(data)
    direction = directions(rows, data, share, load[occasion, kind], occasion, pt)
    found: Any = GolferEvidence()(pt.as_tensor(bounds), direction, error[occasion, kind], prior)
    return found[0]
