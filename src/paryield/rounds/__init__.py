"""What a round's detail and the coach's tests say of each scoring area."""

from paryield.rounds.putting import log_likelihood, make_probability
from paryield.rounds.putting_file import putting
from paryield.rounds.putting_fit import SpreadPrior, fit_putting
from paryield.rounds.putting_skill import PuttingSkill
from paryield.rounds.putting_strokes import putting_strokes_lost, reference_putts
from paryield.rounds.putts import Putts
from paryield.rounds.references import reference_curves

__all__ = [
    "PuttingSkill",
    "Putts",
    "SpreadPrior",
    "fit_putting",
    "log_likelihood",
    "make_probability",
    "putting",
    "putting_strokes_lost",
    "reference_curves",
    "reference_putts",
]
