"""Returns, allocation, blocks and cautions: what hours of practice are worth, and what past ones did."""

from paryield.plan.cautions import STANDING_CAUTIONS
from paryield.plan.change import Split, split, split_fit
from paryield.plan.worth import Returns, returns, returns_fit

__all__ = ["STANDING_CAUTIONS", "Returns", "Split", "returns", "returns_fit", "split", "split_fit"]
