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
from paryield.model.kernel import evidence, kernel_data

FIXED = 5
"""Inputs that do not change: bounds, seen, drift, knot, weight of the next knot."""


class GolferEvidence(Op):
    """Evidence of all golfers' measurements, see :func:`paryield.model.kernel.evidence`.

    Inputs: the five arrays of :func:`kernel_data`, then load (R, T, L), error (R, T), left, respond, begin
    (R, K), share (K,), prior (D, D). Outputs: the value and its derivatives by these seven.
    """

    __props__ = ()

    def make_node(self, *inputs: Any) -> Apply:
        """Declare the outputs: a scalar and one derivative per input that changes."""
        known = [pt.as_tensor(value) for value in inputs]
        return Apply(self, known, [pt.dscalar(), *(value.type() for value in known[FIXED:])])

    def perform(self, _node: Apply, inputs: Any, outputs: Any) -> None:
        """Run the kernel on plain arrays."""
        fixed, rest = inputs[:FIXED], [np.ascontiguousarray(value) for value in inputs[FIXED:]]
        slopes = [np.zeros_like(value) for value in rest[:5]]
        value, d_share, d_prior = evidence(*fixed, *rest, *slopes)
        for store, found in zip(outputs, (value, *slopes, d_share, d_prior), strict=True):
            store[0] = np.asarray(found)

    def pullback(self, _inputs: Any, outputs: Any, cotangents: Any) -> list[Any]:
        """Multiply the derivatives by the incoming one; they have no derivative of their own."""
        if not all(isinstance(one.type, DisconnectedType) for one in cotangents[1:]):
            raise NotImplementedError("second derivatives of the evidence are not needed")
        return [*(disconnected_type() for _ in range(FIXED)), *(cotangents[0] * s for s in outputs[1:])]

    L_op = pullback  # type: ignore[assignment]

    def connection_pattern(self, _node: Apply) -> list[list[bool]]:
        """The value depends on the inputs that change; nothing is carried through the derivatives."""
        return [[False] * 8] * FIXED + [[True] + [False] * 7] * 7


@register_funcify_default_op_cache_key(GolferEvidence)
def _in_numba(_op: GolferEvidence, **_: Any) -> Any:
    @numba_njit
    def run(bounds, seen, drift, knot, weight, load, error, left, respond, begin, share, prior):  # type: ignore
        d_load, d_error = np.zeros(load.shape), np.zeros(error.shape)
        d_left, d_respond, d_begin = np.zeros(left.shape), np.zeros(left.shape), np.zeros(left.shape)
        value, d_share, d_prior = evidence(
            bounds, seen, drift, knot, weight, np.ascontiguousarray(load), np.ascontiguousarray(error),
            np.ascontiguousarray(left), np.ascontiguousarray(respond), np.ascontiguousarray(begin),
            np.ascontiguousarray(share), np.ascontiguousarray(prior), d_load, d_error,
            d_left, d_respond, d_begin,
        )  # fmt: skip
        return np.asarray(value), d_load, d_error, d_left, d_respond, d_begin, d_share, d_prior

    return run


def golfer_evidence(data: Observations, *inputs: Any) -> Any:
    """Return the evidence as a scalar of the model; inputs from ``load`` on as for the operation."""
    found: Any = GolferEvidence()(*(pt.as_tensor(value) for value in kernel_data(data)), *inputs)
    return found[0]
