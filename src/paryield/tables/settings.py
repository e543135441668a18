"""The club's small settings file: its name, its own categories and the handicap settings."""

from __future__ import annotations

from dataclasses import dataclass


@dataclass(frozen=True)
class Settings:
    """What a club sets for itself; every setting has a default.

    Parameters
    ----------
    club_name : str
        Name shown on reports.
    minimum_scores : int
        Score differentials needed for an index: 3 (54 holes; verified: usga.org handicapping FAQ,
        number of scores to get a Handicap Index). Some associations set 1 (verified:
        danskgolfunion.dk), so it is a national setting.
    maximum_index : float
        Highest Handicap Index: 54.0 (Rule 5.3; verified: randa.org). A club may set less.
    minimum_holes : int
        Fewest holes of an 18-hole score: 10 from 2024 on (verified: usga.org 2024 revision FAQ).
    expected_nine_per_index, expected_nine_constant : float
        Expected 9-hole differential = per_index x Handicap Index + constant. The official table is not
        published (verified: englandgolf.freshdesk.com, article 80001136829); 0.52 and 1.2 are an
        unofficial approximation.
    """

    club_name: str = ""
    minimum_scores: int = 3
    maximum_index: float = 54.0
    minimum_holes: int = 10
    expected_nine_per_index: float = 0.52
    expected_nine_constant: float = 1.2

    def __post_init__(self) -> None:
        if not 1 <= self.minimum_scores <= 20:
            raise ValueError(f"minimum_scores must be 1 to 20, found {self.minimum_scores}")
        if not 0 < self.maximum_index <= 54.0:
            raise ValueError(f"maximum_index must be above 0 and at most 54.0, found {self.maximum_index}")
        if not 10 <= self.minimum_holes <= 18:
            raise ValueError(f"minimum_holes must be 10 to 18, found {self.minimum_holes}")
        if not 0 < self.expected_nine_per_index <= 1:
            raise ValueError(
                f"expected_nine_per_index must be in (0, 1], found {self.expected_nine_per_index}"
            )
        if not -5 <= self.expected_nine_constant <= 10:
            raise ValueError(f"expected_nine_constant must be -5 to 10, found {self.expected_nine_constant}")


DEFAULTS = Settings()
"""Settings of a club that has no settings file."""
