"""Which blocks read as notes and which are callouts."""

from __future__ import annotations

import re
from collections.abc import Sequence
from itertools import pairwise
from typing import Any

from notelint.layout.blocks import Block
from notelint.layout.callouts import Leaders
from notelint.layout.labels import Label, follows, starts
from notelint.layout.notes import Column, may_go_on
from notelint.layout.numbered import beside, numbered_lines
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
    leads = sum(written_lead(line.piece.text, shape.caps) is not None and not leaders.at(line.piece) for line in body)
    wide = max(line.piece.x1 - line.piece.x0 for line in body) / shape.size
    if heads and heads[0] is block.lines[0] and wide > 14 and (NOTE_HEAD.search(heading_text(heads[0].piece)) or len(body) >= 3):
        return True
    if leads >= 2 and wide > 14 and len(body) >= 3 and not any(line.piece.bold for line in body):
        return True
    sentences = sum(line.piece.text.endswith(".") for line in body)
    return wide > 26 and len(body) >= 3 and (not shape.caps or sentences >= 1) and body[-1].piece.text.endswith(".")


def joins(block: Block, context: Sequence[tuple[Label, float]]) -> bool:
    """True where a block carries, at its left edge, the number right before or after one of the sheet's notes (number, type size)."""
    size = block.lines[0].size
    alike = [label for label, other in context if abs(other - size) < 0.08 * size]
    mine = [label for label, line in numbered_lines(block, alike) if line.x0 < block.x0 + 0.6 * size and label.style != "bullet"]
    return any(beside(label, alike) for label in mine)


def rest_of_note(block: Block, columns: Sequence[Column]) -> bool:
    """True where a block without numbers stands beside the top of a column of notes whose last note is unfinished: its rest."""
    first = block.lines[0].piece
    if first.bold or first.words[0].turn:
        return False
    for column in columns:
        last = next((item for item in reversed(column.items) if not item.heading), None)
        if last is None or not may_go_on(column, last.words[-1][0].text, first.words[0]):
            continue
        em = last.size
        beside = 0 < block.x0 - column.block.x1 < 12 * em and abs(block.top - column.block.top) < 3 * em
        if beside and abs(first.size - em) < 0.05 * em and block.x1 - block.x0 < 1.1 * (column.block.x1 - column.block.x0):
            return True
    return False
