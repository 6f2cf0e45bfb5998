"""Schedules without rules: column heads over aligned cells, keys with a mark beside each item, labels beside or above values."""

from __future__ import annotations

import re
from collections.abc import Sequence

from notelint.layout.callouts import Leaders
from notelint.layout.headed import headed_tables
from notelint.layout.keys import index_tables, key_tables, legend_tables
from notelint.layout.labelled import alternate_tables, labelled_tables
from notelint.layout.pieces import Piece, piece_of
from notelint.layout.tables import Table
from notelint.model import Word

DOTS = re.compile(r"^\.{4,}$|^(?:\.\s?){4,}$|^\u2026+$")


def open_tables(items: Sequence[Piece], leaders: Leaders) -> tuple[list[Table], list[Piece]]:
    """Tables found by alignment alone, and the pieces that are left. Text with a leader at its side is a callout, no cell."""
    found: list[Table] = []
    rest = [part for piece in items for part in _without_dots(piece)]
    for finder in (headed_tables, key_tables, index_tables, legend_tables, labelled_tables, alternate_tables):
        for table in finder(rest):
            gone = {id(w) for w in table.words}
            if not any(id(p.words[0]) in gone for p in rest):
                continue
            led = sum(leaders.lead(p) for row in table.rows for cell in row.cells for p in cell)
            if led * 3 > len(table.rows):
                continue
            found.append(table)
            rest = [p for p in rest if not any(id(w) in gone for w in p.words)]
    return found, rest


def _without_dots(piece: Piece) -> list[Piece]:
    """A line with dots between label and value cut there, without the dots; other lines as they are."""
    if not any(DOTS.search(w.text) for w in piece.words):
        return [piece]
    parts: list[list[Word]] = [[]]
    for word in piece.words:
        if DOTS.search(word.text):
            parts.append([])
        else:
            parts[-1].append(word)
    return [piece_of(part) for part in parts if part]
