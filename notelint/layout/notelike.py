"""Which blocks read as notes and which are callouts."""

from __future__ import annotations

import re
from collections.abc import Sequence
from itertools import pairwise
from typing import Any

from notelint.layout.blocks import Block
from notelint.layout.callouts import Leaders
from notelint.layout.labels import follows, starts
from notelint.layout.notes import Column
from notelint.layout.numbered import numbered_lines
from notelint.layout.shapes import bold_lead, heading_text, is_heading, shape_of, written_lead

NOTE_HEAD = re.compile(r"\b(?:NOTES?|SPECIFICATIONS?|REQUIREMENTS|CRITERIA|GENERAL)\b", re.IGNORECASE)


def note_like(block: Block, across: Any, leaders: Leaders) -> bool:
    """True where a block reads as notes: numbers in sequence, leads, or running text under a heading or of a column's width."""
    shape = shape_of(block)
    labels = [label for label, _ in numbered_lines(block)]
    for a, b in pairwise(labels):
        if follows(a, b) and a.style != "bullet":
            return True
    if sum(label.style == "bullet" for label in labels) >= 2:
        return True
    heads = [line for line in block.lines if is_heading(line, shape, across)]
    body = [line for line in block.lines if line not in heads]
    if not body:
        return False
    if labels and any(starts(label) for label in labels) and (heads or len(body) >= 2):
        return True
    if sum(bold_lead(line.piece.words) is not None for line in body) >= 2:
        return True
    leads = sum(written_lead(line.piece.text) is not None and not leaders.at(line.piece) for line in body)
    wide = max(line.piece.x1 - line.piece.x0 for line in body) / shape.size
    if heads and heads[0] is block.lines[0] and wide > 14 and (NOTE_HEAD.search(heading_text(heads[0].piece)) or len(body) >= 3):
        return True
    if leads >= 2 and wide > 14 and len(body) >= 3 and not any(line.piece.bold for line in body):
        return True
    sentences = sum(line.piece.text.endswith(".") for line in body)
    return wide > 26 and len(body) >= 3 and (not shape.caps or sentences >= 1) and body[-1].piece.text.endswith(".")


def joins(block: Block, columns: Sequence[Column]) -> bool:
    """True where a block of a single note carries the number that comes before or after a note already found."""
    labels = numbered_lines(block)
    if not labels or labels[0][1] is not block.lines[0] or labels[0][0].style == "bullet":
        return False
    first, last, size = labels[0][0], labels[-1][0], block.lines[0].size
    return any(
        item.label is not None and abs(item.size - size) < 0.08 * size and (follows(item.label, first) or follows(last, item.label))
        for column in columns
        for item in column.items
    )
