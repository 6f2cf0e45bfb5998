"""Drawings on a sheet: number bubbles, titles with their scale, and the cell each stands in."""

from __future__ import annotations

import re
from collections.abc import Sequence
from itertools import pairwise
from typing import Any, NamedTuple

import numpy

from notelint.layout.pieces import Piece
from notelint.layout.text import despaced
from notelint.model import Box, Word

NUMBER = re.compile(r"^(?:\d{1,2}[A-Za-z]?|[A-Z]{1,2}\d{0,2}|\d{1,2}\.\d{1,2})$")
SHEET = re.compile(r"^[A-Z]{1,3}[-.]?\d{1,3}(?:\.\d{1,2})?[A-Za-z]?$")
BARE_SHEET = re.compile(r"^\d{1,2}\.\d{1,2}$")  # "5.0": a sheet number only below a detail number in a bubble
MARK = re.compile(r"^[A-Z]{1,4}-?\d{1,4}[A-Z]?$")
SCALE = re.compile(
    r"""^(?:scale\b|n\.?t\.?s\.?\b|not\s+to\s+scale|no\s+scale
    |[\d\s/.-]+(?:["\u201d\u2033]|in\.?|inch(?:es)?)\s*=\s*\d+\s*(?:['\u2019\u2032-]|ft\b|feet\b|foot\b)|1\s*:\s*\d{1,3}$)""",
    re.IGNORECASE | re.VERBOSE,
)
_SMALL = frozenset({"a", "an", "and", "at", "by", "for", "from", "in", "of", "on", "or", "over", "the", "through", "to", "under", "with"})
TITLE_WORDS = re.compile(r"\b(?:PLAN|ELEVATION|SECTION|DETAIL|DETAILS|FRAMING|LAYOUT|DIAGRAM|FOUNDATION|ISOMETRIC)\b", re.IGNORECASE)


class Bubble(NamedTuple):
    """A circle (or stacked pair) with a number and, in a reference, the sheet it points to ("" for its own sheet)."""

    number: str
    sheet: str | None
    box: Box
    words: tuple[Word, ...]


class Title(NamedTuple):
    """A drawing's title, with its number where a bubble stands beside it."""

    number: str | None
    text: str
    piece: Piece
    words: tuple[Word, ...]
    box: Box


def bubbles(words: Sequence[Word], circles: Sequence[Box]) -> list[Bubble]:
    """Number bubbles: words inside circles."""
    return [b for circle in circles if (b := _in_circle(words, circle)) is not None]


def keynotes(marks: Sequence[Bubble], items: Sequence[Piece]) -> list[Bubble]:
    """Bubbles that number the notes of a list: three or more in one line down, counting up, each with text to its right."""
    single = sorted((m for m in marks if m.sheet is None and m.number.isdigit()), key=lambda m: (m.box.x0, m.box.top))
    found: list[Bubble] = []
    for i, first in enumerate(single):
        run = [first]
        for mark in single[i + 1 :]:
            if abs(mark.box.x0 - first.box.x0) < 3 and int(mark.number) == int(run[-1].number) + 1 and mark.box.top > run[-1].box.top:
                run.append(mark)
        if len(run) >= 3 and first not in found and all(_text_beside(mark, items) for mark in run):
            found.extend(run)
    return found


def _text_beside(mark: Bubble, items: Sequence[Piece]) -> bool:
    middle, width = (mark.box.top + mark.box.bottom) / 2, mark.box.x1 - mark.box.x0
    return any(0 < p.x0 - mark.box.x1 < 2 * width + 12 and abs(p.middle - middle) < 0.6 * width and len(p.words) >= 2 for p in items)


def _in_circle(words: Sequence[Word], circle: Box) -> Bubble | None:
    if not 8 <= circle.x1 - circle.x0 <= 90:
        return None
    inside = [
        w
        for w in words
        if circle.x0 <= (w.x0 + w.x1) / 2 <= circle.x1
        and circle.top <= (w.top + w.bottom) / 2 <= circle.bottom
        and w.x1 - w.x0 <= 1.15 * (circle.x1 - circle.x0)
    ]
    if not inside or len(inside) > 3:
        return None
    inside.sort(key=lambda w: (w.top + w.bottom, w.x0))
    number = inside[0].text.strip(".-")
    if not NUMBER.match(number):
        return None
    below = "".join(w.text for w in inside[1:])
    named = bool(SHEET.match(below) or BARE_SHEET.match(below))
    if below and not (named or below in {"-", "\u2013", "\u2014", "--"}):
        return None
    return Bubble(number, below if named else ("" if below else None), circle, tuple(inside))


def stacked_bubbles(items: Sequence[Piece], prefixes: frozenset[str]) -> list[Bubble]:
    """A short number right above a sheet number of this set, both centred and each alone on its line: a bubble without its circle."""
    single = [p for p in items if len(p.words) == 1]
    sheets = [p for p in single if SHEET.match(p.text) and _prefix(p.text) in prefixes]
    numbers = [p for p in single if NUMBER.match(p.text) and len(p.text) <= 3]
    found = []
    for low in sheets:
        em = low.size
        stack = [p for p in numbers if p is not low and abs(p.centre - low.centre) < 0.6 * em and 0.5 * em < low.middle - p.middle < 2.0 * em]
        if len(stack) == 1 and not _crowded(items, stack[0], low):
            pair = (*stack[0].words, *low.words)
            found.append(Bubble(stack[0].text, low.text, _around(pair), pair))
    return found


def _crowded(items: Sequence[Piece], high: Piece, low: Piece) -> bool:
    """True where other text stands above, below or beside the pair: then it is part of a list or table."""
    em = low.size
    near = [
        p
        for p in items
        if p is not high
        and p is not low
        and p.x0 < low.x1 + 2.5 * em
        and p.x1 > low.x0 - 2.5 * em
        and high.top - 1.4 * em < p.middle < low.bottom + 1.4 * em
    ]
    return bool(near)


def _prefix(sheet: str) -> str:
    return re.sub(r"[^A-Za-z].*", "", sheet).upper()


def _around(words: Sequence[Word]) -> Box:
    return Box(min(w.x0 for w in words), min(w.top for w in words), max(w.x1 for w in words), max(w.bottom for w in words))


def titles(items: Sequence[Piece], marks: Sequence[Bubble], usual: float, across: Any) -> list[Title]:
    """Drawing titles: beside a number bubble, or above a scale line."""
    found: list[Title] = []
    scales = [p for p in items if SCALE.match(p.text)]
    taken: set[int] = set()
    for mark in marks:
        if mark.sheet is not None and not _own_title(mark, items, usual, across):
            continue
        beside = _beside(mark, items, usual, across)
        if beside is not None and id(beside) not in taken:
            taken.add(id(beside))
            found.append(_title(mark.number, beside, scales, mark.words))
    for piece in items:
        if id(piece) in taken or SCALE.match(piece.text) or len(piece.words) > 30:
            continue
        shown = despaced(piece.words) or piece.text
        loud = _is_title(shown) or piece.bold or (_underlined(piece, across) and len(piece.words) <= 8)
        if _scale_under(piece, scales) is not None and piece.size >= 0.75 * usual and loud:
            taken.add(id(piece))
            found.append(_title(None, piece, scales, ()))
    return found


def plain_titles(items: Sequence[Piece], usual: float, across: Any, quiet: bool) -> list[Title]:
    """Drawing titles without number and scale: larger than the rest, with the words of a drawing or a rule under them.

    Where the sheet has no other titles (not `quiet`), large bold words alone are believed too.
    """
    found = []
    for piece in items:
        shown = despaced(piece.words) or piece.text
        named = bool(TITLE_WORDS.search(shown)) and len(shown.split()) <= 10
        loud = not quiet and piece.bold and len(shown.split()) <= 6 and len(shown) > 3 and not any(c.isdigit() for c in shown)
        if piece.size > 1.15 * usual and (named or loud or _ruled(piece, across)) and _is_title(shown) and not MARK.match(shown):
            found.append(_title(None, piece, (), ()))
    return found


def _is_title(shown: str) -> bool:
    return _capitals(shown) and not shown.endswith((".", ":", ";", ","))


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


def _title(number: str | None, piece: Piece, scales: Sequence[Piece], extra: tuple[Word, ...]) -> Title:
    scale = _scale_under(piece, scales)
    words = (*extra, *piece.words, *(scale.words if scale else ()))
    return Title(number, despaced(piece.words) or piece.text, piece, words, _around(words))


def _scale_under(piece: Piece, scales: Sequence[Piece]) -> Piece | None:
    for scale in scales:
        if not SCALE.match(scale.text):
            continue
        overlap = min(piece.x1, scale.x1) - max(piece.x0, scale.x0)
        lower = 0 < scale.middle - piece.middle < 2.6 * max(piece.size, scale.size)
        if scale is not piece and overlap > 0 and lower and scale.size <= 1.4 * piece.size:  # sizes of scanned words are rough
            return scale
    return None


def _own_title(mark: Bubble, items: Sequence[Piece], usual: float, across: Any) -> bool:
    """A number-over-sheet bubble is a title's only with a title and a scale line beside it."""
    beside = _beside(mark, items, usual, across)
    return beside is not None and any(
        SCALE.match(p.text) and 0 < p.middle - beside.middle < 2.6 * beside.size and p.x0 < beside.x1 and p.x1 > beside.x0 for p in items
    )


def _beside(mark: Bubble, items: Sequence[Piece], usual: float, across: Any) -> Piece | None:
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
        loud = (piece.bold and mark.sheet is None) or _scale_under(piece, items) is not None or _underlined(piece, across)
        loud = loud or (piece.size > 1.1 * usual and _capitals(shown))
        if len(shown.split()) > 10 or shown.endswith((",", ";")) or not loud:
            continue
        if best is None or (piece.size, -piece.top) > (best.size, -best.top):
            best = piece
    return best


class Cells:
    """The dividing rules of a sheet of details: tells whether two places stand in one cell.

    A dividing rule runs nearly the whole sheet, or ends at both ends on dividing rules; walls and joists of a plan do neither.
    """

    def __init__(self, across: Any, upright: Any, width: float, height: float) -> None:
        level, steep = across[(across[:, 2] - across[:, 1]) > 0.12 * width], upright[(upright[:, 2] - upright[:, 1]) > 0.12 * height]
        long_level, long_steep = (level[:, 2] - level[:, 1]) > 0.72 * width, (steep[:, 2] - steep[:, 1]) > 0.72 * height
        for _ in range(2):
            more_level = long_level | _ends_on(level, steep[long_steep])
            long_steep = long_steep | _ends_on(steep, level[long_level])
            long_level = more_level
        self.across, self.upright = level[long_level], steep[long_steep]

    def of(self, x: float, y: float) -> tuple[float, float, float, float]:
        """The nearest long rules left, above, right and below a place (infinite where none is)."""
        return self._near(self.upright, x, y) + self._near(self.across, y, x)

    @staticmethod
    def _near(lines: Any, at: float, along: float) -> tuple[float, float]:
        passing = lines[(lines[:, 1] - 2 <= along) & (lines[:, 2] + 2 >= along), 0]
        before, after = passing[passing < at], passing[passing > at]
        return (
            float(before.max()) if len(before) else float("-inf"),
            float(after.min()) if len(after) else float("inf"),
        )


def _ends_on(lines: Any, others: Any) -> Any:
    """Which rules (offset, from, to) end at both ends on (or near) one of the crossing rules."""
    on = numpy.zeros(len(lines), dtype=bool)
    if not len(others):
        return on
    for i, (offset, start, end) in enumerate(lines.tolist()[:400]):
        passing = others[(others[:, 1] - 16 <= offset) & (others[:, 2] + 16 >= offset), 0]
        on[i] = bool((numpy.abs(passing - start) < 16).any() and (numpy.abs(passing - end) < 16).any())
    return on


class Places:
    """Which drawing a place on the sheet belongs to: by the cell it stands in, else by the titles' rows."""

    def __init__(self, found: Sequence[Title], cells: Cells, width: float, height: float, marks: Sequence[tuple[float, float]]) -> None:
        self.found = list(found)
        self.cells = cells
        self.width = width
        self.homes = [cells.of(t.piece.x0 + 2, t.piece.middle) for t in found]
        self.spans = _spans(found, width, height)
        self.above = _titles_above(found, marks, height)

    def title(self, x: float, y: float) -> Title | None:
        """The title of the drawing that the place belongs to."""
        if len(self.found) <= 1:
            return self.found[0] if self.found else None
        here = self.cells.of(x, y)
        inside = [
            t for t, home in zip(self.found, self.homes, strict=True) if _same_cell(here, home, (x, y), (t.piece.x0 + 2, t.piece.middle))
        ]  # fmt: skip
        if len(inside) == 1:
            return inside[0]
        choice = inside or self.found
        return min(choice, key=lambda t: self._cost(t, x, y))

    def _cost(self, title: Title, x: float, y: float) -> float:
        left, right = self.spans[id(title)]
        outside = max(left - x, x - right, 0.0)
        down = title.piece.middle - y
        if self.above:
            down = -down
        return 2.0 * outside + (down if down >= 0 else -4.0 * down)


def _rows_of(found: Sequence[Title], height: float) -> list[list[Title]]:
    """Titles in rows by height, each row from left to right."""
    rows: list[list[Title]] = []
    for title in sorted(found, key=lambda t: t.piece.middle):
        if rows and title.piece.middle - rows[-1][0].piece.middle < 0.04 * height:
            rows[-1].append(title)
        else:
            rows.append([title])
    return [sorted(row, key=lambda t: t.box.x0) for row in rows]


def _spans(found: Sequence[Title], width: float, height: float) -> dict[int, tuple[float, float]]:
    """Left and right end of the drawing above each title.

    A numbered title stands at the lower left of its drawing: its drawing runs to the next title's bubble. So do titles that start
    in line from row to row. Another title without number stands centred below: the drawing reaches half way to its neighbours.
    """
    spans: dict[int, tuple[float, float]] = {}
    rows = _rows_of(found, height)
    lined_up = _lined_up(rows)
    for row in rows:
        at_left = lined_up or any(title.number for title in row)
        pitch = min((b.box.x0 - a.box.x0 for a, b in pairwise(row)), default=0.4 * width)
        for i, title in enumerate(row):
            if at_left:
                left = title.box.x0 - 0.06 * pitch
                right = row[i + 1].box.x0 - 0.06 * pitch if i + 1 < len(row) else left + max(pitch, title.box.x1 - title.box.x0)
            else:
                centre = title.piece.centre
                half = max(0.5 * (title.piece.x1 - title.piece.x0), 0.2 * width)
                left = (row[i - 1].piece.centre + centre) / 2 if i else centre - half
                right = (row[i + 1].piece.centre + centre) / 2 if i + 1 < len(row) else centre + half
            spans[id(title)] = (left, right)
    return spans


def _lined_up(rows: Sequence[Sequence[Title]]) -> bool:
    """True where most titles start in line with one of another row, though their middles differ."""
    starts = [[(t.piece.x0, t.piece.centre) for t in row] for row in rows]
    hits = total = 0
    for i, row in enumerate(starts):
        others = [one for j, other in enumerate(starts) if j != i for one in other]
        total += len(row)
        hits += sum(any(abs(x - a) < 12 and abs(c - b) > 12 for a, b in others) for x, c in row)
    return total >= 3 and 2 * hits > total


def numbered_in_order(found: Sequence[Title], height: float) -> list[Title]:
    """Titles with numbers that a scan lost, where those that were read count the drawings row by row."""
    order = [title for row in _rows_of(found, height) for title in row]
    known = [(i, title.number) for i, title in enumerate(order, 1) if title.number]
    if len(known) < 2 or any(number != str(i) for i, number in known):
        return list(found)
    named = {id(title): str(i) for i, title in enumerate(order, 1)}
    return [title if title.number else title._replace(number=named[id(title)]) for title in found]


def _titles_above(found: Sequence[Title], marks: Sequence[tuple[float, float]], height: float) -> bool:
    """True where titles stand over their drawings: text lies below the lowest row of titles and none above the highest."""
    rows = _rows_of(found, height)
    if not rows or len(marks) < 4:
        return False
    first, last = rows[0][0].piece.middle, rows[-1][0].piece.middle
    over = sum(y < first - 0.02 * height for _, y in marks)
    under = sum(y > last + 0.02 * height for _, y in marks)
    return under > 4 * over and under >= 3


def _same_cell(
    a: tuple[float, float, float, float], b: tuple[float, float, float, float], here: tuple[float, float], there: tuple[float, float]
) -> bool:
    """True where no long rule parts the two places: each lies within the nearest rules of the other."""
    (ax0, ax1, ay0, ay1), (bx0, bx1, by0, by1) = a, b
    within = ax0 - 2 <= there[0] <= ax1 + 2 and ay0 - 2 <= there[1] <= ay1 + 2
    return within and bx0 - 2 <= here[0] <= bx1 + 2 and by0 - 2 <= here[1] <= by1 + 2
