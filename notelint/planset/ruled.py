"""Ruled lines of a sheet's picture: table rules, the title block's frame, long leaders along the sheet."""

from __future__ import annotations

import math

import numpy
from numpy.typing import NDArray

from notelint.planset.limits import MAX_SEGMENTS

_DPI = 100.0
_SHORTEST_IN = 0.35
_THICK_PX = 5
_STROKE_PX = 14
_BREAK_PX = 8  # a gap in a line that a crossing or a fleck may have made


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
