"""Cautions that stand next to every plan and every return.

The rules behind them are common practice without a published source, except that federations publish
their own guidance for juniors, which is the one to follow.
"""

from __future__ import annotations

STANDING_CAUTIONS: tuple[str, ...] = (
    "Stop when something hurts, and see a licensed medical or physical-therapy professional.",
    "Strength and mobility work is done as a qualified professional has set it.",
    "A junior's hours are for the coach and the parents to agree; follow the local federation's guidance.",
    "No heavy strength work on the day before a competition round in season.",
)
"""Shown with every plan and every return, in this order."""
