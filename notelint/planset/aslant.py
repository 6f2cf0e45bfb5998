"""Writing that runs aslant, as along the walls of a wing: words by the way from one glyph's origin to the next."""

from __future__ import annotations

import numpy

from notelint.planset.glyphs import Glyphs
from notelint.planset.pieces import Piece, along

LEAST = 3.0  # degrees from the nearest quarter


def pieces_aslant(glyphs: Glyphs) -> list[Piece]:
    """Words of the glyphs that run aslant, each with the level box around it."""
    index = numpy.flatnonzero(numpy.abs(glyphs.slant) > LEAST)
    if not len(index):
        return []
    runs: list[list[int]] = []
    for last, at in zip([-1, *index.tolist()], index.tolist(), strict=False):
        if last < 0 or not _goes_on(glyphs, last, at):
            runs.append([])
        runs[-1].append(at)
    return [_piece(glyphs, word) for run in runs for word in _words(glyphs, run)]


def _goes_on(glyphs: Glyphs, last: int, at: int) -> bool:
    """Whether a glyph stands on the line of the one before it, a little further on."""
    size = glyphs.size[last]
    if at != last + 1 or abs(glyphs.slant[at] - glyphs.slant[last]) > 1.0 or glyphs.turn[at] != glyphs.turn[last]:
        return False
    angle = numpy.radians(glyphs.turn[last] + glyphs.slant[last])
    dx, dy = glyphs.base[at] - glyphs.base[last]
    on, off = dx * numpy.cos(angle) + dy * numpy.sin(angle), dy * numpy.cos(angle) - dx * numpy.sin(angle)
    return bool(-0.1 * size <= on <= 1.6 * size and abs(off) <= 0.15 * size)


def _words(glyphs: Glyphs, run: list[int]) -> list[list[int]]:
    """Cut at the spaces that are drawn."""
    words: list[list[int]] = [[]]
    for at in run:
        if glyphs.code[at] == 32:
            words.append([])
        else:
            words[-1].append(at)
    return [word for word in words if word]


def _piece(glyphs: Glyphs, word: list[int]) -> Piece:
    boxes = glyphs.box[word]
    around = numpy.array([[*boxes[:, :2].min(axis=0), *boxes[:, 2:].max(axis=0)]])
    u0, v0, u1, v1 = along(around, glyphs.turn[word[:1]])[0].tolist()
    text = "".join(map(chr, glyphs.code[word].tolist()))
    size = float(glyphs.size[word[0]])
    return Piece(text, u0, u1, v0, v1, v1 - 0.2 * size, size, int(glyphs.turn[word[0]]), int(glyphs.order[word[0]]), True, True)


def without_slanted(glyphs: Glyphs) -> Glyphs:
    """The glyphs that run along or up the sheet."""
    keep = numpy.abs(glyphs.slant) <= LEAST
    if keep.all():
        return glyphs
    return glyphs._replace(**{name: getattr(glyphs, name)[keep] for name in ("code", "box", "base", "size", "turn", "slant", "order")})
