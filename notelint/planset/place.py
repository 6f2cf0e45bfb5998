"""From a page's own coordinates to the sheet as displayed."""

from __future__ import annotations

from typing import NamedTuple

import numpy
from numpy.typing import NDArray

Floats = NDArray[numpy.float64]


class Placing(NamedTuple):
    """How a page is shown: its box in its own coordinates (points, y upwards) and its /Rotate in degrees clockwise."""

    x0: float
    y0: float
    x1: float
    y1: float
    rotate: int

    @property
    def width(self) -> float:
        """Width as displayed, in points."""
        return self.y1 - self.y0 if self.rotate in (90, 270) else self.x1 - self.x0

    @property
    def height(self) -> float:
        """Height as displayed, in points."""
        return self.x1 - self.x0 if self.rotate in (90, 270) else self.y1 - self.y0

    def points(self, x: Floats, y: Floats) -> tuple[Floats, Floats]:
        """Page coordinates to (left, top) on the sheet as displayed."""
        if self.rotate == 90:
            return y - self.y0, x - self.x0
        if self.rotate == 180:
            return self.x1 - x, y - self.y0
        if self.rotate == 270:
            return self.y1 - y, self.x1 - x
        return x - self.x0, self.y1 - y

    def boxes(self, boxes: Floats) -> Floats:
        """(n, 4) boxes of left, bottom, right, top in page coordinates to x0, top, x1, bottom as displayed."""
        xa, ya = self.points(boxes[:, 0], boxes[:, 1])
        xb, yb = self.points(boxes[:, 2], boxes[:, 3])
        return numpy.stack([numpy.minimum(xa, xb), numpy.minimum(ya, yb), numpy.maximum(xa, xb), numpy.maximum(ya, yb)], axis=1)

    def segments(self, segments: Floats) -> Floats:
        """(n, 4) pairs of points to the same as displayed."""
        xa, ya = self.points(segments[:, 0], segments[:, 1])
        xb, yb = self.points(segments[:, 2], segments[:, 3])
        return numpy.stack([xa, ya, xb, yb], axis=1)

    def turns(self, dx: Floats, dy: Floats) -> tuple[NDArray[numpy.int64], Floats]:
        """How far writing that runs along (dx, dy) on the page is turned clockwise on the sheet: the nearest quarter, and the rest."""
        angle = numpy.degrees(numpy.arctan2(-dy, dx)) + self.rotate
        quarters = numpy.rint(angle / 90.0)
        turned: NDArray[numpy.int64] = (quarters.astype(numpy.int64) % 4) * 90
        return turned, angle - 90.0 * quarters
