"""Made-up clubs with a year of blocks by lot, and tests of all four areas every week."""

from __future__ import annotations

from collections.abc import Iterator
from contextlib import contextmanager
from unittest.mock import patch

from paryield.synth import ClubSpec


@contextmanager
def tested_weekly() -> Iterator[None]:
    """Let a club that is made now test and measure every week instead of every other one or less."""
    with (
        patch("paryield.synth.assessments.TEST_WEEKS", 1),
        patch("paryield.synth.assessments.STRUCK_EVERY_WEEKS", 1),
    ):
        yield


def year_of_blocks(seed: int, golfers: int = 40) -> ClubSpec:
    """The club: everybody in blocks by lot for a year, from the first week on."""
    return ClubSpec(
        golfers=golfers,
        seed=seed,
        weeks=52,
        rounds_per_month=4.0,
        assessments=True,
        strikes=True,
        blocks_share=1.0,
        late_share=0.0,
    )
