"""Small PDFs drawn for the tests of reading a plan set."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from pathlib import Path

from reportlab.pdfgen import canvas

from notelint.model import Sheet, Word
from notelint.planset import PlanSet, read_plan_set

Draw = Callable[[canvas.Canvas], None]


def draw(path: Path, *pages: Draw, size: tuple[float, float] = (792.0, 612.0), rotate: int = 0) -> Path:
    """A PDF with one page a drawing function; `size` is as displayed, after `rotate`."""
    sheet = canvas.Canvas(str(path), pageCompression=1, invariant=1)
    for page in pages:
        sheet.setPageSize(size)
        sheet.setPageRotation(rotate)
        page(sheet)
        sheet.showPage()
    sheet.save()
    return path


def lines(*texts: str, x: float = 72, top: float = 540, size: float = 10, font: str = "Helvetica", lead: float = 1.3) -> Draw:
    """A page with lines of writing one below another."""

    def page(sheet: canvas.Canvas) -> None:
        sheet.setFont(font, size)
        for row, text in enumerate(texts):
            sheet.drawString(x, top - row * lead * size, text)

    return page


def both(*parts: Draw) -> Draw:
    """One page drawn by several functions."""

    def page(sheet: canvas.Canvas) -> None:
        for part in parts:
            sheet.saveState()
            part(sheet)
            sheet.restoreState()

    return page


def read(path: Path, *, ocr: bool = False) -> PlanSet:
    """Read without pictures unless asked for."""
    return read_plan_set(path, ocr=ocr)


def read_one(path: Path, *, ocr: bool = False) -> Sheet:
    """The only sheet of a set."""
    (sheet,) = read_plan_set(path, ocr=ocr).sheets
    return sheet


def in_order(words: Sequence[Word]) -> list[str]:
    """Texts of level words from the top, left to right."""
    return [w.text for w in sorted(words, key=lambda w: (round(w.bottom), w.x0))]
