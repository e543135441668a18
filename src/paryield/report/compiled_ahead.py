"""Compiles ahead what a fit and its answers need, into Numba's cache on disk, in a second process.

The first fit of an installation compiles for most of a minute, on one core. A process of its own begins with
that while the first still loads and reads; the first waits for it where it would compile the same, and the
draws and the days ahead are compiled while it samples. Each function is called once with arrays of length
zero, of the types that fits and answers have; a test holds these equal to what a fit compiles.
"""

from __future__ import annotations

import contextlib
import sys
import threading
from collections.abc import Callable, Iterator
from typing import Any, cast

from paryield.report.second_process import second_process

MOST_SECONDS = 300.0
"""Nobody waits longer for one part: who asked then compiles it by itself."""

EFFORT = "1"
"""How hard the compiler tries: more takes a sixth longer; what it makes is as fast, with the same bits."""


class Ahead:
    """Parts that a second process compiles, and whether each is done."""

    def __init__(self) -> None:
        self._done = {part: threading.Event() for part in PARTS}

    def wait(self, part: str) -> None:
        """Wait until a part of :data:`PARTS` is compiled, or nobody compiles it any more."""
        self._done[part].wait(MOST_SECONDS)

    def follow(self, lines: Any) -> None:
        """Read the names of parts, a line each, until there are no more; then nothing is waited for."""
        with contextlib.suppress(OSError, ValueError):
            for line in lines:
                done = self._done.get(line.decode(errors="replace").strip())
                if done is not None:
                    done.set()
        for done in self._done.values():
            done.set()


@contextlib.contextmanager
def compiled_ahead() -> Iterator[Ahead]:
    """Compile in a second process, as long as the context lasts, and tell what is done."""
    ahead = Ahead()
    with second_process(__name__, NUMBA_OPT=EFFORT) as process:
        lines = () if process is None else process.stdout
        reader = threading.Thread(target=ahead.follow, args=(lines,), daemon=True)
        reader.start()
        yield ahead
    reader.join(1.0)


def _arrays(*shapes: tuple[int, ...], dtype: str = "float64") -> list[Any]:
    import numpy as np

    return [np.zeros(shape, dtype) for shape in shapes]


def _rows() -> tuple[list[Any], list[Any], list[Any]]:
    """Return no rows at all as the compiled rows take them, population values, and what they fill."""
    from paryield.model import compiled_layout as c

    effects = 3 + c.WIDTH
    known, *whole = (
        _arrays((0, 1, c.LANES)),
        *_arrays((0, c.SEEN + c.COUNT), *[(0, c.LANES)] * 2, dtype="int64"),
    )
    rows = [*known, *whole, (0.0,) * (c.COUNT + 3), (0,) * len(c.AT)]
    return rows, _arrays((c.REST_OF_THETA,)), _arrays((0, effects), (0,), (0,), (0,))


def rows_forward() -> None:
    """Compile the rows, which density and draws share."""
    from paryield.model.compiled_rows import rows_forward

    rows, theta, filled = _rows()
    cast(Any, rows_forward)(*rows, *theta, *SHAPE, *filled)


def rows_backward() -> None:
    """Compile the derivatives of the rows."""
    from paryield.model.compiled_rows import rows_backward

    rows, theta, filled = _rows()
    cast(Any, rows_backward)(*rows, *theta, *SHAPE, *filled, *_arrays(theta[0].shape))


def evidence() -> None:
    """Compile the golfers' evidence; ``density`` compiles it too where this was not asked for."""
    from paryield.model.kernel import evidence

    direction, *single = _rows()[2]
    bounds, alike, during = _arrays((1,), (0,), (0,), dtype="int64")
    [prior] = _arrays((direction.shape[1],) * 2)
    filled = direction, *single
    # Bounds of a batch are a part of the club's, which begins and ends where it says.
    cast(Any, evidence)(bounds, alike, during, *filled, prior, *filled)


def density() -> None:
    """Compile the likelihood and its gradient."""
    from paryield.model.compiled_likelihood import likelihood

    rows, theta, filled = _rows()
    batches, bounds, alike, during = _arrays((1, 2), (1,), (0,), (0,), dtype="int64")
    [prior] = _arrays((filled[0].shape[1],) * 2)
    cast(Any, likelihood)(
        batches,
        bounds,
        alike,
        during,
        *rows,
        *SHAPE,
        *theta,
        prior,
        *filled,
        *filled,
        *_arrays(theta[0].shape),
    )


def draws() -> None:
    """Compile the draws of a golfer's own values."""
    from paryield.model.conditional import draw_golfer

    rows, theta, filled = _rows()
    effects = filled[0].shape[1]
    alike, during = _arrays((0,), (0,), dtype="int64")
    many = _arrays((0, *theta[0].shape))
    given = _arrays((0, effects, effects), (0,), (0, effects), (0, effects), (0,))
    cast(Any, draw_golfer)(*rows, *many, *SHAPE, alike, during, *given)


def days() -> None:
    """Compile what answers work out of days ahead: stock, strokes lost, the index."""
    from paryield.forecast import compiled_days as d
    from paryield.scoring.kernel import paths

    two, three = (0, 0), (0, 0, 0)
    for dtype in ("float64", "float32"):
        one, flat = _arrays((1, 0, 0), two, dtype=dtype)
        cast(Any, d.blended)(one, one, one)
        cast(Any, d.left_and_turn)(one, flat, flat, 0.0, one, one, one, one)
        cast(Any, d.lost_by_area)(flat, 0.0, flat, flat, one, one, one)
    cube, flat = _arrays(three, two)
    [whole] = _arrays((0,), dtype="int64")
    cast(Any, d.added_up)(flat, flat, whole, flat)
    cast(Any, d.lost_on)(
        cube, cube, cube, cube, cube, flat, flat, flat, cube, 0.0, flat, 0.0, flat, flat, flat
    )
    cast(Any, d.lost_under)(flat, flat, cube, whole, flat, flat, flat, cube, 0.0, flat, 0.0, flat, flat, flat)
    cast(Any, paths)(whole, 0, False, whole, whole, 0, 0, 0, whole, whole, whole, flat, flat)


SHAPE = (0.0, 0.0, 1.0)
"""Floor, reference level and bend."""
PARTS: dict[str, Callable[[], None]] = {
    "rows_forward": rows_forward,
    "rows_backward": rows_backward,
    "evidence": evidence,
    "density": density,
    "draws": draws,
    "days": days,
}
"""What is compiled, in this order."""


def main() -> None:
    """Compile every part, and say each when it is done."""
    for part, compile_part in PARTS.items():
        compile_part()
        sys.stdout.write(f"{part}\n")
        sys.stdout.flush()


if __name__ == "__main__":
    main()
