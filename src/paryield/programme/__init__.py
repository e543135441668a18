"""Facility outcomes: what a programme did against what would have happened anyway."""

from paryield.programme.answer import Programme, flat_rows, programme, programme_fit
from paryield.programme.design import design, design_table, return_to_mean
from paryield.programme.hiding import recoverable, shown_cells
from paryield.programme.second import compare_groups, staggered

__all__ = [
    "Programme",
    "compare_groups",
    "design",
    "design_table",
    "flat_rows",
    "programme",
    "programme_fit",
    "recoverable",
    "return_to_mean",
    "shown_cells",
    "staggered",
]
