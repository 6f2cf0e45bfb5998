"""A plan set: its sheets, one by one, and what of it could not be read."""

from __future__ import annotations

from collections.abc import Callable, Iterator, Sequence
from contextlib import contextmanager
from pathlib import Path
from typing import NamedTuple

import numpy
import pypdfium2

from notelint.abreast import opened_for_each
from notelint.model import Box, Record, Sheet, Unread, Word
from notelint.planset import document, limits, scans
from notelint.planset.annotations import lay_text, missing
from notelint.planset.glyphs import read_glyphs
from notelint.planset.kinds import kind_of
from notelint.planset.linework import Linework, linework_of, placed
from notelint.planset.place import Placing
from notelint.planset.streams import TOO_MANY
from notelint.planset.titleblock import name_sheets
from notelint.planset.words import words_of

Progress = Callable[[int, int, str], None]

_BROKEN = "the page is damaged"
_OCR_OFF = "no text layer, and reading from pictures is switched off"
_SHEETS_WITHOUT_TEXT = f"more than {limits.MAX_READ_SHEETS} sheets without text; split the set"


class PlanSet(Record):
    """The sheets of one file in page order, what of them was not read, and the file's SHA-256."""

    sheets: tuple[Sheet, ...]
    unread: tuple[Unread, ...] = ()
    sha256: str


class _Read(NamedTuple):
    """A sheet after its text layer was read, and whether its picture is to be read as well."""

    sheet: Sheet
    need: scans.Need = "nothing"
    flat: bool = False  # what its annotations show is made part of the page


def read_plan_set(path: Path, *, progress: Progress | None = None, ocr: bool = True, beside: bool = True) -> PlanSet:
    """Read every sheet of `path`; `progress` is told (sheets done, sheets in all, what is being done).

    Sheets without usable text are read from their picture where `ocr` is set. A sheet that cannot be read is listed in
    `unread` and costs no other. `beside` lets a second process read some of them. Raises UnreadablePlanSet where the file as a whole
    cannot be read.
    """
    path = Path(path)
    tell = progress or _silent
    with document.opened(path) as pdf:
        total = min(len(pdf), limits.MAX_PAGES)
        beside = beside and path.stat().st_size >= limits.FORK_FROM_BYTES

        def told(done: int, begun: int) -> None:
            tell(done, total, f"reading page {begun + 1}")

        read = opened_for_each(lambda: _reader(path), total, beside=beside, told=told)
        sheets = _from_pictures(pdf, read, ocr, tell)
        left = _too_many(len(pdf))
    sheets = [
        s.model_copy(update={"kind": kind_of(s)}) for s in name_sheets(sheets, beside=beside and len(sheets) >= limits.FORK_FROM_SHEETS)
    ]
    tell(total, total, "read")
    unread = tuple(Unread(page=s.page, sheet=s.number, reason=s.reason) for s in sheets if s.reason)
    return PlanSet(sheets=tuple(sheets), unread=unread + left, sha256=document.digest(path))


@contextmanager
def _reader(path: Path) -> Iterator[Callable[[int], _Read]]:
    """Reads a page by its index. pdfium mends some files that qpdf refuses; they are read without lines."""
    with document.opened(path) as pdf, linework_of(path) as drawn:
        yield lambda index: _read_page(pdf, index + 1, drawn(index))


def _silent(done: int, total: int, what: str) -> None:
    del done, total, what


def _too_many(pages: int) -> tuple[Unread, ...]:
    first = limits.MAX_PAGES + 1
    return (Unread(page=first, sheet=None, reason=f"pages {first} to {pages} are over the limit; split the set"),) if pages >= first else ()


def _read_page(pdf: pypdfium2.PdfDocument, number: int, linework: Linework) -> _Read:
    """One sheet from its text layer; a page that cannot be read becomes a sheet with the reason."""
    failed = Sheet(page=number, width=612.0, height=792.0, text="none", reason=_BROKEN)
    if linework.problem == TOO_MANY:
        return _Read(failed.model_copy(update={"reason": TOO_MANY}))
    try:
        with document.page_of(pdf, number, flat=linework.shown_notes) as page:
            return _read_layer(page, number, linework)
    except pypdfium2.PdfiumError:
        return _Read(failed)


def _read_layer(page: pypdfium2.PdfPage, number: int, linework: Linework) -> _Read:
    placing = document.placing(page)
    if max(placing.width, placing.height) > limits.MAX_SIDE_PT or min(placing.width, placing.height) < limits.MIN_SIDE_PT:
        size = f"the page measures {placing.width / 72:.1f} x {placing.height / 72:.1f} in, which is no sheet"
        return _Read(Sheet(page=number, width=placing.width, height=placing.height, text="none", reason=size))
    with document.text_layer(page) as layer:
        glyphs = read_glyphs(layer, placing)
        words = words_of(glyphs, layer, placing.width, placing.height)
    drawn = placed(linework, placing)
    words += _noted(drawn, placing, words)
    reason: str | None = linework.problem
    if glyphs.total > limits.MAX_CHARS:
        reason = f"more than {limits.MAX_CHARS:,} characters on the sheet; the rest is not read"
    need = scans.need_of(words, drawn, placing, glyphs.lost) if not reason else "nothing"
    if need in ("whole", "rest") and not scans.readable(drawn):
        need, reason = "nothing", scans.BIG_PICTURE
    sheet = Sheet(
        page=number,
        width=placing.width,
        height=placing.height,
        text="vector" if words else "none",
        words=tuple(words),
        segments=drawn.segments.astype(numpy.float32),
        circles=tuple(Box(*b) for b in drawn.bubbles.tolist()),
        kind="blank" if need == "blank" else "drawing",
        reason=reason,
    )
    return _Read(sheet, need, linework.shown_notes)


def _noted(drawn: Linework, placing: Placing, words: Sequence[Word]) -> list[Word]:
    """Words of annotations that do not stand on the sheet already."""
    out: list[Word] = []
    for note in drawn.notes:
        box = Box(*placing.boxes(numpy.array([note.box]))[0].tolist())
        if missing(note, box, words):
            out += lay_text(note, box)
    return out


def _from_pictures(pdf: pypdfium2.PdfDocument, read: Sequence[_Read], ocr: bool, tell: Progress) -> list[Sheet]:
    """The sheets, with those that need it read from their pictures."""
    left = limits.MAX_READ_SHEETS
    sheets = []
    for index, (sheet, need, flat) in enumerate(read):
        if need not in ("whole", "rest"):
            sheets.append(sheet)
        elif not ocr:
            sheets.append(sheet.model_copy(update={"reason": _OCR_OFF}) if need == "whole" else sheet)
        elif left <= 0:
            sheets.append(sheet.model_copy(update={"reason": _SHEETS_WITHOUT_TEXT}))
        else:
            left -= 1
            tell(index, len(read), f"reading the picture of page {sheet.page}")
            sheets.append(_read_from_picture(pdf, sheet, need, flat))
    return sheets


def _read_from_picture(pdf: pypdfium2.PdfDocument, sheet: Sheet, need: scans.Need, flat: bool) -> Sheet:
    try:
        with document.page_of(pdf, sheet.page, flat=flat) as page:
            picture = scans.read_picture(page, document.placing(page))
    except (pypdfium2.PdfiumError, MemoryError):
        return sheet.model_copy(update={"reason": scans.NO_TEXT, "text": sheet.text if need == "rest" else "none"})
    if need == "rest":
        more = scans.beside(sheet.words, picture.words)
        return sheet.model_copy(update={"words": sheet.words + tuple(more)})
    why = scans.verdict(picture)
    if why == scans.NO_TEXT:
        kept = sheet.words if scans.odd_share(sheet.words) <= scans.odd_share(picture.words) else ()
        return sheet.model_copy(update={"reason": why, "words": kept, "text": "none"})
    segments = sheet.segments if len(sheet.segments) > len(picture.segments) else picture.segments
    circles = sheet.circles or picture.circles
    return sheet.model_copy(update={"words": picture.words, "text": "ocr", "reason": why, "segments": segments, "circles": circles})
