"""What a round's detail and the coach's tests say of each scoring area."""

from paryield.rounds.area_strokes import area_strokes, round_parts
from paryield.rounds.assessments import (
    assessment_rows,
    practice_rows,
    values_left_out,
    with_values_left_out,
)
from paryield.rounds.card_stats import STATS, round_measurements, round_stats
from paryield.rounds.coach_tests import test_measurements
from paryield.rounds.putting import Putts, log_likelihood, make_probability
from paryield.rounds.putting_file import putting
from paryield.rounds.putting_fit import SpreadPrior, fit_putting
from paryield.rounds.putting_skill import PuttingSkill, putting_strokes_lost, reference_putts
from paryield.rounds.references import baseline_status, reference_curves, strokes_to_hole_out
from paryield.rounds.shots import holes_left_out, shot_strokes
from paryield.tables.kinds_of_test import kind_of_test

__all__ = [
    "STATS",
    "PuttingSkill",
    "Putts",
    "SpreadPrior",
    "area_strokes",
    "assessment_rows",
    "baseline_status",
    "fit_putting",
    "holes_left_out",
    "kind_of_test",
    "log_likelihood",
    "make_probability",
    "practice_rows",
    "putting",
    "putting_strokes_lost",
    "reference_curves",
    "reference_putts",
    "round_measurements",
    "round_parts",
    "round_stats",
    "shot_strokes",
    "strokes_to_hole_out",
    "test_measurements",
    "values_left_out",
    "with_values_left_out",
]
