"""Number bubbles: details that a sheet refers to, numbers of drawings, keys of notes."""

from __future__ import annotations

import re
from collections.abc import Sequence
from typing import NamedTuple

from notelint.layout.pieces import Piece, box_of
from notelint.model import Box, Word

NUMBER = re.compile(r"^(?:\d{1,2}[A-Za-z]?|[A-Z]{1,2}\d{0,2}|\d{1,2}\.\d{1,2})$")
SHEET = re.compile(r"^[A-Z]{1,3}[-.]?\d{1,3}(?:\.\d{1,2})?[A-Za-z]?$")
BARE_SHEET = re.compile(r"^\d{1,2}\.\d{1,2}$")  # "5.0": a sheet number only below a detail number in a bubble


TAG = re.compile(r"^[A-Z]{1,2}\d{1,2}$")  # letters with figures, as hardware, windows and walls are marked
LIST_STEP = 8.0  # heights of a mark from one entry of a list to the next at most


class Bubble(NamedTuple):
    """A circle (or stacked pair) with a number and, in a reference, the sheet it points to ("" for its own sheet)."""

    number: str
    sheet: str | None
    box: Box
    words: tuple[Word, ...]


def bubbles(words: Sequence[Word], circles: Sequence[Box]) -> list[Bubble]:
    """Number bubbles: words inside circles."""
    return [_with_sheet_beside(b, words) for circle in circles if (b := _in_circle(words, circle)) is not None]


def _with_sheet_beside(mark: Bubble, words: Sequence[Word]) -> Bubble:
    """A bubble with its detail's number alone, and the sheet written to its right: "/S4"."""
    if mark.sheet is not None:
        return mark
    wide, middle = mark.box.x1 - mark.box.x0, (mark.box.top + mark.box.bottom) / 2
    for word in words:
        near = -1 < word.x0 - mark.box.x1 < 0.8 * wide and abs((word.top + word.bottom) / 2 - middle) < 0.4 * wide
        if near and word.text[:1] == "/" and SHEET.match(word.text[1:]):
            return mark._replace(sheet=word.text[1:], words=(*mark.words, word))
    return mark


def keynotes(marks: Sequence[Bubble], items: Sequence[Piece]) -> list[Bubble]:
    """Bubbles that mark the entries of a list: three or more in one line down, each with text to its right.

    Figures and letters count up from entry to entry; marks of letters with figures come in any order.
    """
    single = _columns([m for m in marks if m.sheet is None])
    found: list[Bubble] = []
    for i, first in enumerate(single):
        if any(first is mark for mark in found):
            continue
        run = [first]
        for mark in single[i + 1 :]:
            if _in_line(run[-1], mark) and _next_entry(run[-1].number, mark.number):
                run.append(mark)
        if len(run) >= 3 and all(_text_beside(mark, items) for mark in run):
            found.extend(run)
    return found


def _columns(marks: Sequence[Bubble]) -> list[Bubble]:
    """Marks column by column, each from top to bottom; the middles of one column waver a little."""
    columns: list[list[Bubble]] = []
    for mark in sorted(marks, key=lambda m: m.box.x0 + m.box.x1):
        if columns and mark.box.x0 + mark.box.x1 - columns[-1][-1].box.x0 - columns[-1][-1].box.x1 < 3:
            columns[-1].append(mark)
        else:
            columns.append([mark])
    return [mark for column in columns for mark in sorted(column, key=lambda m: m.box.top)]


def _in_line(above: Bubble, mark: Bubble) -> bool:
    """True where a mark stands below another, a few heights down at most."""
    a, b = above.box, mark.box
    return abs((a.x0 + a.x1) - (b.x0 + b.x1)) < 6 and 0 < b.top - a.top < LIST_STEP * max(a.bottom - a.top, 12.0)


def _next_entry(before: str, number: str) -> bool:
    """True where one mark may follow another in a list."""
    if before.isdigit() and number.isdigit():
        return int(number) == int(before) + 1
    if len(before) == len(number) == 1:
        return number.isalpha() and before.isalpha() and 1 <= ord(number) - ord(before) <= 2
    return bool(TAG.match(before) and TAG.match(number))


def tags(marks: Sequence[Bubble], drawings: Sequence[Bubble]) -> list[Bubble]:
    """Marks of letters with figures that number no drawing: they mark hardware, and are words of the sheet."""
    return [mark for mark in marks if mark.sheet is None and TAG.match(mark.number) and not any(mark is other for other in drawings)]


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
    counted = len(inside) == 2 and below.isdecimal() and len(below) <= 2 and inside[1].top > inside[0].top + 0.5 * inside[0].size
    named = bool(SHEET.match(below) or BARE_SHEET.match(below)) or counted
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
        centred = (p for p in numbers if p is not low and abs(p.centre - low.centre) < 0.6 * em)
        stack = [p for p in centred if 0.5 * em < low.middle - p.middle < 2.0 * em]
        if len(stack) == 1 and not _crowded(items, stack[0], low):
            pair = (*stack[0].words, *low.words)
            found.append(Bubble(stack[0].text, low.text, box_of(pair), pair))
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
