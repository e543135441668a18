"""Practice of one golfer, day and kind in two sheets: asked once for two sheets whether it is one entry."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field

from paryield.adopt.memory import Memory, Question

BOTH, ONE = "both are practice: keep each", "the same entry told twice: keep one"
Told = Sequence[tuple[str, dict[str, str]]]
"""Place, ``file, sheet X, row 7``, and values of the rows of one golfer, day and kind of practice."""
PLACE, WROTE = "", " "
"""Names under which a row keeps its place, and what stands there, while rows are brought together."""
AMOUNTS = ("minutes", "reps", "made", "tried")


def sheet_of(place: str) -> str:
    """Return the file and sheet of a place."""
    return place.rpartition(", row ")[0]


@dataclass
class Twice:
    """What two sheets that tell of the same golfers, days and kinds of practice were said to be.

    Parameters
    ----------
    marks : mapping of str to str
        Sheet to its headings, by which it is known again next week.
    memory : Memory
    names : mapping of str to str
        Golfer id to name.
    questions : list of Question
    """

    marks: Mapping[str, str]
    memory: Memory
    names: Mapping[str, str]
    questions: list[Question] = field(default_factory=list)
    _said: dict[tuple[str, str], str] = field(default_factory=dict)

    def settle(self, days: Sequence[Told]) -> None:
        """Ask of each two sheets that meet, as one question with their first meeting for an example."""
        met: dict[tuple[str, str], list[tuple[Told, Told]]] = {}
        sheets: dict[tuple[str, str], tuple[str, str]] = {}
        for told in days:
            first, *others = by_sheet(told).items()
            for name, rows in others:
                if not self._copied(first[1], rows):
                    pair = self._pair(first[0], name)
                    met.setdefault(pair, []).append((first[1], rows))
                    sheets.setdefault(pair, (first[0], name))
        for pair, found in met.items():
            question = self._question(pair, sheets[pair], found)
            answer = self.memory.answer(question)
            if answer is None:
                self.questions.append(question)
            self._said[pair] = answer or str(question.proposal)

    def kept(self, told: Told) -> list[dict[str, str]]:
        """Return the entries of one golfer, day and kind that stand: of one sheet, or of each."""
        (first, rows), *others = by_sheet(told).items()
        out = [values for _, values in rows]
        for name, more in others:
            if self._copied(rows, more) or self._said.get(self._pair(first, name)) == ONE:
                for mine, (_, other) in zip(out, more, strict=False):
                    for column, value in other.items():
                        mine.setdefault(column, value)
            else:
                out += [values for _, values in more]
        return out

    def _pair(self, one: str, other: str) -> tuple[str, str]:
        first, second = sorted((self.marks.get(one, one), self.marks.get(other, other)))
        return first, second

    def _copied(self, one: Told, other: Told) -> bool:
        """Whether a sheet of the same headings has the rows of another word for word: a list that goes on."""
        names = {self.marks.get(sheet_of(place), place) for place, _ in (*one, *other)}
        texts = [values.get(WROTE, "") for _, values in one]
        return len(names) == 1 and all(values.get(WROTE, "") in texts for _, values in other)

    def _question(
        self, pair: tuple[str, str], sheets: tuple[str, str], found: Sequence[tuple[Told, Told]]
    ) -> Question:
        one, other = (rows[0][1] for rows in found[0])
        name = self.names.get(one["golfer_id"], one["golfer_id"])
        shown = [f"{sheet} ({_amount(values)})" for sheet, values in zip(sheets, (one, other), strict=True)]
        more = f", and {len(found) - 1} more such" if len(found) > 1 else ""
        text = (
            f"On {one['practised_on']} {name} has {one['category'].replace('_', ' ')} in {shown[0]} and in "
            f"{shown[1]}{more}. Is each of them practice, or the same entry told twice (then that of "
            f"{sheets[0]} is kept)?"
        )
        alike = sum(_same_amounts(*rows) for rows in found)
        proposal = ONE if 2 * alike >= len(found) else BOTH
        return Question(f"entries twice: {' & '.join(pair)}", text, sheets[1], (BOTH, ONE), proposal)


def by_sheet(told: Told) -> dict[str, list[tuple[str, dict[str, str]]]]:
    """Return the rows by the sheet that they stand in."""
    found: dict[str, list[tuple[str, dict[str, str]]]] = {}
    for place, values in told:
        found.setdefault(sheet_of(place), []).append((place, values))
    return found


def _amount(values: Mapping[str, str]) -> str:
    told = ((values.get(name), name) for name in AMOUNTS[:2])
    return ", ".join(f"{value} {name}" for value, name in told if value) or "no length"


def _same_amounts(one: Told, other: Told) -> bool:
    amounts = [[[values.get(name) for name in AMOUNTS] for _, values in rows] for rows in (one, other)]
    return amounts[0] == amounts[1]
