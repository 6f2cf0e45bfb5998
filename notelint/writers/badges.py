"""Where a numbered badge may stand on a sheet without covering what is drawn there."""

from __future__ import annotations

from collections.abc import Iterator, Sequence

import numpy
import pypdfium2
from numpy.typing import NDArray

from notelint.model import Box
from notelint.planset.document import render

INK_SCALE = 0.5  # pixels a point
INK_PIXELS = 4e6  # of a sheet at most
DARK = 225  # grey levels below this are ink
GAP = 3.0  # points between words and badge
CLEAR = 0.01  # part of a badge's place that may hold ink


class Ink:
    """What is drawn on a sheet, coarsely: sums over any rectangle in one step."""

    def __init__(self, page: pypdfium2.PdfPage) -> None:
        width, height = page.get_size()
        scale = min(INK_SCALE, (INK_PIXELS / max(1.0, width * height)) ** 0.5)
        grey = numpy.asarray(render(page, Box(0.0, 0.0, width, height), scale, grey=True))
        sums = numpy.cumsum(numpy.cumsum(grey < DARK, axis=0, dtype=numpy.int32), axis=1, dtype=numpy.int32)
        self._sums: NDArray[numpy.int32] = numpy.pad(sums, ((1, 0), (1, 0)))
        self._scale = grey.shape[1] / width

    def part(self, box: Box) -> float:
        """How much of a box is ink, 0 to 1."""
        high, wide = self._sums.shape[0] - 1, self._sums.shape[1] - 1
        x0, x1 = (min(wide, max(0, round(x * self._scale))) for x in (box.x0, box.x1))
        y0, y1 = (min(high, max(0, round(y * self._scale))) for y in (box.top, box.bottom))
        area = (x1 - x0) * (y1 - y0)
        return float(self._sums[y1, x1] - self._sums[y0, x1] - self._sums[y1, x0] + self._sums[y0, x0]) / area if area else 0.0


def place_badge(number: int, words: Box | None, size: tuple[float, float], taken: Sequence[Box], ink: Ink | None) -> Box:
    """The badge for a question beside its words, or at the head of the sheet: on blank paper where there is some near.

    `size` is the sheet's in points; `taken` are badges that stand there already. Without `ink` the nearest free place is taken.
    """
    high = min(20.0, max(11.0, size[0] / 130))
    wide = high * (0.6 + 0.6 * len(str(number)))
    best, least = None, 2.0
    for left, top in _corners(words, wide, high):
        badge = Box(left, top, left + wide, top + high)
        if left < 1 or top < 1 or badge.x1 > size[0] - 1 or badge.bottom > size[1] - 1 or any(_overlap(badge, other) for other in taken):
            continue
        covered = ink.part(badge) if ink else 0.0
        if covered < least:
            best, least = badge, covered
        if least <= CLEAR:
            break
    return best or Box(1.0, 1.0, 1.0 + wide, 1.0 + high)


def _corners(words: Box | None, wide: float, high: float) -> Iterator[tuple[float, float]]:
    """Upper left corners to try, nearest first."""
    if words is None:
        yield from ((high + i * (wide + 1), high + j * (high + 1)) for j in range(12) for i in range(12))
        return
    middle = (words.top + words.bottom - high) / 2
    for step in range(8):
        away = GAP + step * (wide + 1) / 2
        for top in (words.top - 1, middle, words.bottom - high + 1):
            yield words.x0 - wide - away, top
            yield words.x1 + away, top
    for step in range(4):
        away = GAP + step * (high + 1) / 2
        for left in (words.x0, (words.x0 + words.x1 - wide) / 2, words.x1 - wide):
            yield left, words.top - high - away
            yield left, words.bottom + away
    yield words.x1 - wide, words.bottom - high  # upon the end of the words


def _overlap(a: Box, b: Box) -> bool:
    return a.x0 < b.x1 and b.x0 < a.x1 and a.top < b.bottom and b.top < a.bottom
