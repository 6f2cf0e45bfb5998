"""Bubbles among a page's paths: closed rounds, drawn by program or by hand, whole or side by side."""

from __future__ import annotations

import numpy
from numpy.typing import NDArray

Floats = NDArray[numpy.float64]
Ints = NDArray[numpy.int64]

BUBBLE = (7.0, 80.0)
"""Smallest and largest width of a bubble, in points."""


def rounds(begins: Ints, xy: Floats, stroked: NDArray[numpy.bool_]) -> Floats:
    """Boxes (n, 4) of closed round subpaths, and of rounds drawn side by side as subpaths that go on where the one before ends.

    `begins` holds where the subpaths begin among the points `xy`.
    """
    if not len(begins):
        return numpy.zeros((0, 4))
    ends = numpy.append(begins[1:], len(xy))
    drawn = stroked[numpy.minimum(begins + 1, len(xy) - 1)]
    many = (ends - begins >= 5) & (ends - begins <= 200) & drawn
    spans = [*zip(begins[many].tolist(), ends[many].tolist(), strict=True), *_chains(xy, begins, ends, drawn)]
    out = [box for a, b in spans if (box := _round(xy[a:b])) is not None]
    return numpy.array(out).reshape(-1, 4)


def _chains(xy: Floats, begins: Ints, ends: Ints, drawn: NDArray[numpy.bool_]) -> list[tuple[int, int]]:
    """First and last point of runs of short lines, each of which begins where the one before it ends."""
    if len(begins) < _MANY:
        return []
    starts, stops = xy[begins], xy[ends - 1]
    short = drawn & (numpy.hypot(*(stops - starts).T) <= _SIDE) & (ends - begins >= 2)
    on = short[:-1] & short[1:] & (numpy.hypot(*(starts[1:] - stops[:-1]).T) <= _APART)
    edges = numpy.flatnonzero(numpy.diff(numpy.concatenate([[False], on, [False]]).astype(numpy.int8)))
    runs = zip(edges[::2].tolist(), edges[1::2].tolist(), strict=True)
    return [(int(begins[first]), int(ends[last])) for first, last in runs if _MANY <= last - first + 1 <= 200]


def _round(points: Floats) -> list[float] | None:
    """The box of a closed round: its points all as far from the middle as half the width, four or more of them."""
    low, high = points.min(axis=0), points.max(axis=0)
    wide, tall = (high - low).tolist()
    if not (BUBBLE[0] <= wide <= BUBBLE[1] and 0.84 <= wide / max(tall, 0.01) <= 1.19):
        return None
    away = numpy.hypot(*(points - (low + high) / 2).T)
    radius = max(wide, tall) / 2
    closed = numpy.hypot(*(points[0] - points[-1])) <= 0.5 * radius
    even = 0.9 * radius <= away.min() and away.max() <= 1.08 * radius
    return [*low.tolist(), *high.tolist()] if closed and (even or _by_hand(points)) else None


_SIDE = 16.0  # points; longer lines are no sides of a bubble
_APART = 1.0  # points from the end of one side to the beginning of the next
_MANY = 10  # points of a bubble that is drawn by hand
_UNEVEN = 0.14  # parts of its radius by which such a bubble's points may stand in or out


def _by_hand(points: Floats) -> bool:
    """True for a round that wavers as a hand does: many points about as far from their middle."""
    if len(points) < _MANY:
        return False
    away = numpy.hypot(*(points - points.mean(axis=0)).T)
    usual = float(away.mean())
    return bool(away.min() >= (1 - _UNEVEN) * usual and away.max() <= (1 + _UNEVEN) * usual)
