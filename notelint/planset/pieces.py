"""Glyphs to pieces: runs of glyphs without a gap, in a frame where all writing runs left to right."""

from __future__ import annotations

from typing import NamedTuple

import numpy
from numpy.typing import NDArray

from notelint.planset.glyphs import Glyphs
from notelint.planset.place import Floats

# In parts of the type height. A space is 0.2 to 0.33 wide in common fonts; kerning and tight CAD fonts open gaps of up to 0.1.
GAP = 0.15
OVERLAP = 0.6
OFF_LINE = 0.12
OTHER_SIZE = 0.12
FAR = 3.0
SPACED = 0.7  # widest gap between letters of one word


class Piece(NamedTuple):
    """A run of glyphs. `u` runs along the writing, `v` across it and downwards, so that every turn reads alike."""

    text: str
    u0: float
    u1: float
    v0: float
    v1: float
    base: float  # baseline, in v
    size: float
    turn: int
    first: int  # its first glyph, for pdfium
    after_space: bool = False  # a space is drawn before it
    before_space: bool = False


def along(box: Floats, turn: NDArray[numpy.int64]) -> Floats:
    """Boxes x0, top, x1, bottom to u0, v0, u1, v1 of their own writing direction."""
    x0, top, x1, bottom = box.T
    frames = {0: (x0, top, x1, bottom), 90: (top, -x1, bottom, -x0), 180: (-x1, -bottom, -x0, -top), 270: (-bottom, x0, -top, x1)}
    out = numpy.empty_like(box)
    for degrees, (u0, v0, u1, v1) in frames.items():
        rows = turn == degrees
        out[rows] = numpy.stack([u0[rows], v0[rows], u1[rows], v1[rows]], axis=1)
    return out


def displayed(u0: float, v0: float, u1: float, v1: float, turn: int) -> tuple[float, float, float, float]:
    """Back from the writing's own frame to x0, top, x1, bottom."""
    if turn == 90:
        return -v1, u0, -v0, u1
    if turn == 180:
        return -u1, -v1, -u0, -v0
    if turn == 270:
        return v0, -u1, v1, -u0
    return u0, v0, u1, v1


def cut(glyphs: Glyphs) -> list[Piece]:
    """Runs of glyphs that follow one another in drawing order on one line without a gap."""
    if not len(glyphs.code):
        return []
    frame = along(glyphs.box, glyphs.turn)
    base = along(numpy.hstack([glyphs.base, glyphs.base]), glyphs.turn)[:, 1]
    solid = glyphs.code != 32
    starts = _starts(glyphs, frame, base, solid)
    text = "".join(map(chr, glyphs.code.tolist()))
    ends = numpy.append(starts[1:], len(text))
    keep = numpy.flatnonzero(solid[starts])
    starts, ends = starts[keep], ends[keep]
    if not len(starts):
        return []
    all_starts = numpy.stack([starts, ends], axis=1).ravel()
    all_starts = all_starts[:-1] if all_starts[-1] >= len(text) else all_starts

    def each(values: Floats, least: bool) -> list[float]:
        reduced = (numpy.minimum if least else numpy.maximum).reduceat(values, all_starts)
        out: list[float] = reduced[::2].tolist()
        return out

    return [
        Piece(text[a:b], *numbers)
        for a, b, *numbers in zip(
            starts.tolist(), ends.tolist(), each(frame[:, 0], True), each(frame[:, 2], False), each(frame[:, 1], True),
            each(frame[:, 3], False), base[starts].tolist(), glyphs.size[starts].tolist(), glyphs.turn[starts].tolist(),
            glyphs.order[starts].tolist(), (~solid[numpy.maximum(starts - 1, 0)]).tolist(),
            (~solid[numpy.minimum(ends, len(solid) - 1)]).tolist(), strict=True,
        )
    ]  # fmt: skip


def _starts(glyphs: Glyphs, frame: Floats, base: Floats, solid: NDArray[numpy.bool_]) -> NDArray[numpy.int64]:
    """Where a new run begins: at a space, a gap, a step back, another line, another size or another turn."""
    size = numpy.minimum(glyphs.size[1:], glyphs.size[:-1])
    gap = frame[1:, 0] - frame[:-1, 2]
    apart = gap < -numpy.maximum(OVERLAP * size, 1.05 * (frame[:-1, 2] - frame[:-1, 0]))
    apart |= numpy.abs(base[1:] - base[:-1]) > OFF_LINE * size
    apart |= numpy.abs(glyphs.size[1:] - glyphs.size[:-1]) > OTHER_SIZE * numpy.maximum(glyphs.size[1:], glyphs.size[:-1])
    apart |= (glyphs.turn[1:] != glyphs.turn[:-1]) | (gap > FAR * size)
    new = apart | (gap > GAP * size) | (solid[1:] != solid[:-1])
    wide = new & ~apart & solid[1:] & solid[:-1]
    if wide.any():
        new[wide] = gap[wide] > (_usual_gap(gap / size, apart, wide) + GAP)[wide] * size[wide]
    return numpy.flatnonzero(numpy.concatenate([[True], new]))


def _usual_gap(gap: Floats, apart: NDArray[numpy.bool_], wide: NDArray[numpy.bool_]) -> Floats:
    """The gap between letters that is usual on each line, where letters are set apart throughout; 0 elsewhere.

    Gaps are in parts of the type height. Writing is set apart where most gaps of a line of some length are wide and alike.
    """
    line = numpy.cumsum(apart)
    out = numpy.zeros(len(gap))
    for number in numpy.unique(line[wide]).tolist():
        first, last = numpy.searchsorted(line, [number, number + 1])
        gaps = gap[first:last][~apart[first:last]]
        low, middle = numpy.percentile(gaps, [25, 50]) if len(gaps) >= 5 else (0.0, 0.0)
        if GAP < middle <= SPACED and low > 0.6 * middle:
            out[first:last] = middle
    return out
