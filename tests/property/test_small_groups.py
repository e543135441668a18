"""No small group can be worked out from what is shown, however sums are added and subtracted."""

from __future__ import annotations

import json
from fractions import Fraction
from itertools import combinations

import numpy as np
from hypothesis import given, settings
from hypothesis import strategies as st

from paryield.programme import recoverable, shown_cells

PEOPLE = [f"G{number:02d}" for number in range(14)]


@st.composite
def clubs(draw):
    """Cells of two programmes that may overlap, all together, and partitions of each by two traits."""
    cells = {}
    everyone = set()
    for name in ("a", "b"):
        inside = draw(st.sets(st.sampled_from(PEOPLE), min_size=1, max_size=12))
        cells[name, "", ""] = frozenset(inside)
        everyone |= inside
        for by in ("coach", "level"):
            kind = {person: draw(st.integers(0, 2)) for person in sorted(inside)}
            for value in set(kind.values()):
                cells[name, by, value] = frozenset(p for p in inside if kind[p] == value)
    cells["all", "", ""] = frozenset(everyone)
    return sorted(cells.items(), key=lambda item: (item[0][1] != "", str(item[0])))


def exact_rank(rows: list[list[int]]) -> int:
    """Rank by Gauss elimination in fractions: the second route, without floating point."""
    left = [[Fraction(value) for value in row] for row in rows]
    rank = 0
    for column in range(len(left[0]) if left else 0):
        pivot = next((r for r in range(rank, len(left)) if left[r][column]), None)
        if pivot is None:
            continue
        left[rank], left[pivot] = left[pivot], left[rank]
        for r in range(rank + 1, len(left)):
            factor = left[r][column] / left[rank][column]
            left[r] = [a - factor * b for a, b in zip(left[r], left[rank], strict=True)]
        rank += 1
    return rank


def attack(shown: list[frozenset[str]], fewest: int) -> list[tuple[str, ...]]:
    """Every set of fewer than ``fewest`` people on which some combination of the shown sums rests alone.

    Such a combination exists exactly where leaving out the set's columns lowers the rank.
    """
    people = sorted(set().union(*shown)) if shown else []
    table = [[int(person in group) for person in people] for group in shown]
    whole = exact_rank(table)
    found = []
    for few in combinations(range(len(people)), min(fewest - 1, len(people))):
        rest = [[row[k] for k in range(len(people)) if k not in few] for row in table]
        if exact_rank(rest) < whole:
            found.append(tuple(people[k] for k in few))
    return found


@settings(max_examples=30, deadline=None)
@given(clubs(), st.sampled_from([2, 3]))
def test_no_combination_of_shown_sums_rests_on_few_people(cells, fewest):
    shown = shown_cells(cells, fewest)
    assert attack([members for key, members in cells if key in shown], fewest) == []


@settings(max_examples=60, deadline=None)
@given(clubs())
def test_small_cells_are_hidden_and_large_ones_alone_are_shown(cells):
    shown = shown_cells(cells)
    sizes = dict(cells)
    assert all(len(sizes[key]) >= 5 for key in shown)
    if len(cells[0][1]) >= 5:
        assert cells[0][0] in shown


def test_the_attack_finds_what_a_total_gives_away():
    """The test itself can fail: 10 in all and 7 of one coach leave 3."""
    total, seven = frozenset(PEOPLE[:10]), frozenset(PEOPLE[:7])
    assert attack([total, seven], 4) == [tuple(PEOPLE[7:10])]
    assert recoverable([total, seven])
    assert shown_cells([("all", total), ("coach", seven)]) == {"all"}


def test_what_two_programmes_and_their_total_give_away_is_seen():
    """6 and 6 with 4 in both: the total and the two parts give the sum over the 4."""
    first, second = frozenset(PEOPLE[:6]), frozenset(PEOPLE[2:8])
    cells = [("first", first), ("second", second), ("all", first | second)]
    assert shown_cells(cells) == {"first"}


def test_hidden_sums_of_the_command_cannot_be_rebuilt_from_its_document(programme_records):
    """Least squares on all shown means x members of the document, for every hidden group."""
    document, groups, values = programme_records
    people = sorted(values)
    rows, seen, hidden = [], [], []
    for key, members in groups.items():
        record = document[key]
        indicator = np.array([float(person in members) for person in people])
        if record["hidden"]:
            assert record["effect"] is None
            assert record["golfers"] is None
            hidden.append(indicator)
        else:
            rows.append(indicator)
            seen.append(record["effect"]["mean"] * record["golfers"])
    assert hidden
    assert rows
    table = np.array(rows)
    truth = np.array([values[person] for person in people])
    np.testing.assert_allclose(table @ truth, seen, atol=1e-6)
    for indicator in hidden:
        if indicator.sum() < 5:
            weights = np.linalg.lstsq(table.T, indicator, rcond=None)[0]
            assert np.linalg.norm(table.T @ weights - indicator) > 0.1
    assert "NaN" not in json.dumps([str(key) for key in document])
