"""Text on the drawing: lines that a person sees as one callout."""

from __future__ import annotations

import itertools
import re
from collections.abc import Sequence
from typing import Any

import numpy

from notelint.layout.blocks import Block, Line
from notelint.layout.pieces import Piece

STEP = 1.62  # ems from line to line within one callout at most (CAD default spacing is 1.66 letter heights, about 1.2 em)
LOOSE = 1.3  # a step this much wider than the usual one of its neighbours starts another callout
AWAY = 2.5  # ems from a text to the end of its leader at least
_TICKS = "'\"\u2018\u2019\u201c\u201d\u2032\u2033"  # foot and inch marks, as fonts and scans write them
_DIMENSION = re.compile(rf"^[\d\s{_TICKS}\u00b0.,/+\u00b1=~-]*[{_TICKS}][\d\s{_TICKS}.,/+\u00b1-]*$")


def is_dimension(text: str) -> bool:
    """True for a dimension without words: 12'-6", 5'-3 3/4"."""
    return bool(_DIMENSION.match(text)) and any(c.isdigit() for c in text)


def _order(values: Any) -> Any:
    """The order that sorts floats of single precision, equal ones as they come: by the lower and then the upper half of their bits,
    which is eight times as fast as comparing."""
    single = values.astype(numpy.float32)
    if not (single == values).all():
        return numpy.argsort(values, kind="stable")
    bits = (single + numpy.float32(0.0)).view(numpy.int32)  # +0.0 turns -0.0 into 0.0
    bits = bits ^ ((bits >> 31) | numpy.int32(-(1 << 31)))
    low = numpy.argsort(bits.astype(numpy.uint16), kind="stable")
    return low[numpy.argsort((bits >> 16).astype(numpy.uint16)[low], kind="stable")]


class Leaders:
    """Ends of lines near text: where leaders leave their callouts, and where they point."""

    def __init__(self, segments: Any) -> None:
        lines = numpy.asarray(segments, dtype=numpy.float64).reshape(-1, 4)
        lines = lines[numpy.isfinite(lines).all(axis=1)]
        ends = numpy.concatenate([lines, lines[:, [2, 3, 0, 1]]])  # x, y of an end, then of the other end of the same line
        self.ends = ends[_order(ends[:, 1])]
        self.ys = numpy.ascontiguousarray(self.ends[:, 1])

    def _near(self, x0: float, x1: float, top: float, bottom: float) -> Any:
        """Line ends inside a rectangle, as rows (x, y, other x, other y)."""
        first, last = numpy.searchsorted(self.ys, (top, bottom))
        part = self.ends[first:last]
        return part[(part[:, 0] >= x0) & (part[:, 0] <= x1)]

    def at(self, piece: Piece) -> bool:
        """True where a line ends just left or right of the piece at the height of its letters."""
        return bool(len(self._starts(piece)))

    def lead(self, piece: Piece) -> bool:
        """True where a line leads away from beside the piece; the outline of a symbol next to it stays near."""
        tip = self.tip([piece]) if self.at(piece) else None
        if tip is None:
            return False
        across = max(piece.x0 - tip[0], tip[0] - piece.x1, 0.0)
        down = max(piece.top - tip[1], tip[1] - piece.bottom, 0.0)
        return max(across, down) > AWAY * piece.size

    def _starts(self, piece: Piece) -> Any:
        em, low, high = piece.size, piece.middle - 0.4 * piece.size, piece.middle + 0.4 * piece.size
        left = self._near(piece.x0 - 1.2 * em, piece.x0 - 0.05 * em, low, high)
        right = self._near(piece.x1 + 0.05 * em, piece.x1 + 1.2 * em, low, high)
        return numpy.concatenate([left, right])

    def tip(self, group: Sequence[Piece]) -> tuple[float, float] | None:
        """Where the leader of a callout points: the far end of the lines that go on from beside its text."""
        for piece in (group[0], group[-1]):
            starts = self._starts(piece)
            away = starts[(starts[:, 2] < piece.x0 - 2) | (starts[:, 2] > piece.x1 + 2)]
            if not len(away):
                continue
            x, y, at_x, at_y = away[numpy.argmax(numpy.abs(away[:, 2] - away[:, 0]) + numpy.abs(away[:, 3] - away[:, 1]))].tolist()
            for _ in range(3):
                onward = self._near(at_x - 1.0, at_x + 1.0, at_y - 1.0, at_y + 1.0)
                onward = onward[(numpy.abs(onward[:, 2] - x) + numpy.abs(onward[:, 3] - y)) > 2.0]
                lengths = numpy.abs(onward[:, 2] - at_x) + numpy.abs(onward[:, 3] - at_y)
                if not len(onward) or lengths.max() < 8.0:
                    break
                x, y, (at_x, at_y) = at_x, at_y, onward[numpy.argmax(lengths), 2:].tolist()
            return at_x, at_y
        return None


def callouts(block: Block, leaders: Leaders) -> list[list[Piece]]:
    """The callouts in a block that is no notes: stacks of lines of one type, step and edge."""
    done: list[list[Piece]] = []
    for line in block.lines:
        home = _home(line, done, leaders)
        if home is None:
            done.append([line.piece])
        else:
            home.append(line.piece)
    return [part for group in done for part in _split(group)]


def _home(line: Line, groups: Sequence[list[Piece]], leaders: Leaders) -> list[Piece] | None:
    """The open callout this line goes on with, or None."""
    piece = line.piece
    for group in reversed(groups[-12:]):
        last = group[-1]
        step = piece.middle - last.middle
        if step <= 0.5 * last.size or step > STEP * max(last.size, piece.size):
            continue
        slack = 1.35 if piece.words[0].sure < 1.0 or last.words[0].sure < 1.0 else 1.14  # sizes of scanned words waver
        if not 1 / slack < piece.size / last.size < slack or (piece.bold != last.bold and not _mixed(group)):
            continue
        em = last.size
        aligned = min(abs(piece.x0 - last.x0), abs(piece.x1 - last.x1), abs(piece.centre - last.centre)) < 0.9 * em
        overlap = min(piece.x1, last.x1) - max(piece.x0, last.x0)
        ragged = step < 1.4 * em and overlap > 0.5 * min(piece.x1 - piece.x0, last.x1 - last.x0) and not leaders.at(piece)
        if not (aligned or ragged) or overlap <= 0:
            continue
        if step > 1.15 * em and leaders.at(piece) and any(leaders.at(p) for p in group):
            continue
        return group
    return None


def _mixed(group: Sequence[Piece]) -> bool:
    """True where a line of the group begins bold and goes on plain."""
    return any(p.words[0].bold and not p.words[-1].bold for p in group)


def _split(group: Sequence[Piece]) -> list[list[Piece]]:
    """A stack cut where the step is clearly wider than the smallest one in it."""
    steps = [b.middle - a.middle for a, b in itertools.pairwise(group)]
    if len(steps) < 2:
        return [list(group)]
    usual = min(steps)
    loose = 1.8 if any(w.sure < 1.0 for piece in group for w in piece.words) else LOOSE
    parts: list[list[Piece]] = [[group[0]]]
    for step, piece in zip(steps, group[1:], strict=True):
        if step > loose * usual and usual > 0.7 * piece.size:
            parts.append([piece])
        else:
            parts[-1].append(piece)
    return parts
