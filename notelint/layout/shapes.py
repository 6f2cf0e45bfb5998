"""What a block of lines looks like: its usual type and spacing, which lines are headings, how its paragraphs begin."""

from __future__ import annotations

import re
from collections.abc import Sequence
from typing import Any, NamedTuple

from notelint.layout.blocks import Block, Line
from notelint.layout.labels import read_label
from notelint.layout.pieces import Piece
from notelint.layout.text import despaced
from notelint.model import Word

LEAD = re.compile(r"^([A-Z(][^.:;]{1,44}?)([.:])(?=\s|$)")
ENDS = re.compile(r"[.;:!?)\"]$")
_SHORTENED = re.compile(r"^(?:in|ft|o\.?c|no|nos|dia|ga|min|max|lbs?|sq|typ|ea|galv|cont|dbl|approx|ii|iii|v)\.$", re.IGNORECASE)
_INITIALS = re.compile(r"\b(?:[A-Za-z]\.){2,}$")  # "P.T.", "G.C.": their full stop ends no sentence
FULL_STOP = re.compile(r"[.;:!?]$|[.;:!?][)\"]$")


def finished(last: str) -> bool:
    """True where a note's last word ends a sentence; after a shortened word ("in.", "o.c.") nothing is sure."""
    return bool(FULL_STOP.search(last)) and not _SHORTENED.match(last)


class Shape(NamedTuple):
    """What is usual in a block: type size, step from line to line, weight, letter case, left edge."""

    size: float
    step: float
    bold: bool
    caps: bool
    width: float
    x0: float
    rough: bool  # read from a scan: sizes waver and no weight is known


def shape_of(block: Block) -> Shape:
    """The block's usual type and spacing, by its longest lines."""
    weights = sorted((line.size, len(line.piece.text)) for line in block.lines)
    total, run, size = sum(n for _, n in weights), 0, weights[-1][0]
    for value, n in weights:
        run += n
        if run * 2 >= total:
            size = value
            break
    steps = sorted(
        b.piece.middle - a.piece.middle
        for a, b in zip(block.lines, block.lines[1:], strict=False)
        if b.piece.middle - a.piece.middle > 0.5 * size
    )
    step = steps[len(steps) // 4] if steps else 1.25 * size
    words = [w for line in block.lines for w in line.piece.words]
    letters = "".join(w.text for w in words if len(w.text) > 2)
    bold = sum(w.bold for w in words) > 0.6 * len(words)
    caps = sum(map(str.isupper, letters)) > 0.75 * max(sum(map(str.isalpha, letters)), 1)
    rough = any(w.sure < 1.0 for w in words)
    return Shape(size, step, bold, caps, block.x1 - block.x0, block.x0, rough)


def heading_text(piece: Piece) -> str:
    """The words of a heading, letter-spacing closed."""
    return despaced(piece.words) or piece.text


def underlined(piece: Piece, across: Any) -> bool:
    """True where a level rule of about the line's own width runs right under it."""
    if not len(across):
        return False
    low, high = piece.bottom - 0.35 * piece.size, piece.bottom + 0.45 * piece.size
    near = across[(across[:, 0] > low) & (across[:, 0] < high)]
    if not len(near):
        return False
    slack = 1.2 * piece.size
    return bool(((abs(near[:, 1] - piece.x0) < slack) & (abs(near[:, 2] - piece.x1) < slack)).any())


def _shortened(piece: Piece, text: str, across: Any) -> bool:
    """True for a few bold, underlined capitals that end in a shortened word: "EXT FIN.", "CONC & STL."."""
    last = text.split()[-1]
    if not (piece.bold and text.upper() == text and last.endswith(".") and len(last) <= 6 and len(across)):
        return False
    near = across[(across[:, 0] > piece.bottom - 0.35 * piece.size) & (across[:, 0] < piece.bottom + 0.45 * piece.size)]
    return bool(((abs(near[:, 1] - piece.x0) < piece.size) & (near[:, 2] > piece.x1 - piece.size)).any())


def is_heading(line: Line, shape: Shape, across: Any) -> bool:
    """True for a short line that is larger, bold, underlined, letter-spaced or (in a mixed-case block) all capitals."""
    piece = line.piece
    text = heading_text(piece)
    label = read_label(text)
    bare = text[label.end :] if label else text
    words = bare.split()
    if not words or len(words) > 9 or not any(c.isalpha() for c in bare) or len(bare) < 3:
        return False
    if (
        bare[-1] in ".;,"
        and not bare.upper().endswith(("CONT.", "ETC."))
        and not (_INITIALS.search(bare) or _shortened(piece, bare, across))
    ):
        return False
    upper = bare.upper() == bare
    if despaced(piece.words):
        return True
    larger = piece.size > (1.3 if shape.rough else 1.12) * shape.size
    sentence_case = bare[:1].isupper() and len(words) <= 6
    if larger and (upper or piece.bold or bare.istitle() or sentence_case or piece.size > 1.3 * shape.size):
        return True
    if piece.bold and not shape.bold and not any(not w.bold for w in piece.words):
        return label is None or upper or shape.caps is False
    if underlined(piece, across) and (upper or bare[:1].isupper()):
        return True
    return upper and not shape.caps and label is None and len(bare) > 3 and sum(c.isdigit() for c in bare) <= 2


def bold_lead(words: Sequence[Word]) -> str | None:
    """The bold words a paragraph begins with, when plain ones follow."""
    lead = []
    for word in words:
        if not word.bold:
            break
        lead.append(word.text)
    if not lead or len(lead) == len(words) or len(lead) > 9:
        return None
    return " ".join(lead)


def written_lead(text: str, caps: bool = False) -> str | None:
    """A lead by its wording: capitals before a colon or full stop ("ANCHOR BOLTS: ..."), the rest following.

    In a text of capitals throughout (`caps`) only the colon tells.
    """
    found = LEAD.match(text)
    if not found or len(text) <= found.end() + 1 or len(found[1].split()) > 6:
        return None
    upper = found[1].upper() == found[1] and sum(c.isalpha() for c in found[1]) >= 3 and not caps
    return found[1] if upper or found[2] == ":" else None
