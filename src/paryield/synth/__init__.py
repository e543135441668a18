"""Made-up clubs with their truth."""

from paryield.synth.club import MadeUpClub, index_ahead, make_club
from paryield.synth.spec import CASES, ClubSpec
from paryield.synth.truth import Forward, Truth
from paryield.synth.write import write_club

__all__ = ["CASES", "ClubSpec", "Forward", "MadeUpClub", "Truth", "index_ahead", "make_club", "write_club"]
