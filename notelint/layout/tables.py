"""Schedules as found on a sheet: rows of cells under column heads."""

from __future__ import annotations

import re
from collections.abc import Sequence
from typing import NamedTuple

from notelint.layout.pieces import Piece, pieces, type_size
from notelint.model import Word

_HEAD_WORDS_TEXT = """
    abbr abbreviation anchor anchorage beam bolts callout capacity ceiling code comments condition connection connector count
    criteria demand depth description detail device diameter door drawing each edge embed embedment end fastener fasteners
    field finish floor gage gauge glazing hardware header height hold-down holdown id item jack joint key king length level
    load loads location mark material max meaning member min model nailing nails name no number opening panel part per place
    plate post posts qty quantity reference reinforcing remarks room row sheathing sheet sheets shear sill size
    spacing span steel storey story strap stud studs sym symbol tag thickness title to top type uplift use value wall walls
    where width window
"""
HEAD_WORDS = frozenset(_HEAD_WORDS_TEXT.split())
_STRIP = re.compile(r"[^a-z0-9-]+")


class Row(NamedTuple):
    """A row: for each column the words of its cell line by line, and the merged row it stands under."""

    cells: tuple[tuple[Piece, ...], ...]
    under: str | None = None


class Table(NamedTuple):
    """A schedule as found: title, column heads, rows, and all words that belong to it."""

    title: tuple[Piece, ...]
    heads: tuple[str, ...]
    rows: tuple[Row, ...]
    words: tuple[Word, ...]
    x0: float
    top: float
    x1: float
    bottom: float
    notes: tuple[tuple[Piece, ...], ...] = ()  # sentences that run across the columns
    inherits: bool = False  # the title is that of the table to the left, which goes on here


def inherited(tables: Sequence[Table]) -> list[Table]:
    """Tables without a title (or without heads) beside one with as many columns are its next column: they take its title and heads."""
    out: list[Table] = []
    for table in tables:
        if not table.title or not any(table.heads):
            beside = [t for t in tables if t.title and t.x1 <= table.x0 and _goes_on(t, table)]
            if beside:
                nearest = max(beside, key=lambda t: t.x1)
                table = table._replace(heads=nearest.heads)
                if not table.title:
                    table = table._replace(title=nearest.title, inherits=True)
        out.append(table)
    return out


def _goes_on(before: Table, table: Table) -> bool:
    """True where a table looks like the next column of the one before: same columns, about the same height on the sheet."""
    same = before.heads == table.heads or (not any(table.heads) and len(before.heads) == len(table.heads) and not table.title)
    return same and abs(_first_line(before) - _first_line(table)) < 3 * em_of(table.words)


def _first_line(table: Table) -> float:
    """Height of the first row."""
    return min((p.middle for row in table.rows[:1] for cell in row.cells for p in cell), default=table.top)


def row_lines(words: Sequence[Word], wide: float = 0.9) -> list[list[Piece]]:
    """Words as lines of pieces: pieces on one height, left to right."""
    lines: list[list[Piece]] = []
    for piece in pieces(words, wide):
        if lines and abs(lines[-1][0].middle - piece.middle) < 0.45 * min(lines[-1][0].size, piece.size):
            lines[-1].append(piece)
        else:
            lines.append([piece])
    return [sorted(line, key=lambda p: p.x0) for line in lines]


def is_head_word(text: str) -> bool:
    """True for a word that stands at the head of schedule columns."""
    plain = _STRIP.sub("", text.casefold())
    return plain in HEAD_WORDS or plain.removesuffix("s") in HEAD_WORDS or f"{plain}s" in HEAD_WORDS


def em_of(words: Sequence[Word]) -> float:
    """The usual type size among words."""
    sizes = sorted(type_size(w) for w in words)
    return sizes[len(sizes) // 2] if sizes else 8.0
