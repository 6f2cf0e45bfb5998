"""Text on the drawing: lines that a person sees as one callout."""

from __future__ import annotations

import re
from bisect import bisect_left
from collections.abc import Sequence
from typing import Any

import numpy

from notelint.layout.blocks import Block, Line
from notelint.layout.pieces import Piece

STEP = 1.62  # ems from line to line within one callout at most (CAD default spacing is 1.66 letter heights, about 1.2 em)
LOOSE = 1.3  # a step this much wider than the usual one of its neighbours starts another callout
_DIMENSION = re.compile(r"^[\d\s'\"\u2018\u2019\u201c\u201d\u2032\u2033\u00b0.,/+\u00b1=~-]*['\"\u2019\u201d\u2032\u2033][\d\s'\"\u2019\u201d\u2032\u2033.,/+\u00b1-]*$")


def is_dimension(text: str) -> bool:
    """True for a dimension without words: 12'-6", 5'-3 3/4"."""
    return bool(_DIMENSION.match(text)) and any(c.isdigit() for c in text)


class Leaders:
    """Ends of lines near text: where leaders leave their callouts."""

    def __init__(self, segments: Any) -> None:
        lines = numpy.asarray(segments, dtype=numpy.float64).reshape(-1, 4)
        ends = numpy.concatenate([lines[:, :2], lines[:, 2:]]) if len(lines) else numpy.zeros((0, 2))
        ends = ends[numpy.isfinite(ends).all(axis=1)]
        ends = ends[numpy.argsort(ends[:, 1], kind="stable")]
        self.ys = ends[:, 1].tolist()
        self.xs = ends[:, 0].tolist()

    def at(self, piece: Piece) -> bool:
        """True where a line ends just left or right of the piece at the height of its letters."""
        em = piece.size
        lo = bisect_left(self.ys, piece.middle - 0.4 * em)
        hi = bisect_left(self.ys, piece.middle + 0.4 * em)
        for x in self.xs[lo : min(hi, lo + 400)]:
            if piece.x0 - 1.2 * em <= x <= piece.x0 - 0.05 * em or piece.x1 + 0.05 * em <= x <= piece.x1 + 1.2 * em:
                return True
        return False


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
        if not 0.88 < piece.size / last.size < 1.14 or (piece.bold != last.bold and not _mixed(group)):
            continue
        em = last.size
        aligned = min(abs(piece.x0 - last.x0), abs(piece.x1 - last.x1), abs(piece.centre - last.centre)) < 0.9 * em
        overlap = min(piece.x1, last.x1) - max(piece.x0, last.x0)
        if not aligned or overlap <= 0:
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
    steps = [b.middle - a.middle for a, b in zip(group, group[1:], strict=False)]
    if len(steps) < 2:
        return [list(group)]
    usual = min(steps)
    parts: list[list[Piece]] = [[group[0]]]
    for step, piece in zip(steps, group[1:], strict=True):
        if step > LOOSE * usual and usual > 0.7 * piece.size:
            parts.append([piece])
        else:
            parts[-1].append(piece)
    return parts
