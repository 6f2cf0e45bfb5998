"""A plan set: its sheets, one by one, and what of it could not be read."""

from __future__ import annotations

from collections.abc import Callable, Iterator, Sequence
from concurrent.futures import Future, ThreadPoolExecutor
from itertools import repeat
from pathlib import Path

import numpy
import pikepdf
import pypdfium2

from notelint.model import Box, Record, Sheet, Unread, Word
from notelint.planset import document
from notelint.planset.annotations import lay_text, missing
from notelint.planset.glyphs import read_glyphs
from notelint.planset.limits import MAX_PAGES
from notelint.planset.linework import EMPTY, Linework, placed, read_linework
from notelint.planset.place import Placing
from notelint.planset.titleblock import name_sheets
from notelint.planset.words import words_of

Progress = Callable[[int, int, str], None]


class PlanSet(Record):
    """The sheets of one file in page order, what of them was not read, and the file's SHA-256."""

    sheets: tuple[Sheet, ...]
    unread: tuple[Unread, ...] = ()
    sha256: str


def read_plan_set(path: Path, *, progress: Progress | None = None, ocr: bool = True) -> PlanSet:
    """Read every sheet of `path`. Raises UnreadablePlanSet where the file as a whole cannot be read."""
    path = Path(path)
    with document.opened(path) as pdf:
        total = min(len(pdf), MAX_PAGES)
        sheets = []
        for number, linework in enumerate(_linework(path, total), start=1):
            if progress:
                progress(number, total, "reading")
            sheets.append(_read_sheet(pdf, number, linework))
    named = name_sheets(sheets)
    return PlanSet(sheets=tuple(named), sha256=document.digest(path))


def _linework(path: Path, total: int) -> Iterator[Linework]:
    """Each sheet's lines, gathered one sheet ahead in a second thread: pdfium lets go of the interpreter while it reads a page."""
    with ThreadPoolExecutor(1) as aside:
        try:
            structure = pikepdf.open(path)
        except (pikepdf.PdfError, OSError):
            yield from repeat(EMPTY, total)  # pdfium mends some files that qpdf refuses; they are read without lines
            return
        with structure:
            ahead: Future[Linework] = aside.submit(_gather, structure, 0)
            for index in range(total):
                done = ahead.result()
                if index + 1 < total:
                    ahead = aside.submit(_gather, structure, index + 1)
                yield done


def _gather(structure: pikepdf.Pdf, index: int) -> Linework:
    try:
        return read_linework(structure.pages[index].obj)
    except (pikepdf.PdfError, IndexError, ValueError, TypeError, RuntimeError):
        return EMPTY


def _read_sheet(pdf: pypdfium2.PdfDocument, number: int, linework: Linework) -> Sheet:
    with document.page_of(pdf, number, flat=linework.shown_notes) as page:
        placing = document.placing(page)
        with document.text_layer(page) as layer:
            words = words_of(read_glyphs(layer, placing), layer, placing.width, placing.height)
        drawn = placed(linework, placing)
        return Sheet(
            page=number,
            width=placing.width,
            height=placing.height,
            text="vector" if words else "none",
            words=tuple(words + _noted(drawn, placing, words)),
            segments=drawn.segments.astype(numpy.float32),
            circles=tuple(Box(*b) for b in drawn.bubbles.tolist()),
        )


def _noted(drawn: Linework, placing: Placing, words: Sequence[Word]) -> list[Word]:
    """Words of annotations that do not stand on the sheet already."""
    out: list[Word] = []
    for note in drawn.notes:
        box = Box(*placing.boxes(numpy.array([note.box]))[0].tolist())
        if missing(note, box, words):
            out += lay_text(note, box)
    return out
