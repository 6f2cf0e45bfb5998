"""Which drawing a place on a sheet belongs to: by dividing rules, else by where titles stand."""

from __future__ import annotations

from collections.abc import Sequence
from itertools import pairwise
from typing import Any

import numpy

from notelint.layout.pieces import Piece
from notelint.layout.titles import Title, rows_of

MOST_RULES = 400  # long rules looked at for frames


class Cells:
    """The dividing rules of a sheet of details: tells whether two places stand in one cell.

    A dividing rule runs nearly the whole sheet, or ends at both ends on dividing rules; walls and joists of a plan do neither.
    """

    def __init__(self, across: Any, upright: Any, width: float, height: float) -> None:
        level, steep = across[(across[:, 2] - across[:, 1]) > 0.12 * width], upright[(upright[:, 2] - upright[:, 1]) > 0.12 * height]
        long_level, long_steep = (level[:, 2] - level[:, 1]) > 0.72 * width, (steep[:, 2] - steep[:, 1]) > 0.72 * height
        for _ in range(2):
            more_level = long_level | _ends_on(level, steep[long_steep])
            long_steep = long_steep | _ends_on(steep, level[long_level])
            long_level = more_level
        self.across, self.upright = level[long_level], steep[long_steep]

    def of(self, x: float, y: float) -> tuple[float, float, float, float]:
        """The nearest long rules left, above, right and below a place (infinite where none is)."""
        return self._near(self.upright, x, y) + self._near(self.across, y, x)

    @staticmethod
    def _near(lines: Any, at: float, along: float) -> tuple[float, float]:
        passing = lines[(lines[:, 1] - 2 <= along) & (lines[:, 2] + 2 >= along), 0]
        before, after = passing[passing < at], passing[passing > at]
        return (
            float(before.max()) if len(before) else float("-inf"),
            float(after.min()) if len(after) else float("inf"),
        )


def _ends_on(lines: Any, others: Any) -> Any:
    """Which rules (offset, from, to) end at both ends on (or near) one of the crossing rules."""
    on = numpy.zeros(len(lines), dtype=bool)
    if not len(others):
        return on
    for i, (offset, start, end) in enumerate(lines.tolist()[:400]):
        passing = others[(others[:, 1] - 16 <= offset) & (others[:, 2] + 16 >= offset), 0]
        on[i] = bool((numpy.abs(passing - start) < 16).any() and (numpy.abs(passing - end) < 16).any())
    return on


class Walled:
    """Tells whether a label stands inside a drawing: lines of it on all four sides, none so long as the sheet's frame."""

    def __init__(self, across: Any, upright: Any, width: float, height: float) -> None:
        self.across = across[(across[:, 2] - across[:, 1]) < 0.7 * width]
        self.upright = upright[(upright[:, 2] - upright[:, 1]) < 0.7 * height]
        self.reach = 0.4 * width, 0.4 * height

    def inside(self, piece: Piece) -> bool:
        """True where lines pass left, right, above and below the label, within a fair part of the sheet."""
        x, y = piece.centre, piece.middle
        sides = self._between(self.upright, x, y, self.reach[0])
        return sides and self._between(self.across, y, x, self.reach[1])

    @staticmethod
    def _between(lines: Any, at: float, along: float, reach: float) -> bool:
        passing = lines[(lines[:, 1] - 2 <= along) & (lines[:, 2] + 2 >= along), 0]
        return bool(((passing < at) & (passing > at - reach)).any() and ((passing > at) & (passing < at + reach)).any())


def frames(across: Any, upright: Any, width: float, height: float) -> list[tuple[float, float, float, float]]:
    """Closed frames on a sheet as (left, top, right, bottom): two level rules of one width with upright rules at both ends."""
    long = across[(across[:, 2] - across[:, 1]) > 0.08 * width][:MOST_RULES]
    found: list[tuple[float, float, float, float]] = []
    for y, x0, x1 in long.tolist():
        below = long[(numpy.abs(long[:, 1] - x0) < 3) & (numpy.abs(long[:, 2] - x1) < 3) & (long[:, 0] > y + 0.08 * height), 0]
        for bottom in below.tolist():
            sides = upright[(upright[:, 1] < y + 3) & (upright[:, 2] > bottom - 3), 0]
            if (numpy.abs(sides - x0) < 3).any() and (numpy.abs(sides - x1) < 3).any():
                found.append((x0, y, x1, bottom))
    return found


class Places:
    """Which drawing a place on the sheet belongs to: by the cell it stands in, else by the titles' rows."""

    def __init__(
        self,
        found: Sequence[Title],
        cells: Cells,
        width: float,
        height: float,
        marks: Sequence[tuple[float, float]],
        framed: Sequence[tuple[float, float, float, float]] = (),
    ) -> None:
        self.found = list(found)
        self.cells = cells
        self.width = width
        self.homes = [cells.of(t.piece.x0 + 2, t.piece.middle) for t in found]
        spans = _spans(found, width, height)
        self.spans = [spans[id(title)] for title in found]
        self.framed = [(frame, inside[0]) for frame in framed if len(inside := [t for t in found if _within(frame, *_start(t))]) == 1]
        self.above = _titles_above(found, marks, height)

    def title(self, x: float, y: float) -> Title | None:
        """The title of the drawing that the place belongs to."""
        if len(self.found) <= 1:
            return self.found[0] if self.found else None
        frames = [(frame, title) for frame, title in self.framed if _within(frame, x, y)]
        if frames:
            return min(frames, key=lambda f: (f[0][2] - f[0][0]) * (f[0][3] - f[0][1]))[1]
        here = self.cells.of(x, y)
        inside = [
            i for i, (t, home) in enumerate(zip(self.found, self.homes, strict=True))
            if _same_cell(here, home, (x, y), (t.piece.x0 + 2, t.piece.middle))
        ]  # fmt: skip
        choice = inside or range(len(self.found))
        return self.found[choice[0] if len(choice) == 1 else min(choice, key=lambda i: self._cost(i, x, y))]

    def _cost(self, index: int, x: float, y: float) -> float:
        title, (left, right) = self.found[index], self.spans[index]
        outside = max(left - x, x - right, 0.0)
        down = title.piece.middle - y
        if self.above:
            down = -down
        return 2.0 * outside + (down if down >= 0 else -4.0 * down)


def _within(frame: tuple[float, float, float, float], x: float, y: float) -> bool:
    return frame[0] <= x <= frame[2] and frame[1] <= y <= frame[3]


def _start(title: Title) -> tuple[float, float]:
    return title.piece.x0 + 2, title.piece.middle


def _spans(found: Sequence[Title], width: float, height: float) -> dict[int, tuple[float, float]]:
    """Left and right end of the drawing above each title, by the title's id.

    A numbered title stands at the lower left of its drawing: its drawing runs to the next title's bubble. So do titles that start
    in line from row to row. Another title without number stands centred below: the drawing reaches half way to its neighbours.
    """
    spans: dict[int, tuple[float, float]] = {}
    rows = rows_of(found, height)
    lined_up = _lined_up(rows)
    for row in rows:
        at_left = lined_up or any(title.number for title in row)
        pitch = min((b.box.x0 - a.box.x0 for a, b in pairwise(row)), default=0.4 * width)
        for i, title in enumerate(row):
            if at_left:
                left = title.box.x0 - 0.06 * pitch
                right = row[i + 1].box.x0 - 0.06 * pitch if i + 1 < len(row) else left + max(pitch, title.box.x1 - title.box.x0)
            else:
                centre = title.piece.centre
                half = max(0.5 * (title.piece.x1 - title.piece.x0), 0.2 * width)
                left = (row[i - 1].piece.centre + centre) / 2 if i else centre - half
                right = (row[i + 1].piece.centre + centre) / 2 if i + 1 < len(row) else centre + half
            spans[id(title)] = (left, right)
    return spans


def _lined_up(rows: Sequence[Sequence[Title]]) -> bool:
    """True where most titles start in line with one of another row, though their middles differ."""
    starts = [[(t.piece.x0, t.piece.centre) for t in row] for row in rows]
    hits = total = 0
    for i, row in enumerate(starts):
        others = [one for j, other in enumerate(starts) if j != i for one in other]
        total += len(row)
        hits += sum(any(abs(x - a) < 12 and abs(c - b) > 12 for a, b in others) for x, c in row)
    return total >= 3 and 2 * hits > total


def _titles_above(found: Sequence[Title], marks: Sequence[tuple[float, float]], height: float) -> bool:
    """True where titles stand over their drawings: text lies below the lowest row of titles and none above the highest."""
    rows = rows_of(found, height)
    if not rows or len(marks) < 4:
        return False
    first, last = rows[0][0].piece.middle, rows[-1][0].piece.middle
    over = sum(y < first - 0.02 * height for _, y in marks)
    under = sum(y > last + 0.02 * height for _, y in marks)
    return under > 4 * over and under >= 3


def _same_cell(
    a: tuple[float, float, float, float], b: tuple[float, float, float, float], here: tuple[float, float], there: tuple[float, float]
) -> bool:
    """True where no long rule parts the two places: each lies within the nearest rules of the other."""
    (ax0, ax1, ay0, ay1), (bx0, bx1, by0, by1) = a, b
    within = ax0 - 2 <= there[0] <= ax1 + 2 and ay0 - 2 <= there[1] <= ay1 + 2
    return within and bx0 - 2 <= here[0] <= bx1 + 2 and by0 - 2 <= here[1] <= by1 + 2
