"""Column heads that stand above a table's first rule."""

from __future__ import annotations

import re
from collections.abc import Sequence

from notelint.layout.grids import Grid, Lined
from notelint.layout.pieces import Piece
from notelint.layout.tables import is_head_word, row_lines

COUNTED = re.compile(r"[(#]?\d")
HEAD_WORDS_MOST = 8  # words in a column's head
CELL_GAP = 0.6  # ems; between level rules a gap wider than two spaces parts cells


def with_head_above(grid: Grid, lined: Lined) -> Grid:
    """The outline taken up over column heads that stand above its first rule: a line of several heads over the cells they name."""
    inside = lined.between(grid.ys[0], grid.ys[1], grid.x0 - 1, grid.x1 + 1)
    body = [p for line in row_lines(lined.between(grid.ys[0], grid.ys[-1], grid.x0 - 1, grid.x1 + 1), CELL_GAP) for p in line]
    first = [p for line in row_lines(inside, CELL_GAP) for p in line]
    if not body or _heads([first], body):
        return grid
    em = body[0].size
    over = row_lines(lined.between(grid.ys[0] - 4.5 * em, grid.ys[0], grid.x0 - 1, grid.x1 + 1), CELL_GAP)
    heads: list[list[Piece]] = []
    last = grid.ys[0]
    for line in reversed(over):
        step = last - line[0].middle
        lowest = not heads and len(line) >= 2 and (_heads([line], body) or _over_each(line, body))
        more = bool(heads) and step < 1.4 * em and (len(line) >= 2 or line[0].x0 > heads[0][0].x1) and _under_heads(line, heads[0])
        if step > 1.8 * em or not (lowest or more):
            break
        heads.insert(0, line)
        last = line[0].middle
    if not heads:
        return grid
    top = min(p.top for line in heads for p in line) - 0.5
    return grid._replace(ys=(top, *grid.ys))


def _under_heads(line: Sequence[Piece], below: Sequence[Piece]) -> bool:
    """True where a line above a row of heads is part of them: as bold, in the same type, and starting over them."""
    return all(
        p.bold == below[0].bold and abs(p.size - below[0].size) < 0.06 * p.size and min(abs(p.x0 - b.x0) for b in below) < 0.6 * p.size
        for p in line
    )


def _over_each(line: Sequence[Piece], body: Sequence[Piece]) -> bool:
    """True where three or more short capitalised words without figures stand each at the left edge of two cells or more."""
    short = len(line) >= 3 and all(len(p.words) <= 4 and p.text[:1].isupper() and not any(c.isdigit() for c in p.text) for p in line)
    return short and all(sum(abs(p.x0 - b.x0) < 0.3 * b.size for b in body) >= 2 for p in line)


def _heads(lines: Sequence[Sequence[Piece]], body: Sequence[Piece]) -> bool:
    """True where lines read as heads of the columns in which the cells of a table's body stand."""
    pieces = [p for line in lines for p in line]
    if len(pieces) < 2:
        return False
    fit = sum(any(abs(p.x0 - b.x0) < 0.8 * b.size or abs(p.centre - b.centre) < 0.8 * b.size for b in body if b is not p) for p in pieces)
    named = sum(any(is_head_word(w.text) for w in p.words) for p in pieces)
    bold = all(p.bold for p in pieces) and sum(p.bold for p in body) < 0.6 * len(body)
    values = any(COUNTED.match(p.text) or len(p.words) > HEAD_WORDS_MOST for p in pieces)
    return 2 * fit >= len(pieces) and not values and (bold or 2 * named >= len(pieces))
