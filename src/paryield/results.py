"""Shared frozen results: a problem found in a table, and the summary of draws."""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING, Any, Literal

if TYPE_CHECKING:
    import numpy.typing as npt

QUANTILES: dict[str, float] = {
    "q025": 0.025,
    "q05": 0.05,
    "q10": 0.10,
    "q20": 0.20,
    "q25": 0.25,
    "q50": 0.50,
    "q75": 0.75,
    "q80": 0.80,
    "q90": 0.90,
    "q95": 0.95,
    "q975": 0.975,
}
"""Names and levels of the quantiles in every answer."""


@dataclass(frozen=True)
class Problem:
    """One thing wrong with one cell, row or file.

    ``row`` is the line of the file as a spreadsheet shows it (the header is row 1); None means the
    whole file. ``found`` is the value as it stood in the file.
    """

    file: str
    row: int | None
    column: str | None
    found: str
    message: str
    remedy: str
    severity: Literal["error", "warning"] = "error"

    def line(self) -> str:
        """Return the problem as one line: where, what, found, remedy."""
        where = self.file
        if self.row is not None:
            where += f", row {self.row}"
        if self.column:
            where += f", column {self.column}"
        found = f" (found {self.found!r})" if self.found else ""
        return f"{where}: {self.message}{found} - {self.remedy}".replace("\n", " ")

    def to_dict(self) -> dict[str, str | int | None]:
        """Return the problem as a plain record."""
        return {
            "file": self.file,
            "row": self.row,
            "column": self.column,
            "found": self.found,
            "message": self.message,
            "remedy": self.remedy,
            "severity": self.severity,
        }


def summary(draws: npt.ArrayLike) -> dict[str, float]:
    """Summarise draws by the fixed quantiles and the mean.

    Parameters
    ----------
    draws : array_like
        Any shape; all values are one sample.

    Returns
    -------
    dict
        Keys of :data:`QUANTILES` and ``mean``, in the unit of the draws.
    """
    import numpy as np  # here, so that help and usage errors need not wait for it

    flat = np.asarray(draws, dtype=float).ravel()
    values = np.quantile(flat, list(QUANTILES.values()))
    return {**dict(zip(QUANTILES, map(float, values), strict=True)), "mean": float(flat.mean())}


def flat_record(record: dict[str, Any]) -> dict[str, Any]:
    """Return a record with its objects of quantiles spread out: ``lost`` becomes ``lost_q50`` and so on."""
    flat: dict[str, Any] = {}
    for name, value in record.items():
        if isinstance(value, dict):
            flat |= {f"{name}_{key}": one for key, one in value.items()}
        else:
            flat[name] = value
    return flat
