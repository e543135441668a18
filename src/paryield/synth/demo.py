"""The demo club: 24 golfers and one year; ``python -m paryield.synth.demo demo_data`` writes it."""

from __future__ import annotations

import sys
from pathlib import Path

from paryield.synth.club import make_club
from paryield.synth.spec import ClubSpec
from paryield.tables.write import write_folder

COMMENT = "made-up golfers, clubs and courses; made by: python -m paryield.synth.demo demo_data"


def demo_spec() -> ClubSpec:
    """Return the spec of the demo club.

    Half of it practises in blocks by lot and tests every other week, and practice does three times as much as
    usual: a year of 24 golfers would show next to nothing of the usual gains.
    """
    return ClubSpec(
        golfers=24,
        weeks=52,
        seed=17,
        rounds_per_month=2.6,
        categories=(
            "short_putting",
            "lag_putting",
            "chipping",
            "bunker",
            "irons",
            "driver",
            "strength",
        ),
        stats_share=0.55,
        nine_hole_share=0.12,
        late_share=0.1,
        programme=True,
        assessments=True,
        strikes=True,
        events=True,
        blocks_share=0.5,
        effect=3.0,
        name="Heron Marsh practice club",
    )


def write_demo(folder: Path | str) -> list[Path]:
    """Write the tables of the demo club, without its truth, and return the files."""
    return write_folder(make_club(demo_spec()).tables, folder, comment=COMMENT)


if __name__ == "__main__":
    for path in write_demo(sys.argv[1] if len(sys.argv) > 1 else "demo_data"):
        print(path)
