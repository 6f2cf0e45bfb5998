"""Lines, bubbles and pictures of a sheet as displayed, form objects included."""

from __future__ import annotations

from collections.abc import Callable, Iterator
from contextlib import contextmanager
from pathlib import Path
from typing import Any, NamedTuple

import numpy
import pikepdf

from notelint.planset.annotations import TOO_MANY_NOTES, Annotation, read_annotations
from notelint.planset.document import structure_of
from notelint.planset.limits import MAX_FORM_CALLS, MAX_SEGMENTS, MAX_STREAM_BYTES, MIN_SEGMENT_PT
from notelint.planset.place import Placing
from notelint.planset.streams import TOO_MANY, page_content, unpack
from notelint.planset.strokes import NOTHING, SAME, Drawn, Floats, Matrix, moved, multiply, scan

_DEPTH = 40  # how far pdfium follows forms within forms: what it would have to draw is counted before it is asked


class Linework(NamedTuple):
    """What is drawn on a page besides words; `problem` says why it may not be all."""

    segments: Floats  # (n, 4)
    bubbles: Floats  # (n, 4)
    pictures: Floats  # (n, 4) boxes of images
    outlines: int = 0  # filled shapes of a letter's size
    short_strokes: int = 0  # lines too short to be kept
    largest_picture: int = 0  # pixels
    shows_text: int = 0  # how often the instructions show text
    instructions: int = 0  # bytes of instructions
    problem: str | None = None
    notes: tuple[Annotation, ...] = ()  # texts of annotations, in page coordinates
    shown_notes: bool = False  # whether an annotation has an appearance of its own
    seen: bool = True  # False where the instructions could not be looked at


EMPTY = Linework(NOTHING.segments, NOTHING.bubbles, NOTHING.bubbles)
UNSEEN = EMPTY._replace(seen=False)


_UNREADABLE = (pikepdf.PdfError, pikepdf.PasswordError, IndexError, ValueError, TypeError, RuntimeError, OSError)


@contextmanager
def linework_of(path: Path) -> Iterator[Callable[[int], Linework]]:
    """Gives the lines of a page by its index, in its own coordinates; none where qpdf cannot read file or page."""
    try:
        structure = structure_of(path)
    except _UNREADABLE:
        yield lambda _: UNSEEN
        return

    def of_page(index: int) -> Linework:
        try:
            return read_linework(structure.pages[index].obj)
        except _UNREADABLE:
            return UNSEEN

    with structure:
        yield of_page


def read_linework(page: Any) -> Linework:
    """Lines of a pikepdf page object, in its own coordinates."""
    content = page_content(page)
    gathered = _Gathered()
    if content.problem == TOO_MANY:
        return EMPTY._replace(problem=TOO_MANY)
    gathered.add(scan(content.data), page, SAME, 0)
    notes, leaders, shown, left = read_annotations(page)
    gathered.segments.append(numpy.array(leaders, dtype=numpy.float64).reshape(-1, 4))
    segments, short = _longest(numpy.concatenate(gathered.segments))
    return Linework(
        segments=segments,
        bubbles=numpy.concatenate([NOTHING.bubbles, *gathered.bubbles]),
        pictures=numpy.array(gathered.pictures).reshape(-1, 4),
        outlines=gathered.outlines,
        short_strokes=short,
        largest_picture=gathered.largest,
        shows_text=_shows_text(content.data) + gathered.shows_text,
        instructions=len(content.data),
        problem=content.problem or gathered.problem or (TOO_MANY_NOTES if left else None),
        notes=tuple(notes),
        shown_notes=shown,
    )


def _shows_text(data: bytes) -> int:
    return sum(rest[:1] in (b"j", b"J") for rest in data.split(b"T"))


def placed(linework: Linework, placing: Placing) -> Linework:
    """The same as displayed."""
    return linework._replace(
        segments=placing.segments(linework.segments), bubbles=placing.boxes(linework.bubbles), pictures=placing.boxes(linework.pictures)
    )


def _longest(segments: Floats) -> tuple[Floats, int]:
    """Without strokes shorter than a letter, and how many those are; the longest where there are too many."""
    length = numpy.hypot(segments[:, 2] - segments[:, 0], segments[:, 3] - segments[:, 1])
    keep = length >= MIN_SEGMENT_PT
    short = len(keep) - int(keep.sum())
    segments, length = segments[keep], length[keep]
    if len(segments) > MAX_SEGMENTS:
        segments = segments[numpy.sort(numpy.argpartition(-length, MAX_SEGMENTS)[:MAX_SEGMENTS])]
    return segments, short


class _Gathered:
    """Collects what a page and its form objects draw; a form used often is scanned once."""

    def __init__(self) -> None:
        self.segments: list[Floats] = []
        self.bubbles: list[Floats] = []
        self.pictures: list[list[float]] = []
        self.shows_text = self.outlines = self.largest = 0
        self.problem: str | None = None
        self._seen: dict[tuple[int, int], Drawn] = {}
        self._calls = 0

    def add(self, drawn: Drawn, owner: Any, matrix: Matrix, depth: int) -> None:
        """Add `drawn` under `matrix`, and whatever it calls from the resources of `owner`."""
        self.segments.append(moved(drawn.segments, matrix))
        self.outlines += drawn.outlines
        if len(drawn.bubbles):
            self.bubbles.append(_boxes(moved(drawn.bubbles, matrix)))
        for name, local in drawn.calls:
            self._calls += 1
            if self._calls > MAX_FORM_CALLS:
                self.problem = TOO_MANY
                return
            if depth > _DEPTH:
                return
            try:
                self._call(owner, name, multiply(local, matrix), depth)
            except (pikepdf.PdfError, ValueError, TypeError, RuntimeError, KeyError, AttributeError):
                continue  # a form that cannot be unpacked draws nothing here; its words are pdfium's matter

    def _call(self, owner: Any, name: bytes, matrix: Matrix, depth: int) -> None:
        called = owner["/Resources"]["/XObject"]["/" + name.decode("latin-1")]
        if called.get("/Subtype") == "/Image":
            a, b, c, d, e, f = matrix
            xs, ys = [e, e + a, e + c, e + a + c], [f, f + b, f + d, f + b + d]
            self.largest = max(self.largest, int(called.get("/Width", 0)) * int(called.get("/Height", 0)))
            self.pictures.append([min(xs), min(ys), max(xs), max(ys)])
            return
        key = called.objgen
        if key not in self._seen:
            content = unpack(called, MAX_STREAM_BYTES)
            self.shows_text += _shows_text(content.data)
            self.problem = self.problem or (TOO_MANY if content.problem == TOO_MANY else None)
            self._seen[key] = scan(content.data)
        own = called.get("/Matrix")
        if own is not None:
            matrix = multiply(tuple(float(v) for v in own), matrix)  # type: ignore[arg-type]
        self.add(self._seen[key], called if "/Resources" in called else owner, matrix, depth + 1)


def _boxes(corners: Floats) -> Floats:
    xa, ya, xb, yb = corners.T
    return numpy.stack([numpy.minimum(xa, xb), numpy.minimum(ya, yb), numpy.maximum(xa, xb), numpy.maximum(ya, yb)], axis=1)
