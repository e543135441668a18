"""The index rules a second time: slow, in decimals, written from the rule text alone.

Every round starts again from the whole list of scores; nothing is shared with the package.
"""

from collections.abc import Sequence
from decimal import ROUND_HALF_DOWN, ROUND_HALF_UP, Decimal

LOWEST = {1: 1, 2: 1, 3: 1, 4: 1, 5: 1, 6: 2, 7: 2, 8: 2, 9: 3, 10: 3, 11: 3, 12: 4, 13: 4, 14: 4}
LOWEST |= {15: 5, 16: 5, 17: 6, 18: 6, 19: 7, 20: 8}
ADJUSTMENT = {1: Decimal(-2), 2: Decimal(-2), 3: Decimal(-2), 4: Decimal(-1), 6: Decimal(-1)}
TENTH = Decimal("0.1")


def nearest_tenth(value: Decimal) -> Decimal:
    """A half goes up: away from zero above it, towards zero below it."""
    return value.quantize(TENTH, rounding=ROUND_HALF_UP if value >= 0 else ROUND_HALF_DOWN)


def best_average(differentials: Sequence[Decimal]) -> Decimal:
    count = len(differentials)
    best = sorted(differentials)[: LOWEST[count]]
    return nearest_tenth(sum(best, Decimal(0)) / len(best) + ADJUSTMENT.get(count, Decimal(0)))


def after_caps(average: Decimal, low: Decimal) -> Decimal:
    rise = average - low
    if rise <= 3:
        return average
    return min(nearest_tenth(low + 3 + (rise - 3) / 2), low + 5)


def plain_indexes(
    rounds: Sequence[tuple[int, Decimal]],
    minimum_scores: int = 3,
    given_low: tuple[int, Decimal] | None = None,
) -> list[Decimal | None]:
    """Index after each round of (day, unrounded differential), in order of day."""
    scores: list[Decimal] = []
    published: list[tuple[int, Decimal]] = [given_low] if given_low else []
    answers: list[Decimal | None] = []
    in_force: Decimal | None = None
    for position, (day, value) in enumerate(rounds):
        scores.append(nearest_tenth(value))
        if in_force is not None and in_force - value >= 7:
            taken_off = 2 if in_force - value >= 10 else 1
            first = max(0, len(scores) - 20)
            scores[first:] = [score - taken_off for score in scores[first:]]
        if len(scores) >= minimum_scores:
            in_force = best_average(scores[-20:])
            if len(scores) >= 20:
                previous = rounds[position - 1][0]
                window = [index for on, index in published if previous - 365 <= on <= previous]
                if window:
                    in_force = after_caps(in_force, min(window))
            in_force = min(in_force, Decimal(54))
            if len(scores) >= 20:
                published.append((day, in_force))
        answers.append(in_force)
    return answers
