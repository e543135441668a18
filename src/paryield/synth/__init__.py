"""Made-up clubs with their truth."""

from paryield.synth.club import MadeUpClub, make_club
from paryield.synth.spec import CASES, ClubSpec
from paryield.synth.truth import Forward, Truth

__all__ = ["CASES", "ClubSpec", "Forward", "MadeUpClub", "Truth", "make_club"]
