"""What tables without rules share: pairs of pieces at common edges, and the title above."""

from __future__ import annotations

import re
from collections.abc import Sequence
from typing import NamedTuple

from notelint.layout.pieces import Piece
from notelint.layout.tables import Row, Table

ACROSS = 40.0  # ems from one cell to the next at most
DOWN = 3.0  # ems from one line of a table to the next at most
TITLE_NOUN = re.compile(r"\b(?:SCHEDULES?|TABLE|LIST|LEGEND|INDEX|KEY)\b", re.IGNORECASE)
DIGIT = re.compile(r"\d")


class Pair(NamedTuple):
    """A piece and its neighbour to the right, as indices."""

    left: int
    right: int


def make_table(title: Piece | None, heads: Sequence[str], rows: Sequence[Sequence[Sequence[Piece]]], extra: Sequence[Piece] = ()) -> Table:
    pieces = [p for row in rows for cell in row for p in cell]
    every = [*pieces, *extra, *([title] if title else [])]
    return Table(
        (title,) if title else (),
        tuple(heads),
        tuple(Row(tuple(tuple(cell) for cell in row)) for row in rows),
        tuple(w for p in every for w in p.words),
        min(p.x0 for p in every),
        min(p.top for p in every),
        max(p.x1 for p in every),
        max(p.bottom for p in every),
    )


def aligned_pairs(items: Sequence[Piece], pairs: Sequence[Pair], least: int, centred: bool = False) -> list[list[Pair]]:
    """Pairs whose left and right pieces each start at one edge and that follow one another down the sheet.

    The left ones may stand one under another by their middles where `centred` says so, as marks in symbols do.
    """
    groups: list[list[Pair]] = []
    for pair in sorted(pairs, key=lambda p: items[p.left].middle):
        left, right = items[pair.left], items[pair.right]
        for group in reversed(groups[-40:]):
            a, b = items[group[-1].left], items[group[-1].right]
            below = 0.5 * a.size < left.middle - a.middle < 9 * a.size
            in_line = abs(a.x0 - left.x0) < 0.5 * a.size or (centred and abs(a.centre - left.centre) < 0.4 * a.size)
            if below and in_line and abs(b.x0 - right.x0) < 0.5 * b.size:
                group.append(pair)
                break
        else:
            groups.append([pair])
    return [g for g in groups if len(g) >= least]


def title_above(items: Sequence[Piece], first_row: Sequence[Piece], exact: bool = False) -> Piece | None:
    """The line above a table, bold, in capitals or larger, that begins over it (`exact`: at its left end)."""
    em = first_row[0].size
    left, right = min(p.x0 for p in first_row) - 3 * em, max(p.x1 for p in first_row) + 2 * em
    top = min(p.middle for p in first_row)
    if exact:
        left, right = first_row[0].x0 - 1.0 * em, first_row[0].x0 + 1.0 * em
    own = {id(p) for p in first_row}
    best: Piece | None = None
    for piece in items:
        gap = top - piece.middle
        if id(piece) in own or not 0.8 * em < gap < 3.6 * max(em, piece.size):
            continue
        at_left = abs(piece.x0 - first_row[0].x0) < 1.5 * em
        reach = left - 6 * em if TITLE_NOUN.search(piece.text) and not exact else left
        if not reach <= piece.x0 <= right or (piece.x1 > right + 6 * em and not (exact or at_left)):
            continue
        text = piece.text
        loud = piece.bold or text.upper() == text or piece.size > 1.1 * em
        if loud and len(piece.words) <= 8 and (best is None or piece.middle > best.middle):
            best = piece
    return best
