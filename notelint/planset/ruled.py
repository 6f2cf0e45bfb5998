"""Ruled lines of a sheet's picture: table rules, the title block's frame, long leaders along the sheet."""

from __future__ import annotations

import math

import numpy
from numpy.typing import NDArray

from notelint.planset.limits import MAX_SEGMENTS

_DPI = 100.0
_SHORTEST_IN = 0.35
_THICK_PX = 5
_MOST_SKEW = 0.06  # radians, some 3.4 degrees
_LEAST_SKEW = 0.0006  # a point over 20 in
_POINTS = 200_000  # points of ink looked at
_STROKE_PX = 14
_BREAK_PX = 8  # a gap in a line that a crossing or a fleck may have made


def skew(picture: NDArray[numpy.uint8], scale: float) -> float:
    """By how many radians the level lines of a scan fall to the right.

    The angle at which rows and columns of ink are fullest: frames, rules and lines of writing all count, so that a sheet of few
    words is turned level as well. `scale` is pixels of the picture a point.
    """
    import cv2

    shrink = _DPI / 72 / scale
    small = cv2.resize(picture, None, fx=shrink, fy=shrink, interpolation=cv2.INTER_AREA)
    y, x = numpy.nonzero(small < int(numpy.percentile(small, 60)) - 40)
    if len(x) < 200:
        return 0.0
    step = -(-len(x) // _POINTS)
    x, y = x[::step].astype(numpy.float32), y[::step].astype(numpy.float32)

    def fullness(angle: float) -> float:
        rows = numpy.bincount((y - angle * x + _MOST_SKEW * small.shape[1]).astype(numpy.int64))
        columns = numpy.bincount((x + angle * y + _MOST_SKEW * small.shape[0]).astype(numpy.int64))
        return float((rows.astype(numpy.float64) ** 2).sum() + (columns.astype(numpy.float64) ** 2).sum())

    best = 0.0
    for width, parts in ((_MOST_SKEW, 60), (0.002, 8), (0.0005, 5)):
        best = max((best + width * k / parts for k in range(-parts, parts + 1)), key=fullness)
    return best if abs(best) > _LEAST_SKEW else 0.0


def ruled_lines(picture: NDArray[numpy.uint8], scale: float, angle: float) -> NDArray[numpy.float32]:
    """Level and upright lines as (n, 4) x0, top, x1, bottom in points, after turning the picture level by `angle` radians.

    `scale` is pixels of the picture a point. Lines aslant are left out: in a scan they cannot be told from hatching.
    """
    import cv2

    height, width = picture.shape
    shrink = _DPI / 72 / scale
    turn = cv2.getRotationMatrix2D((width / 2, height / 2), math.degrees(angle), 1.0)
    turn[:, :] *= shrink
    size = (max(8, round(width * shrink)), max(8, round(height * shrink)))
    level = cv2.warpAffine(picture, turn, size, flags=cv2.INTER_AREA, borderMode=cv2.BORDER_REPLICATE)
    dark = (level < int(numpy.percentile(level, 60)) - 40).astype(numpy.uint8)
    length = round(_SHORTEST_IN * _DPI)
    found = [*_along(dark, length), *((y0, x0, y1, x1) for x0, y0, x1, y1 in _along(numpy.ascontiguousarray(dark.T), length))]
    lines = numpy.array(found, dtype=numpy.float32).reshape(-1, 4)[:MAX_SEGMENTS]
    return lines * numpy.float32(72 / _DPI)


def _along(dark: NDArray[numpy.uint8], length: int) -> list[tuple[float, float, float, float]]:
    """Thin runs along the rows, at least `length` pixels long."""
    import cv2

    # Strokes of letters are shorter than this, so that the gaps between letters are not bridged to lines.
    strokes = cv2.morphologyEx(dark, cv2.MORPH_OPEN, numpy.ones((1, _STROKE_PX), numpy.uint8))
    strokes = cv2.dilate(strokes, numpy.ones((2, 1), numpy.uint8))  # a line that is a hair aslant goes on one row further down
    joined = cv2.morphologyEx(strokes, cv2.MORPH_CLOSE, numpy.ones((1, _BREAK_PX), numpy.uint8))
    _, _, stats, _ = cv2.connectedComponentsWithStats(joined, connectivity=8)
    out = []
    for x, y, wide, tall, _ in stats[1:].tolist():
        if wide >= length and tall <= _THICK_PX + wide / 200:
            middle = y + tall / 2
            out.append((float(x), middle, float(x + wide), middle))
    return out
