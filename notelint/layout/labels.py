"""How notes are numbered: reading a number at the start of a line, and whether one number follows another."""

from __future__ import annotations

import re
from functools import lru_cache
from typing import Literal, NamedTuple

Style = Literal["number", "upper", "lower", "roman", "decimal", "series", "bullet"]


class Label(NamedTuple):
    """A note's number as read: its style, its parts ("3.2" is 3 and 2), the mark after it, and where the text begins."""

    style: Style
    parts: tuple[int, ...]
    close: str  # ".", ",", ")", ... or "" where the number stands bare
    end: int  # characters of the line that belong to the label
    name: str  # "7", "3.2", "A", "G1-3"
    prefix: str = ""
    weak: bool = False  # may as well be a quantity or a sign: "(8) 10d", "5, 12 in.", "(E) wall"; believed only beside its neighbours


def numbers_notes(label: Label) -> bool:
    """True for a series whose prefix has a figure: "G1-7" and "A2.01" number notes, "HD-7" is a mark."""
    return label.style == "series" and any(c.isdigit() for c in label.prefix)


_NUMBER = re.compile(r"^(?:NOTE\s+|#)?\(?(\d{1,3})(\s?\)\.?|\s?\.\)|\s?[.,:](?!\d)|\s?-(?=\s|$))\s*", re.IGNORECASE)
_DECIMAL = re.compile(r"^(\d{1,2}(?:\.\d{1,2}){1,3})\s?([.):]?)(?=\s|$|[A-Z]{2})\s*")
_LETTER = re.compile(r"^(\()?([A-Za-z])(\s?\)|\s?\.\)|\s?[.,:](?![A-Za-z]\.))(?=\s|$|[A-Z(\"0-9])\s*")
_ROMAN = re.compile(r"^\(?([ivxIVX]{1,5})(\s?\)|\s?\.)(?=\s|$)\s*")
_SERIES = re.compile(r"^([A-Z]{1,2}\d{0,2}-|[A-Z]{1,2}\d{1,2}[a-z]?\.)(\d{1,3})\s?([.,):]?)(?=\s|$)\s*")
_BARE = re.compile(r"^(\d{1,3})$")
_BULLET = re.compile(r"^[\u2022\u25cf\u25aa\u25e6\u00b7*>](?=\s|$|[A-Z])\s*|^[-\u2013\u2014](?=\s)\s*")
_COUNTED = re.compile(r"^(?:\d|#|\.\d)")  # "(8) 10d ...": a count of nails
_ROMANS = {"I": 1, "V": 5, "X": 10}
_UNIT = re.compile(r"^\s*(?:in\b|ft\b|psf\b|psi\b|mph\b|lbs?\b|ga\b|o\.?c\b|mil\b|percent\b|x\s*\d|[\"'/%])", re.IGNORECASE)
_AFTER_NUMBER = re.compile(rf"{_UNIT.pattern}|^\s*\d", re.IGNORECASE)


def _roman(text: str) -> int | None:
    total = 0
    values = [_ROMANS[c] for c in text.upper()]
    for value, after in zip(values, [*values[1:], 0], strict=True):
        total += value if value >= after else -value
    return total if total > 0 else None


@lru_cache(maxsize=8192)
def read_label(text: str) -> Label | None:
    """The number at the start of a line, or None. A line that begins with a quantity ("3,000 psi", "2x6", "16 in.") has none."""
    if found := _NUMBER.match(text):
        after, close = text[found.end() :], found[2].strip()
        weak = bool(text.startswith("(") and _COUNTED.match(after)) or bool(_AFTER_NUMBER.match(after) and close in {",", ":", "-"})
        if not (weak and _UNIT.match(after)):
            return Label("number", (int(found[1]),), close, found.end(), found[1], weak=weak)
    if (found := _DECIMAL.match(text)) and (not _UNIT.match(text[found.end() :]) or found[2]):
        weak = bool(_AFTER_NUMBER.match(text[found.end() :])) and not found[2]
        return Label("decimal", tuple(int(p) for p in found[1].split(".")), found[2], found.end(), found[1], weak=weak)
    if found := _LETTER.match(text):
        letter, close = found[2], (found[1] or "") + found[3].strip()
        style: Style = "upper" if letter.isupper() else "lower"
        return Label(style, (ord(letter.upper()) - 64,), close, found.end(), letter, weak=style == "upper" and close == "()")
    if found := _ROMAN.match(text):
        value = _roman(found[1])
        if value:
            return Label("roman", (value,), found[2].strip(), found.end(), found[1])
    if found := _SERIES.match(text):
        return Label("series", (int(found[2]),), found[3], found.end(), found[1] + found[2], found[1])
    if found := _BARE.match(text):
        return Label("number", (int(found[1]),), "", found.end(), found[1])
    if found := _BULLET.match(text):
        return Label("bullet", (0,), "", found.end(), "")
    return None


def alone(text: str) -> Label | None:
    """The label where the whole text is one and nothing else."""
    label = read_label(text)
    return label if label is not None and label.end >= len(text.rstrip()) else None


def follows(before: Label, label: Label) -> bool:
    """True where `label` comes right after `before` in the same list (one number may be left out)."""
    if before.style != label.style or before.prefix != label.prefix:
        if {before.style, label.style} == {"upper", "roman"} or {before.style, label.style} == {"lower", "roman"}:
            return 0 < label.parts[-1] - before.parts[-1] <= 1
        return False
    if label.style == "bullet":
        return True
    if len(before.parts) == len(label.parts):
        return _next(before.parts, label.parts)
    if len(label.parts) > len(before.parts):
        return label.parts[: len(before.parts)] == before.parts and label.parts[-1] == 1
    return label.parts[:-1] == before.parts[: len(label.parts) - 1] and 0 < label.parts[-1] - before.parts[len(label.parts) - 1] <= 1


def _next(before: tuple[int, ...], parts: tuple[int, ...]) -> bool:
    """True for 3.3 (or 3.4) after 3.2, and for 4.1 after 3.2."""
    if before[:-1] == parts[:-1]:
        return 0 < parts[-1] - before[-1] <= 2
    return parts[-1] == 1 and 0 < parts[-2] - before[-2] <= 1 and parts[:-2] == before[:-2]


def starts(label: Label) -> bool:
    """True for the first number of a list: 1, A, i, 101, 3.1."""
    if label.style == "bullet":
        return True
    last = label.parts[-1]
    return last == 1 or (label.style == "number" and last % 100 in {0, 1} and last >= 100)


def same_kind(a: Label, b: Label) -> bool:
    """True where two labels belong to one manner of numbering."""
    if a.style == "decimal" or b.style == "decimal":
        return a.style == b.style and len(a.parts) == len(b.parts)
    return a.style == b.style and a.close[-1:] == b.close[-1:] and a.close[:1] == b.close[:1] and a.prefix == b.prefix
