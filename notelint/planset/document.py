"""Opening a plan set: every way it can fail becomes one clear line."""

from __future__ import annotations

import ctypes
import hashlib
import stat
from collections.abc import Iterator
from contextlib import contextmanager, suppress
from pathlib import Path
from typing import Any

import pikepdf
import pypdfium2
import pypdfium2.raw as pdfium_c
from PIL import Image

from notelint.errors import UnreadablePlanSet
from notelint.model import Box
from notelint.planset.limits import MAX_FILE_BYTES, MAX_RENDER_PIXELS
from notelint.planset.place import Placing

_HEAD_BYTES = 1024  # a PDF's mark may stand anywhere in its first 1024 bytes (ISO 32000-1, annex H.3, note 13)


@contextmanager
def opened(path: Path) -> Iterator[pypdfium2.PdfDocument]:
    """The document, closed afterwards. Raises UnreadablePlanSet with one line that names the file and the way out."""
    _check_file(path)
    try:
        document = pypdfium2.PdfDocument(path)
    except pypdfium2.PdfiumError as error:
        raise UnreadablePlanSet(f"{path.name}: {_why(path, error)}") from error
    try:
        if len(document) < 1:
            raise UnreadablePlanSet(f"{path.name}: the PDF has no pages; check the export.")
        yield document
    finally:
        document.close()


def _check_file(path: Path) -> None:
    """Refuse what is no PDF before pdfium sees it."""
    if path.is_dir():
        raise UnreadablePlanSet(f"{path}: is a folder; give a PDF, or use the folder command.")
    try:
        found = path.stat()
        if not stat.S_ISREG(found.st_mode):
            raise UnreadablePlanSet(f"{path}: is no file; give a PDF.")  # a pipe that nobody writes to would hold us for ever
        size = found.st_size
        with path.open("rb") as stream:
            head = stream.read(_HEAD_BYTES)
    except FileNotFoundError:
        raise UnreadablePlanSet(f"{path}: no such file.") from None
    except OSError as error:
        raise UnreadablePlanSet(f"{path}: cannot be read ({error.strerror or error}).") from error
    if not size:
        raise UnreadablePlanSet(f"{path.name}: the file is empty.")
    if size > MAX_FILE_BYTES:
        raise UnreadablePlanSet(f"{path.name}: larger than {MAX_FILE_BYTES // 1_000_000} MB; split the set.")
    if b"%PDF-" not in head:
        raise UnreadablePlanSet(f"{path.name}: is not a PDF; export the plan set as PDF.")


def _why(path: Path, error: pypdfium2.PdfiumError) -> str:
    """What pdfium's refusal means for a person."""
    with suppress(pikepdf.PdfError, pikepdf.PasswordError, ValueError, RuntimeError), structure_of(path) as structure:
        if not len(structure.pages):
            return "the PDF has no pages; check the export."
    code = getattr(error, "err_code", None)
    if code in (pdfium_c.FPDF_ERR_PASSWORD, pdfium_c.FPDF_ERR_SECURITY):
        return "asks for a password; save a copy without one."
    with path.open("rb") as stream:
        stream.seek(max(0, path.stat().st_size - 2048))
        whole = b"%%EOF" in stream.read()
    return "the PDF is damaged; export it again." if whole else "the PDF is cut off before its end; copy or download it again."


def structure_of(path: Path) -> pikepdf.Pdf:
    """The file as qpdf reads it. A name that is no UTF-8, which qpdf refuses, goes by an open file."""
    try:
        str(path).encode()
    except UnicodeEncodeError:
        return pikepdf.open(path.open("rb"))
    return pikepdf.open(path)


def digest(path: Path) -> str:
    """SHA-256 of the file, in hex."""
    with path.open("rb") as stream:
        return hashlib.file_digest(stream, "sha256").hexdigest()


@contextmanager
def page_of(pdf: pypdfium2.PdfDocument, number: int, *, flat: bool = False) -> Iterator[pypdfium2.PdfPage]:
    """Page `number` (1-based), closed afterwards; `flat` has what its annotations show made part of the page, in memory only."""
    page = pdf[number - 1]
    if flat and pdfium_c.FPDFPage_Flatten(page.raw, pdfium_c.FLAT_NORMALDISPLAY) == pdfium_c.FLATTEN_SUCCESS:
        page.close()
        page = pdf[number - 1]
    try:
        yield page
    finally:
        page.close()


def placing(page: pypdfium2.PdfPage) -> Placing:
    """How the page is shown: its visible box and its rotation."""
    rect = pdfium_c.FS_RECTF()
    pdfium_c.FPDF_GetPageBoundingBox(page.raw, ctypes.byref(rect))
    x0, x1 = sorted((rect.left, rect.right))
    y0, y1 = sorted((rect.bottom, rect.top))
    return Placing(x0, y0, x1, y1, page.get_rotation())


@contextmanager
def text_layer(page: pypdfium2.PdfPage) -> Iterator[Any]:
    """pdfium's text page of `page`, closed afterwards; None where it cannot be made."""
    handle = pdfium_c.FPDFText_LoadPage(page.raw)
    try:
        yield handle
    finally:
        if handle:
            pdfium_c.FPDFText_ClosePage(handle)


def crop(path: Path, page: int, box: Box | tuple[float, float, float, float], *, scale: float = 2.0) -> Image.Image:
    """The part `box` (points as displayed) of a sheet (1-based) as an RGB picture, `scale` pixels a point.

    Raises UnreadablePlanSet where file or page cannot be shown.
    """
    with opened(path) as document:
        if not 1 <= page <= len(document):
            raise UnreadablePlanSet(f"{path.name}: has no page {page}.")
        try:
            return render(document[page - 1], box, scale)
        except pypdfium2.PdfiumError as error:
            raise UnreadablePlanSet(f"{path.name}: page {page} cannot be shown.") from error


def render(page: pypdfium2.PdfPage, box: Box | tuple[float, float, float, float], scale: float, *, grey: bool = False) -> Image.Image:
    """The part `box` of a page as displayed; the scale is lowered where the picture would pass MAX_RENDER_PIXELS."""
    width, height = page.get_size()
    x0, top = max(0.0, box[0]), max(0.0, box[1])
    x1, bottom = max(x0 + 1, min(width, box[2])), max(top + 1, min(height, box[3]))
    scale = min(scale, (MAX_RENDER_PIXELS / ((x1 - x0) * (bottom - top))) ** 0.5)
    margins = (min(x0, width - 1), max(0.0, height - bottom), max(0.0, width - x1), min(top, height - 1))  # left, bottom, right, top
    bitmap = page.render(scale=scale, crop=margins, grayscale=grey, may_draw_forms=False)
    picture: Image.Image = bitmap.to_pil()
    return picture if grey else picture.convert("RGB")
