"""Schedules without rules: column heads over aligned cells, keys with a mark beside each item, labels beside values."""

from __future__ import annotations

from collections.abc import Sequence

from notelint.layout.pieces import Piece
from notelint.layout.tables import Table


def open_tables(items: Sequence[Piece]) -> tuple[list[Table], list[Piece]]:
    """Tables found by alignment alone, and the pieces that are left."""
    return [], list(items)
