"""What tells the lines of a drawing from the rules of a table."""

from __future__ import annotations

from collections.abc import Sequence
from itertools import pairwise

from notelint.layout.grids import Grid
from notelint.layout.pieces import Piece, type_size
from notelint.layout.tables import row_lines
from notelint.model import Word

SPACE = 0.5  # ems; words no further apart belong to one text
SPARSE = 4.5  # times the height of its text that a row of a table without heads takes at most


def lines_through_text(grid: Grid, contents: Sequence[Sequence[Word]], walls: bool) -> bool:
    """True where upright lines pass between or through the words of one text, in a quarter of the rows with text or more."""
    if not walls:
        return False
    crossed = sum(any(_crosses(grid, piece) for line in row_lines(words) for piece in line) for words in contents if words)
    return crossed > 0 and 4 * crossed >= sum(bool(words) for words in contents)


def _crosses(grid: Grid, piece: Piece) -> bool:
    """True where an upright line passes through a word of a piece, or between two with no more than a space."""
    em = piece.size
    passing = [x for x, top, bottom in grid.upright if top < piece.middle < bottom]
    through = any(w.x0 + 0.2 * em < x < w.x1 - 0.2 * em for w in piece.words for x in passing)
    gaps = [(a.x1 - 0.2 * em, b.x0 + 0.2 * em) for a, b in pairwise(piece.words) if b.x0 - a.x1 < SPACE * em]
    return through or any(left <= x <= right for left, right in gaps for x in passing)


def sparse(grid: Grid, contents: Sequence[Sequence[Word]]) -> bool:
    """True where most rows are many times as high as the text in them."""
    high = 0
    filled = [(bottom - top, words) for (top, bottom), words in zip(pairwise(grid.ys), contents, strict=True) if words]
    for height, words in filled:
        em = sorted(type_size(w) for w in words)[len(words) // 2]
        lines = len(row_lines(words))
        high += height > SPARSE * 1.25 * em * lines
    return 2 * high > len(filled)
