"""Words of a text layer, as displayed."""

from __future__ import annotations

from typing import Any

from notelint.model import Word
from notelint.planset.fold import fold
from notelint.planset.fractions import with_fractions
from notelint.planset.glyphs import Glyphs, is_bold
from notelint.planset.join import joined
from notelint.planset.pieces import Piece, cut, displayed


def words_of(glyphs: Glyphs, layer: Any, width: float, height: float) -> list[Word]:
    """Words of the glyphs on a sheet `width` by `height` points; `layer` is pdfium's text page, asked for bold type."""
    pieces = joined(with_fractions(cut(glyphs)))
    words = [word for piece in pieces for word in _word(piece, layer)]
    return without_copies([w for w in words if w.x1 > 0 and w.bottom > 0 and w.x0 < width and w.top < height])


def _word(piece: Piece, layer: Any) -> list[Word]:
    """The piece as a word, folded to plain writing; none where nothing legible is left."""
    text = fold(piece.text)
    if not any(c.isalnum() or c in "'\"@#&%*/+-=()[]<>.,:;_~|$?!Ø°^" for c in text):
        return []
    box = displayed(piece.u0, piece.v0, piece.u1, piece.v1, piece.turn)
    return [Word(text, *box, piece.size, piece.turn, 1.0, is_bold(layer, piece.first))]


def without_copies(words: list[Word]) -> list[Word]:
    """Words printed again on the same place, as for bold type or by copied layers, are kept once."""
    kept: list[Word] = []
    seen: dict[tuple[str, int], list[Word]] = {}
    for word in words:
        others = seen.setdefault((word.text, word.turn), [])
        near = 0.3 * word.size
        if any(abs(o.x0 - word.x0) < near and abs(o.top - word.top) < near and abs(o.x1 - word.x1) < near for o in others):
            continue
        others.append(word)
        kept.append(word)
    return kept
