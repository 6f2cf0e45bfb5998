"""Straight rules of a sheet: long level and upright lines, merged where they were drawn in parts.

A dense CAD sheet holds tens of thousands of segments, nearly all of them short or sloping. numpy throws those away before
anything else looks at them; what is left is a few hundred rules. (Readers of whole-page tables intersect every edge with
every other one, which takes seconds on such a sheet; the columns of a schedule can be read from the rules directly.)
"""

from __future__ import annotations

from typing import Any, NamedTuple

import numpy

LEVEL_MIN = 16.0  # points; shorter level strokes are ticks, glyph parts and hatching
UPRIGHT_MIN = 7.0  # points; a table row is seldom lower
SLOPE = 0.75  # points of drift that still count as straight (scans and rounding)
HAND_STROKES = 3  # strokes of a rule drawn by hand, at least
HAND_SLOPE = 0.12  # of each of its strokes
HAND_DRIFT = 2.0  # points by which a stroke's middle may stand off the rule's
JOIN = 2.5  # points between parts of one rule
MOST = 20000  # rules looked at; a sheet with more is hatching throughout


class Rules(NamedTuple):
    """Level rules as rows (y, x0, x1) by y, upright rules as rows (x, top, bottom) by x."""

    level: Any
    upright: Any


def rules(segments: Any) -> Rules:
    """Long level and upright rules among a sheet's segments (n, 4)."""
    lines = numpy.asarray(segments, dtype=numpy.float64).reshape(-1, 4)
    lines = lines[numpy.isfinite(lines).all(axis=1)]
    lines = numpy.concatenate([lines, _by_hand(lines), _by_hand(lines[:, [1, 0, 3, 2]])[:, [1, 0, 3, 2]]])
    dx, dy = numpy.abs(lines[:, 2] - lines[:, 0]), numpy.abs(lines[:, 3] - lines[:, 1])
    flat = lines[(dy <= SLOPE) & (dx > 2.0)]
    steep = lines[(dx <= SLOPE) & (dy > 2.0)]
    across = numpy.column_stack([(flat[:, 1] + flat[:, 3]) / 2, flat[:, [0, 2]].min(axis=1), flat[:, [0, 2]].max(axis=1)])
    down = numpy.column_stack([(steep[:, 0] + steep[:, 2]) / 2, steep[:, [1, 3]].min(axis=1), steep[:, [1, 3]].max(axis=1)])
    return Rules(_merged(across, LEVEL_MIN), _merged(down, UPRIGHT_MIN))


def _by_hand(lines: Any) -> Any:
    """Level rules drawn with a wavering hand, as straight ones: runs of strokes, each from the last one's end, none far off the middle."""
    if len(lines) < HAND_STROKES:
        return lines[:0]
    dx, dy = lines[:, 2] - lines[:, 0], lines[:, 3] - lines[:, 1]
    level = (numpy.abs(dy) <= HAND_SLOPE * numpy.abs(dx)) & (numpy.abs(dx) > 2.0)
    meets = (numpy.abs(lines[1:, :2] - lines[:-1, 2:]) <= 0.1).all(axis=1) & level[1:] & level[:-1] & (dx[1:] * dx[:-1] > 0)
    heads = numpy.flatnonzero(numpy.concatenate([[True], ~meets]))
    count = numpy.diff(numpy.concatenate([heads, [len(lines)]]))
    heights = (lines[:, 1] + lines[:, 3]) / 2
    middle = numpy.add.reduceat(heights, heads) / count
    off = numpy.maximum.reduceat(numpy.abs(heights - numpy.repeat(middle, count)), heads)
    ends = numpy.column_stack([lines[heads, 0], lines[heads + count - 1, 2]])
    kept = (count >= HAND_STROKES) & (off <= HAND_DRIFT)
    return numpy.column_stack([ends[kept, 0], middle[kept], ends[kept, 1], middle[kept]])


def _merged(lines: Any, least: float) -> Any:
    """Rules at one offset that touch or overlap become one; those shorter than `least` go."""
    if not len(lines):
        return numpy.zeros((0, 3))
    lines = lines[numpy.argsort(lines[:, 0], kind="stable")]
    lane = numpy.concatenate([[0], numpy.cumsum(numpy.diff(lines[:, 0]) > 0.6)])
    order = numpy.lexsort((lines[:, 1], lane))
    lines, lane = lines[order], lane[order]
    apart = 1.0 + numpy.ptp(lines[:, 1:]) + JOIN  # shifts each lane clear of the one before, so that one running maximum serves all
    start, end = lines[:, 1] + lane * apart, lines[:, 2] + lane * apart
    reach = numpy.maximum.accumulate(end)
    first = numpy.concatenate([[True], start[1:] > reach[:-1] + JOIN])
    heads = numpy.flatnonzero(first)
    joined = numpy.column_stack([lines[heads, 0], lines[heads, 1], numpy.maximum.reduceat(lines[:, 2], heads)])
    return joined[joined[:, 2] - joined[:, 1] >= least][:MOST]
