"""Words of a text layer, as displayed."""

from __future__ import annotations

from typing import Any

from notelint.model import Word
from notelint.planset.aslant import pieces_aslant, without_slanted
from notelint.planset.fold import fold
from notelint.planset.fractions import with_fractions
from notelint.planset.glyphs import Fonts, Glyphs
from notelint.planset.join import joined
from notelint.planset.limits import MAX_WORD_CHARS
from notelint.planset.pieces import cut, displayed


def words_of(glyphs: Glyphs, layer: Any, width: float, height: float) -> list[Word]:
    """Words of the glyphs on a sheet `width` by `height` points; `layer` is pdfium's text page, asked for bold type."""
    fonts = Fonts(layer)
    words = []
    for piece in joined(with_fractions(cut(without_slanted(glyphs)))) + pieces_aslant(glyphs):
        text = fold(piece.text[:MAX_WORD_CHARS])
        box = displayed(piece.u0, piece.v0, piece.u1, piece.v1, piece.turn)
        if _legible(text) and box[2] > 0 and box[3] > 0 and box[0] < width and box[1] < height:
            words.append(Word(text, *box, piece.size, piece.turn, 1.0, fonts.is_bold(piece.first)))
    return without_copies(words)


def _legible(text: str) -> bool:
    """Whether anything is left after folding; arrows, triangles and other ornaments say nothing."""
    return bool(text) and (text.isascii() or any(c.isalnum() or c in "Ø°" or c.isascii() for c in text))


_CELL = 64.0  # points; copies are looked for in the cell of a word and, near its border, in the next


def without_copies(words: list[Word]) -> list[Word]:
    """Words printed again on the same place, as for bold type or by copied layers, are kept once."""
    kept: list[Word] = []
    seen: dict[tuple[str, int, float, float], list[Word]] = {}
    for word in words:
        text, x0, top, x1, _, size, turn, *_ = word
        near = 0.3 * size
        columns = {(x0 - near) // _CELL, (x0 + near) // _CELL}
        rows = {(top - near) // _CELL, (top + near) // _CELL}
        others = [o for column in columns for row in rows for o in seen.get((text, turn, column, row), ())]
        if others and any(abs(o.x0 - x0) < near and abs(o.top - top) < near and abs(o.x1 - x1) < near for o in others):
            continue
        seen.setdefault((text, turn, x0 // _CELL, top // _CELL), []).append(word)
        kept.append(word)
    return kept
