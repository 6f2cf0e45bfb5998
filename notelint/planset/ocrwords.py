"""Lines read from a picture to words with boxes. Spaces that the reader lost show as gaps in the ink."""

from __future__ import annotations

import math
import re
from collections.abc import Sequence
from itertools import pairwise
from typing import NamedTuple

import numpy
from numpy.typing import NDArray

from notelint.model import Word
from notelint.planset.fold import fold
from notelint.planset.join import joined
from notelint.planset.mend import mended
from notelint.planset.ocr import Line
from notelint.planset.ocrfractions import with_true_fractions
from notelint.planset.pieces import Piece, along, displayed

_RULE = 0.7  # a row of pixels this full is a line above or below the writing
_SMALLEST = 3.0  # points; what seems smaller is no writing
_CAP = 0.73  # height of capitals, in parts of the type height


class Bit(NamedTuple):
    """A word of a line: its characters start..end and its ink from x0 to x1, in pixels of the cut-out."""

    start: int
    end: int
    x0: float
    x1: float


def words_of_lines(lines: Sequence[Line], scale: float, angle: float, middle: tuple[float, float]) -> list[Word]:
    """Words in points; the sheet is turned back by `angle` (radians) about `middle` (pixels), so that lines lie level."""
    pieces = [piece for line in lines for piece in _pieces(line, scale, angle, middle)]
    return [word for piece in joined(pieces) if (word := _word(piece))]


def _word(piece: Piece) -> Word | None:
    text = fold(piece.text)
    sure = piece.first / 1000
    if not text or piece.size < _SMALLEST:
        return None
    return Word(text, *displayed(piece.u0, piece.v0, piece.u1, piece.v1, piece.turn), piece.size, piece.turn, sure)


def _pieces(line: Line, scale: float, angle: float, middle: tuple[float, float]) -> list[Piece]:
    """Words of a line, in the frame of its writing."""
    line = with_true_fractions(line)
    ink = _ink(line)
    bits = _bits(line, ink)
    top, base = _rows(ink)
    size = max(1.0, base - top) / _CAP
    out = []
    texts = mended([line.text[bit.start : bit.end] for bit in bits])
    for bit, text in zip(bits, texts, strict=True):
        x0, y0, x1, y1 = _on_sheet(line, (bit.x0, base - 0.8 * size, bit.x1, base + 0.2 * size), angle, middle)
        u0, v0, u1, v1 = along(numpy.array([[x0, y0, x1, y1]]) / scale, numpy.array([line.turn]))[0].tolist()
        sure = line.sure[bit.start : bit.end]
        points = size / scale
        # Confidence rides in `first`, in thousandths, as a picture has no glyph numbers; a space stands on either side.
        # It stays short of 1, which is for words of a text layer.
        thousandths = min(999, round(1000 * sum(sure) / max(1, len(sure))))
        out.append(Piece(text, u0, u1, v0, v1, v1 - 0.2 * points, points, line.turn, thousandths, True, True))
    return _level(out)


def _level(pieces: list[Piece]) -> list[Piece]:
    """All words of a line on one baseline."""
    if not pieces:
        return pieces
    base = sum(p.base for p in pieces) / len(pieces)
    return [p._replace(v0=p.v0 + base - p.base, v1=p.v1 + base - p.base, base=base) for p in pieces]


def _on_sheet(line: Line, box: tuple[float, float, float, float], angle: float, middle: tuple[float, float]) -> tuple[float, ...]:
    """A box of the upright cut-out to pixels of the sheet turned level."""
    height, width = line.picture.shape
    x0, y0, x1, y1 = box[0] / width, box[1] / height, box[2] / width, box[3] / height
    spots = [(x0, y0), (x1, y1)]
    if line.turn == 270:  # reads upwards: along the line is up the quad, down the line is to the right
        spots = [(y, 1 - x) for x, y in spots]
    elif line.turn == 90:
        spots = [(1 - y, x) for x, y in spots]
    a, b, c, d = line.quad.astype(float)
    cos, sin = math.cos(angle), math.sin(angle)
    out = []
    for s, t in spots:
        x, y = (1 - t) * ((1 - s) * a + s * b) + t * ((1 - s) * d + s * c)
        dx, dy = x - middle[0], y - middle[1]
        out.append((middle[0] + cos * dx + sin * dy, middle[1] - sin * dx + cos * dy))
    (xa, ya), (xb, yb) = out
    return min(xa, xb), min(ya, yb), max(xa, xb), max(ya, yb)


def _ink(line: Line) -> NDArray[numpy.bool_]:
    """Dark pixels of a cut-out: darker than half way from its paper to its ink."""
    picture = line.picture.astype(numpy.float32)
    paper, dark = numpy.percentile(picture, 80), numpy.percentile(picture, 2)
    if paper - dark <= 25:
        return numpy.zeros(picture.shape, dtype=numpy.bool_)
    ink: NDArray[numpy.bool_] = picture < (paper + dark) / 2
    ink[ink.mean(axis=1) > _RULE] = False
    return ink


def _rows(ink: NDArray[numpy.bool_]) -> tuple[float, float]:
    """Top of the capitals and the baseline. Below the baseline few letters reach, so the ink falls off steeply there."""
    filled = ink.sum(axis=1)
    most = filled.max(initial=0)
    tops, bodies = numpy.flatnonzero(filled > 0.1 * most), numpy.flatnonzero(filled > 0.35 * most)
    return (float(tops[0]), float(bodies[-1] + 1)) if len(tops) else (0.2 * len(ink), 0.8 * len(ink))


def _bits(line: Line, ink: NDArray[numpy.bool_]) -> list[Bit]:
    """Words of the line as read, cut further where a gap in the ink is as wide as its spaces."""
    width = ink.shape[1]
    spans = [(m.start(), m.end()) for m in re.finditer(r"\S+", line.text)]
    gaps = _gaps(ink)
    cut = _cuts(line, spans, gaps, ink.shape)
    finer: list[tuple[int, int]] = []
    for start, end in spans:
        marks = [start, *[c for c in cut if start < c < end], end]
        finer += list(pairwise(marks))
    edges = _edges(line, finer, gaps, width)
    return [Bit(s, e, x0, x1) for (s, e), (x0, x1) in zip(finer, edges, strict=True)]


def _gaps(ink: NDArray[numpy.bool_]) -> list[tuple[int, int]]:
    """Runs of columns without ink between the top of the capitals and the baseline."""
    top, base = _rows(ink)
    body = ink[max(0, int(top) - 1) : int(base) + 1]
    empty = ~body.any(axis=0)
    edges = numpy.flatnonzero(numpy.diff(numpy.concatenate([[False], empty, [False]]).astype(numpy.int8)))
    return [(int(a), int(b)) for a, b in zip(edges[::2], edges[1::2], strict=True)]


def _between(gaps: Sequence[tuple[int, int]], left: float, right: float) -> tuple[int, int] | None:
    """The widest gap whose middle lies between two places."""
    inside = [g for g in gaps if left < (g[0] + g[1]) / 2 < right]
    return max(inside, key=lambda g: g[1] - g[0], default=None)


def _cuts(line: Line, spans: Sequence[tuple[int, int]], gaps: Sequence[tuple[int, int]], shape: tuple[int, ...]) -> list[int]:
    """Characters before which a space was lost."""
    height, width = shape
    spaces = [
        g[1] - g[0] for (_, end), (start, _) in pairwise(spans)
        if (g := _between(gaps, line.at[end - 1] * width, line.at[start] * width))
    ]  # fmt: skip
    letters = [
        g[1] - g[0] for start, end in spans for i in range(start + 1, end)
        if (g := _between(gaps, line.at[i - 1] * width, line.at[i] * width))
    ]  # fmt: skip
    common = float(numpy.median(letters)) if letters else 0.0
    least = max(0.7 * float(numpy.median(spaces)) if spaces else 0.2 * height, 2.0 * common, 0.1 * height)
    cut = [
        i for start, end in spans for i in range(start + 1, end)
        if (g := _between(gaps, line.at[i - 1] * width, line.at[i] * width)) and g[1] - g[0] >= least
    ]  # fmt: skip
    return [i for i in cut if not _belongs(line.text, i)] if len(cut) <= 0.4 * len(line.text) else []  # more of them: letter-spaced


def _belongs(text: str, at: int) -> bool:
    """Whether the characters on both sides of a gap are of one token by their shape: `1'-6"`, `1/2`, `3,000`, `16` (a 1 is narrow)."""
    left, right = text[at - 1], text[at]
    if (left.isdigit() and right.isdigit()) or (left in "lIi1" and right in "lIi1"):
        return True
    return (
        (left in "/-'(#" and (right.isdigit() or right in "'\"-/"))
        or (right in "/-'\"),.;:" and not left.isspace())
        or (left in ",." and right.isdigit())
    )


def _edges(line: Line, spans: Sequence[tuple[int, int]], gaps: Sequence[tuple[int, int]], width: int) -> list[tuple[float, float]]:
    """Where the ink of each word begins and ends: the gaps between them, or half way where there is none."""
    if not spans:
        return []
    lefts, rights = [], []
    first = gaps[0][1] if gaps and gaps[0][0] == 0 else 0
    last = gaps[-1][0] if gaps and gaps[-1][1] >= width else width
    lefts.append(float(min(first, line.at[spans[0][0]] * width)))
    for (_, end), (start, _) in pairwise(spans):
        a, b = line.at[end - 1] * width, line.at[start] * width
        gap = _between(gaps, a, b)
        rights.append(float(gap[0]) if gap else a + 0.4 * (b - a))
        lefts.append(float(gap[1]) if gap else a + 0.6 * (b - a))
    rights.append(float(max(last, line.at[spans[-1][1] - 1] * width)))
    return list(zip(lefts, rights, strict=True))
