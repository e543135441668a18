"""Returns, allocation, blocks and cautions: what the next hours of practice are worth."""

from paryield.plan.cautions import STANDING_CAUTIONS
from paryield.plan.worth import Returns, returns, returns_fit

__all__ = ["STANDING_CAUTIONS", "Returns", "returns", "returns_fit"]
