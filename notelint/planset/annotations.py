"""Text that stands in annotations: free-text boxes, and the hidden texts that CAD programs lay over lettering drawn as lines."""

from __future__ import annotations

import re
from collections.abc import Sequence
from typing import Any, NamedTuple

import pikepdf

from notelint.model import Box, Word
from notelint.planset.fold import fold
from notelint.planset.limits import MAX_ANNOTATION_CHARS, MAX_ANNOTATIONS

_WITH_TEXT = {"/FreeText", "/Square", "/Stamp", "/Polygon", "/PolyLine", "/Line", "/Circle"}
_TYPE_SIZE = re.compile(r"(\d+(?:\.\d+)?)\s+Tf")
_GLYPH = 0.56  # width of a capital against the type height, on average
_LEAD = 1.2


class Annotation(NamedTuple):
    """An annotation's text, its box in page coordinates (left, bottom, right, top) and its type height where given."""

    text: str
    box: tuple[float, float, float, float]
    size: float | None = None


TOO_MANY_NOTES = f"more than {MAX_ANNOTATIONS:,} annotations on the sheet; the rest is not read"


def read_annotations(page: Any) -> tuple[list[Annotation], list[list[float]], bool, bool]:
    """Texts and leader segments in page coordinates; whether any annotation has an appearance to read from; whether some are left."""
    texts: list[Annotation] = []
    leaders: list[list[float]] = []
    shown = False
    listed = page.get("/Annots")
    if not isinstance(listed, pikepdf.Array):
        return texts, leaders, False, False
    for index in range(min(len(listed), MAX_ANNOTATIONS)):
        try:
            entry = listed[index]
            kind = str(entry.get("/Subtype"))
            if kind in _WITH_TEXT or kind == "/Widget":
                shown |= "/AP" in entry
                leaders += _leader(entry)
            text = str(entry.get("/Contents", ""))[:MAX_ANNOTATION_CHARS].strip()
            if kind in _WITH_TEXT and text:
                texts.append(Annotation(text, _box(entry), _size(entry)))
        except (pikepdf.PdfError, ValueError, TypeError, AttributeError, KeyError):
            continue  # a broken annotation says nothing
    over = len(listed) > MAX_ANNOTATIONS
    return texts, leaders, shown and not over, over


def _box(entry: Any) -> tuple[float, float, float, float]:
    xa, ya, xb, yb = (float(v) for v in entry["/Rect"])
    return min(xa, xb), min(ya, yb), max(xa, xb), max(ya, yb)


def _size(entry: Any) -> float | None:
    found = _TYPE_SIZE.search(str(entry.get("/DA", "")))
    return float(found.group(1)) or None if found else None


def _leader(entry: Any) -> list[list[float]]:
    """Segments of a callout's leader or of a line annotation."""
    points = [float(v) for v in entry.get("/CL", entry.get("/L", []))]
    return [points[i : i + 4] for i in range(0, len(points) - 3, 2)]


def lay_text(annotation: Annotation, box: Box) -> list[Word]:
    """The words of an annotation spread over its box as displayed; lines are broken as a person would."""
    lines = [line for line in re.split(r"[\r\n]+", fold_lines(annotation.text)) if line.strip()]
    if not lines:
        return []
    turned = _turned(lines, box)
    along, across = (box.bottom - box.top, box.x1 - box.x0) if turned else (box.x1 - box.x0, box.bottom - box.top)
    size = annotation.size or _fitting(lines, along, across)
    lines = [part for line in lines for part in _broken(line, max(along, 4.0), size)]
    words: list[Word] = []
    lead = min(_LEAD * size, across / len(lines)) or size
    for row, line in enumerate(lines):
        glyph = min(_GLYPH * size, along / max(1, len(line)))
        for found in re.finditer(r"\S+", line):
            u0, u1, v0 = found.start() * glyph, found.end() * glyph, row * lead
            words.append(_placed(found.group(), u0, u1, v0, v0 + min(size, lead), box, turned, size))
    return words


def fold_lines(text: str) -> str:
    """Folded to plain writing, line breaks kept."""
    return "\n".join(fold(line) for line in re.split(r"[\r\n]+", text))


def _turned(lines: Sequence[str], box: Box) -> bool:
    """Whether the box is shaped for writing that runs upwards."""
    longest = max(map(len, lines))
    wide, tall = box.x1 - box.x0, box.bottom - box.top
    return longest > 2 and len(lines) == 1 and tall > 2.0 * wide and tall / max(wide, 0.1) > 0.25 * longest


def _fitting(lines: Sequence[str], along: float, across: float) -> float:
    """Type height at which the lines fill the box."""
    by_height = across / len(lines) / (_LEAD if len(lines) > 1 else 1.0)
    by_width = along / (_GLYPH * max(map(len, lines)))
    return max(2.0, min(by_height, 1.6 * by_width))


def _broken(line: str, along: float, size: float) -> list[str]:
    """The line broken where it would run over the box by a good part."""
    out: list[str] = []
    for word in line.split():
        if out and (len(out[-1]) + 1 + len(word)) * _GLYPH * size <= 1.15 * along:
            out[-1] += " " + word
        else:
            out.append(word)
    return out


def _placed(text: str, u0: float, u1: float, v0: float, v1: float, box: Box, turned: bool, size: float) -> Word:
    if turned:
        return Word(text, box.x0 + v0, box.bottom - u1, box.x0 + v1, box.bottom - u0, size, 270)
    return Word(text, box.x0 + u0, box.top + v0, box.x0 + u1, box.top + v1, size, 0)


def missing(annotation: Annotation, box: Box, words: Sequence[Word]) -> bool:
    """Whether most of an annotation's text does not stand among the words in its box already."""
    reach = 3.0
    near = "".join(
        w.text
        for w in words
        if box.x0 - reach <= (w.x0 + w.x1) / 2 <= box.x1 + reach and box.top - reach <= (w.top + w.bottom) / 2 <= box.bottom + reach
    )
    said = fold(annotation.text).split()
    return sum(part in near for part in said) < 0.5 * len(said)
