"""Round bubbles of a sheet's picture, and the writing in them, which is too short for the finder of lines."""

from __future__ import annotations

from collections.abc import Sequence

import numpy
from numpy.typing import NDArray

from notelint.planset.ocr import Pixels, Quad

_DPI = 100.0
_RADII = (10, 32)  # pixels at that resolution: bubbles of 0.2 to 0.64 in
_ROUND = 0.93  # share of the ring that is ink
_CLEAR = 0.75  # share of the disc that is paper
_MOST = 300

Floats = NDArray[numpy.float64]


def rings(picture: Pixels, scale: float) -> Floats:
    """Middles and radii of bubbles, (n, 3) in pixels of `picture`, which has `scale` pixels a point."""
    import cv2

    shrink = _DPI / 72 / scale
    small = cv2.resize(picture, None, fx=shrink, fy=shrink, interpolation=cv2.INTER_AREA)
    soft = cv2.GaussianBlur(small, (3, 3), 0)
    found = cv2.HoughCircles(soft, cv2.HOUGH_GRADIENT, 1, 14, param1=120, param2=22, minRadius=_RADII[0], maxRadius=_RADII[1])
    if found is None:
        return numpy.zeros((0, 3))
    limit = float(numpy.percentile(small, 60)) - 40
    kept = [ring for ring in found[0][: 10 * _MOST].tolist() if _is_bubble(small < limit, *ring)]
    return numpy.array(kept[:_MOST]).reshape(-1, 3) / shrink


def _is_bubble(dark: NDArray[numpy.bool_], x: float, y: float, radius: float) -> bool:
    """Whether the circle is drawn all the way round and next to empty within, where a letter or hatching would be neither."""
    ring = _sample(dark, x, y, radius + numpy.arange(-2.0, 3.0)).any(axis=0)
    disc = _sample(dark, x, y, radius * numpy.linspace(0.1, 0.8, 8))
    return bool(ring.mean() > _ROUND and 1.0 - disc.mean() > _CLEAR)


def _sample(dark: NDArray[numpy.bool_], x: float, y: float, radii: Floats) -> NDArray[numpy.bool_]:
    """Pixels on circles about a point: (circles, 64)."""
    angle = numpy.linspace(0.0, 2 * numpy.pi, 64, endpoint=False)
    columns = numpy.rint(x + numpy.outer(radii, numpy.cos(angle))).astype(int).clip(0, dark.shape[1] - 1)
    rows = numpy.rint(y + numpy.outer(radii, numpy.sin(angle))).astype(int).clip(0, dark.shape[0] - 1)
    taken: NDArray[numpy.bool_] = dark[rows, columns]
    return taken


def quads_in(found: Floats, picture: Pixels, known: Sequence[Quad]) -> list[Quad]:
    """Where writing may stand in the bubbles: the middle, or the halves of one that is cut by a line; none where it is known."""
    middles = numpy.array([quad.mean(axis=0) for quad in known]).reshape(-1, 2)
    out = []
    for x, y, radius in found.tolist():
        boxes = [(x - 0.7 * radius, y - 0.62 * radius, x + 0.7 * radius, y + 0.62 * radius)]
        if _is_halved(picture, x, y, radius):
            boxes = [
                (x - 0.62 * radius, y - 0.82 * radius, x + 0.62 * radius, y - 0.1 * radius),
                (x - 0.8 * radius, y + 0.1 * radius, x + 0.8 * radius, y + 0.72 * radius),
            ]
        for x0, top, x1, bottom in boxes:
            inside = (middles[:, 0] > x0) & (middles[:, 0] < x1) & (middles[:, 1] > top) & (middles[:, 1] < bottom)
            if not inside.any():
                out.append(numpy.array([[x0, top], [x1, top], [x1, bottom], [x0, bottom]], dtype=numpy.float32))
    return out


def _is_halved(picture: Pixels, x: float, y: float, radius: float) -> bool:
    """Whether a line runs across the bubble at half its height."""
    left, right = max(0, round(x - 0.8 * radius)), round(x + 0.8 * radius)
    band = picture[max(0, round(y - 0.12 * radius)) : round(y + 0.12 * radius) + 1, left:right]
    disc = picture[max(0, round(y - radius)) : round(y + radius), left:right]
    if not band.size or not disc.size:
        return False
    limit = float(numpy.percentile(disc, 70)) - 60
    return bool((band < limit).any(axis=0).mean() > 0.92 and (band < limit).mean(axis=1).max() > 0.6)
