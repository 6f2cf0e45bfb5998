"""A plan set: its sheets, one by one, and what of it could not be read."""

from __future__ import annotations

from collections.abc import Callable
from pathlib import Path

import pypdfium2

from notelint.model import Record, Sheet, Unread, Word
from notelint.planset import document
from notelint.planset.fold import fold
from notelint.planset.glyphs import is_bold, read_glyphs
from notelint.planset.limits import MAX_PAGES
from notelint.planset.pieces import cut, displayed
from notelint.planset.titleblock import name_sheets

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
        for number in range(1, total + 1):
            if progress:
                progress(number, total, "reading")
            sheets.append(_read_sheet(pdf, number))
    named = name_sheets(sheets)
    return PlanSet(sheets=tuple(named), sha256=document.digest(path))


def _read_sheet(pdf: pypdfium2.PdfDocument, number: int) -> Sheet:
    page = pdf[number - 1]
    try:
        placing = document.placing(page)
        with document.text_layer(page) as layer:
            glyphs = read_glyphs(layer, placing)
            words = tuple(
                Word(fold(p.text), *displayed(p.u0, p.v0, p.u1, p.v1, p.turn), p.size, p.turn, 1.0, is_bold(layer, p.first))
                for p in cut(glyphs)
            )
        return Sheet(page=number, width=placing.width, height=placing.height, text="vector" if words else "none", words=words)
    finally:
        page.close()
