"""Rules of Handicapping (World Handicap System): differentials, index, records, index paths.

The index computed here is for forecasting; the official one comes from the golfer's association.
"""

from paryield.scoring.club import differentials, handicap_records, kept_records
from paryield.scoring.course import course_handicap, nine_hole_course_handicap, playing_handicap
from paryield.scoring.differential import expected_nine_hole_differential, score_differential
from paryield.scoring.engine import index_paths
from paryield.scoring.entries import Entry
from paryield.scoring.holes import (
    HoleScore,
    adjusted_gross_score,
    hole_difficulty,
    maximum_hole_score,
    strokes_received,
)
from paryield.scoring.index import capped_index, exceptional_reduction, handicap_index
from paryield.scoring.record import handicap_record
from paryield.scoring.settings import HandicapSettings, settings_of
from paryield.scoring.steps import HandicapRecord, IndexState, Step, index_state

__all__ = [
    "Entry",
    "HandicapRecord",
    "HandicapSettings",
    "HoleScore",
    "IndexState",
    "Step",
    "adjusted_gross_score",
    "capped_index",
    "course_handicap",
    "differentials",
    "exceptional_reduction",
    "expected_nine_hole_differential",
    "handicap_index",
    "handicap_record",
    "handicap_records",
    "hole_difficulty",
    "index_paths",
    "index_state",
    "kept_records",
    "maximum_hole_score",
    "nine_hole_course_handicap",
    "playing_handicap",
    "score_differential",
    "settings_of",
    "strokes_received",
]
