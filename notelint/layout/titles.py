"""Titles of drawings: beside a number bubble, above a scale line, or larger than all else on the sheet."""

from __future__ import annotations

import re
from collections.abc import Callable, Sequence
from typing import Any, NamedTuple

import numpy

from notelint.layout.bubbles import Bubble
from notelint.layout.pieces import Piece, box_of, piece_of
from notelint.layout.text import despaced
from notelint.model import Box, Word

MARK = re.compile(r"^[A-Z]{1,4}-?\d{1,4}[A-Z]?$")
NUMBERED = re.compile(r"^(\d{1,2})[.)]?\s+(?=[A-Za-z(])")
SCALE = re.compile(
    r"""^(?:scale\b|n\.?t\.?s\.?\b|not\s+to\s+scale|no\s+scale
    |[\d\s/.-]+(?:["\u201d\u2033]|in\.?|inch(?:es)?)?\s*=\s*\d+\s*(?:['\u2019\u2032-]|ft\b|feet\b|foot\b)|1\s*:\s*\d{1,3}$
    |[\d\s/.-]+(?:["\u201d\u2033]|in\.?|inch(?:es)?)\s+(?:to|equals?)\s+(?:the\s+|a\s+|one\s+|\d+\s*)(?:foot|ft|feet)\b)""",
    re.IGNORECASE | re.VERBOSE,
)
SCALE_AT_END = re.compile(
    r"""^\(?(?:scale\s*[:=]?\s*)?(?:[\d\s/.-]+(?:["\u201d\u2033]|in\.?|inch(?:es)?)?\s*=\s*\d+\s*(?:['\u2019\u2032]|ft\.?|feet|foot)?
    (?:\s*-?\s*\d+\s*(?:["\u201d\u2033]|in\.?)?)?
    |n\.?t\.?s\.?|not\s+to\s+scale|no\s+scale|1\s*:\s*\d{1,3})\)?$""",
    re.IGNORECASE | re.VERBOSE,
)
_SMALL = frozenset({"a", "an", "and", "at", "by", "for", "from", "in", "of", "on", "or", "over", "the", "through", "to", "under", "with"})
_ROOMS_TEXT = """
    alcove attic balcony bath bathroom bed bedroom breakfast carport cellar closet den deck desk dining entry family flex foyer garage
    great guest hall hallway kitchen lanai laundry library linen living lobby loft master mechanical mudroom nook nursery office owner
    pantry parlor patio playroom porch powder primary room shop sitting stair stairwell storage store study suite sunroom terrace
    toilet utility vestibule wardrobe workshop
"""
_ROOMS = frozenset(_ROOMS_TEXT.split())
_FILLERS_TEXT = "a and b back bed br c covered e four front i in main mud n one rear rm screened the three two w walk wash"
_ROOM_FILLERS = frozenset(_FILLERS_TEXT.split())
TITLE_WORDS = re.compile(r"\b(?:PLAN|ELEVATION|SECTION|DETAIL|DETAILS|FRAMING|LAYOUT|DIAGRAM|FOUNDATION|ISOMETRIC)\b", re.IGNORECASE)


class Title(NamedTuple):
    """A drawing's title, with its number where a bubble stands beside it."""

    number: str | None
    text: str
    piece: Piece
    words: tuple[Word, ...]
    box: Box


def titles(items: Sequence[Piece], marks: Sequence[Bubble], usual: float, across: Any, own: str | None = None) -> list[Title]:
    """Drawing titles: beside a number bubble, above a scale line or ending in a scale.

    `own` is the sheet's number: a bubble with it numbers a drawing here.
    """
    found: list[Title] = []
    scales = [p for p in items if SCALE.match(p.text)]
    taken: set[int] = set()
    for mark in marks:
        if mark.sheet is not None and mark.sheet != own and not _own_title(mark, items, usual, across, own):
            continue
        name = beside(mark, items, usual, across, own)
        if name is not None and id(name) not in taken:
            taken.add(id(name))
            found.append(_title(mark.number, name, scales, mark.words))
    for piece in items:
        if id(piece) in taken or SCALE.match(piece.text) or len(piece.words) > 30:
            continue
        shown = despaced(piece.words) or piece.text
        loud = _is_title(shown) or piece.bold or (_underlined(piece, across) and len(piece.words) <= 8)
        within = bool(_scale_within(piece))
        loud = loud or within
        behind = _is_title(shown) or piece.bold
        if (within or _scale_under(piece, scales) or (behind and _scale_right(piece, scales))) and piece.size >= 0.75 * usual and loud:
            taken.add(id(piece))
            found.append(_title(None, piece, scales, ()))
    rest = [p for p in items if id(p) not in taken]
    numbered = _numbered_in_line(found, rest, scales)
    return numbered if any(title.number for title in numbered) else [*numbered, *_numbered_alone(rest, scales, usual)]


def _numbered_alone(rest: Sequence[Piece], scales: Sequence[Piece], usual: float) -> list[Title]:
    """Large bold lines that begin with a number, with nothing but a scale under them: drawings without bubbles ("2 Slab edge").

    They are believed where two or more count from 1; headings of notes have their notes right under them.
    """
    likely = [
        p for p in rest if NUMBERED.match(p.text) and p.bold and p.size > 1.15 * usual and len(p.words) <= 10 and p.text[-1] not in ".;,:"
    ]  # fmt: skip
    lone = [p for p in likely if not any(_right_under(p, other) for other in rest if other is not p and not SCALE.match(other.text))]
    numbers = sorted(int(hit[1]) for p in lone if (hit := NUMBERED.match(p.text)))
    if len(lone) < len(likely) or len(numbers) < 2 or numbers != list(range(1, len(numbers) + 1)):
        return []
    return [_cut_number(_title(None, p, scales, ())) for p in lone]


def _right_under(piece: Piece, other: Piece) -> bool:
    """True where another text stands in the lines right below a piece."""
    return 0.5 * piece.size < other.middle - piece.middle < 2.8 * piece.size and other.x0 < piece.x1 and other.x1 > piece.x0 - piece.size


def _numbered_in_line(found: Sequence[Title], rest: Sequence[Piece], scales: Sequence[Piece]) -> list[Title]:
    """Titles that begin with their number ("1 EAVE"), and others in the same type that do; believed where two numbers or more are read."""
    models = [t for t in found if t.number is None and NUMBERED.match(t.text)]
    alike = [
        p for p in rest if NUMBERED.match(p.text) and len(p.words) <= 10 and p.text[-1] not in ".;,:"
        and any(abs(p.size - m.piece.size) < 0.03 * p.size and p.bold == m.piece.bold for m in models)
    ]  # fmt: skip
    more = [_title(None, p, scales, ()) for p in alike]
    numbers = [hit[1] for title in (*models, *more) if (hit := NUMBERED.match(title.text))]
    if len(set(numbers)) < 2 or len(set(numbers)) < len(numbers):
        return list(found)
    mine = {id(title) for title in models}
    return [t for t in found if id(t) not in mine] + [_cut_number(t) for t in (*models, *more)]


def _cut_number(title: Title) -> Title:
    hit = NUMBERED.match(title.text)
    assert hit is not None
    return title._replace(number=hit[1], text=title.text[hit.end() :], piece=piece_of(title.piece.words[1:]))


def plain_titles(items: Sequence[Piece], usual: float, across: Any, quiet: bool, inside: Callable[[Piece], bool]) -> list[Title]:
    """Drawing titles without number and scale: larger than the rest, with the words of a drawing or a rule under them.

    Where the sheet has no other titles (not `quiet`), large bold words alone are believed too, unless they name a room or stand
    `inside` a drawing. What stands level with a title in the same type is a title as well.
    """
    large = [p for p in items if p.size > 1.15 * usual and not MARK.match(p.text) and not room_name(p.text)]
    found = [p for p in large if _named(p) or (_ruled(p, across) and _is_title(p.text)) or (not quiet and _loud(p) and not inside(p))]
    mates = [p for p in large if not any(p is f for f in found) and any(_level_with(p, f) for f in found) and not inside(p)]
    return [_title(None, piece, (), ()) for piece in (*found, *mates)]


def _without_remark(text: str) -> str:
    """A title without what stands in brackets at its end."""
    return re.sub(r"\s*\([^()]*\)$", "", text) or text


def _named(piece: Piece) -> bool:
    """True for the words of a drawing: capitals, or bold in any letters."""
    shown = despaced(piece.words) or piece.text
    bold = piece.bold or piece.words[0].sure < 1.0  # a scan tells no weight
    return bool(TITLE_WORDS.search(shown)) and len(shown.split()) <= 10 and (_is_title(shown) or (bold and shown[-1] not in ".:;,"))


def _loud(piece: Piece) -> bool:
    """True for a few bold words without figures."""
    shown = _without_remark(despaced(piece.words) or piece.text)
    return piece.bold and len(shown.split()) <= 6 and len(shown) > 3 and not any(c.isdigit() for c in shown) and _is_title(shown)


def _level_with(piece: Piece, title: Piece) -> bool:
    """True where a piece stands on a title's height in the same type."""
    scanned = piece.words[0].sure < 1.0
    alike = abs(piece.size - title.size) < (0.1 if scanned else 0.03) * title.size and ((piece.bold and title.bold) or scanned)
    return alike and abs(piece.middle - title.middle) < 0.3 * title.size and len(piece.words) <= 6 and piece.text[-1] not in ".:;,"


def room_name(text: str) -> bool:
    """True where a label names a room (or rooms) and nothing else: "KITCHEN", "BED 3", "OWNER'S ROOM", "BATHS AND LAUNDRY"."""
    words = [w for w in re.split(r"[\s/&,.()#-]+", text.casefold().replace("\u2019", "'")) if w]
    names = [w for w in words if w.removesuffix("'s").removesuffix("s") in _ROOMS or w in _ROOMS]
    others = [w for w in words if w not in _ROOM_FILLERS and w not in names and not w.isdigit()]
    return bool(names) and not others


def _is_title(shown: str) -> bool:
    return sum(c.isalpha() for c in shown) >= 3 and _capitals(shown) and not shown.endswith((".", ":", ";", ","))


def _capitals(text: str) -> bool:
    """True for capitals throughout, or a capital at the start of every word but the small ones."""
    letters = [c for c in text if c.isalpha()]
    if not letters:
        return False
    if sum(c.isupper() for c in letters) > 0.7 * len(letters):
        return True
    words = [w.strip("()") for w in re.split(r"[\s-]+", text)]
    return all(w in _SMALL or not w[:1].isalpha() or w[0].isupper() for w in words)


def _ruled(piece: Piece, across: Any) -> bool:
    return _underlined(piece, across) and _capitals(piece.text)


def _underlined(piece: Piece, across: Any) -> bool:
    """True where a level rule runs under the whole piece."""
    if not len(across):
        return False
    near = across[numpy.abs(across[:, 0] - piece.bottom) < 0.5 * piece.size]
    return bool(((near[:, 1] < piece.x0 + piece.size) & (near[:, 2] > piece.x1 - piece.size)).any())


def _scale_within(piece: Piece) -> int:
    """How many words of a line come before the scale that ends it ("SOUTH ELEVATION 1/8" = 1'-0""); 0 where none does."""
    for count in range(1, len(piece.words)):
        text = " ".join(w.text for w in piece.words[count:])
        if len(piece.words) - count <= 6 and SCALE_AT_END.match(text):
            return count if count <= 12 else 0
    return 0


def _title(number: str | None, piece: Piece, scales: Sequence[Piece], extra: tuple[Word, ...]) -> Title:
    scale = _scale_right(piece, scales) or _scale_under(piece, scales)
    if count := _scale_within(piece):
        name = piece_of(piece.words[:count])
        words = (*extra, *piece.words)
        return Title(number, despaced(name.words) or name.text.rstrip(" ,-(:"), name, words, box_of(words))
    bare = scale is not None and (
        len(scale.words) <= 7 or bool(SCALE_AT_END.match(_without_remark(scale.text)))
    )  # a remark after it is read as text
    words = (*extra, *piece.words, *(scale.words if scale and bare else ()))
    return Title(number, despaced(piece.words) or piece.text, piece, words, box_of(words))


def _scale_under(piece: Piece, scales: Sequence[Piece]) -> Piece | None:
    for scale in scales:
        if not SCALE.match(scale.text):
            continue
        overlap = min(piece.x1, scale.x1) - max(piece.x0, scale.x0)
        lower = 0 < scale.middle - piece.middle < 2.6 * max(piece.size, scale.size)
        if scale is not piece and overlap > 0 and lower and scale.size <= 1.4 * piece.size:  # sizes of scanned words are rough
            return scale
    return None


def _scale_right(piece: Piece, scales: Sequence[Piece]) -> Piece | None:
    """The scale that stands behind a title on its line."""
    for scale in scales:
        level = abs(scale.middle - piece.middle) < 0.4 * piece.size and scale.size <= 1.2 * piece.size
        if level and scale is not piece and 0 < scale.x0 - piece.x1 < 6 * piece.size and SCALE_AT_END.match(scale.text):
            return scale
    return None


def _own_title(mark: Bubble, items: Sequence[Piece], usual: float, across: Any, own: str | None) -> bool:
    """A number-over-sheet bubble is a title's only with a title and a scale line beside it."""
    name = beside(mark, items, usual, across, own)
    return name is not None and (bool(_scale_within(name)) or _scale_under(name, items) is not None)


def beside(mark: Bubble, items: Sequence[Piece], usual: float, across: Any, own: str | None) -> Piece | None:
    """The piece that starts right of a bubble at its height: the title."""
    box = mark.box
    radius = max((box.bottom - box.top) / 2, 6.0)
    mine = {id(w) for w in mark.words}
    best: Piece | None = None
    for piece in items:
        if any(id(w) in mine for w in piece.words) or SCALE.match(piece.text):
            continue
        if not (-2 <= piece.x0 - box.x1 <= 1.6 * radius + 6):
            continue
        if not box.top - 0.6 * radius <= piece.middle <= box.bottom + 0.3 * radius:
            continue
        shown = despaced(piece.words) or piece.text
        scaled = bool(_scale_within(piece)) or (_scale_right(piece, items) or _scale_under(piece, items)) is not None
        loud = scaled or (piece.bold and mark.sheet is None) or _underlined(piece, across)
        loud = loud or (mark.sheet is not None and mark.sheet == own and sum(c.isalpha() for c in shown) >= 3 and piece.size > 0.9 * usual)
        loud = (loud or (piece.size > 1.1 * usual and _capitals(shown))) and sum(c.isalpha() for c in shown) >= 2
        if len(shown.split()) > 10 or shown.endswith((",", ";")) or not loud:
            continue
        if best is None or (piece.size, -piece.top) > (best.size, -best.top):
            best = piece
    return best


def rows_of(found: Sequence[Title], height: float) -> list[list[Title]]:
    """Titles in rows by height, each row from left to right."""
    rows: list[list[Title]] = []
    for title in sorted(found, key=lambda t: t.piece.middle):
        if rows and title.piece.middle - rows[-1][0].piece.middle < 0.04 * height:
            rows[-1].append(title)
        else:
            rows.append([title])
    return [sorted(row, key=lambda t: t.box.x0) for row in rows]


def numbered_in_order(found: Sequence[Title], height: float) -> list[Title]:
    """Titles with numbers that a scan lost, where those that were read count the drawings row by row."""
    order = [title for row in rows_of(found, height) for title in row]
    known = [(i, title.number) for i, title in enumerate(order, 1) if title.number]
    if len(known) < 2 or any(number != str(i) for i, number in known):
        return list(found)
    named = {id(title): str(i) for i, title in enumerate(order, 1)}
    return [title if title.number else title._replace(number=named[id(title)]) for title in found]
