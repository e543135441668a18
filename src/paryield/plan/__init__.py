"""Returns, allocation, blocks and cautions: what hours of practice are worth, and what past ones did."""

from paryield.plan.advice import Plan, plan, plan_tables
from paryield.plan.block import Block, block, block_fit
from paryield.plan.cautions import STANDING_CAUTIONS
from paryield.plan.change import Split, split, split_fit
from paryield.plan.review import Review, review_tables
from paryield.plan.worth import Returns, returns, returns_fit

__all__ = [
    "STANDING_CAUTIONS",
    "Block",
    "Plan",
    "Returns",
    "Review",
    "Split",
    "block",
    "block_fit",
    "plan",
    "plan_tables",
    "returns",
    "returns_fit",
    "review_tables",
    "split",
    "split_fit",
]
