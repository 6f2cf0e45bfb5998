"""The glyphs of a page's text layer, as arrays.

pdfium hands over one glyph a call. A call through ctypes costs about 0.4 microseconds, so four calls for each of the 10,000 glyphs
of a dense sheet take under 20 ms; everything after that is done on whole arrays.
"""

from __future__ import annotations

import ctypes
from typing import Any, NamedTuple

import numpy
import pypdfium2.raw as pdfium_c
from numpy.typing import NDArray

from notelint.planset.limits import MAX_CHARS
from notelint.planset.place import Floats, Placing


class Glyphs(NamedTuple):
    """Glyphs in drawing order; `box` is advance by type height, as displayed; `base` is the origin on the baseline."""

    code: NDArray[numpy.int32]  # Unicode; 32 for any space
    box: Floats  # (n, 4) x0, top, x1, bottom
    base: Floats  # (n, 2) left, top
    size: Floats  # height of the type in points
    turn: NDArray[numpy.int64]
    slant: Floats  # degrees clockwise that the writing is turned beyond `turn`, -45 to 45
    order: NDArray[numpy.int64]  # pdfium's own index of the glyph
    lost: int  # drawn glyphs without a meaning
    total: int  # how many the page has; more than read where the page is over the limit


def read_glyphs(text_page: Any, placing: Placing) -> Glyphs:
    """All glyphs that are drawn; spaces and line breaks that pdfium itself adds are left out."""
    total = max(0, pdfium_c.FPDFText_CountChars(text_page))
    count = min(total, MAX_CHARS)
    codes, boxes, matrices, sizes = _raw(text_page, count)
    scale = numpy.hypot(matrices[:, 2], matrices[:, 3]) * sizes
    added = (sizes == 1.0) & (matrices[:, 4] == 0.0) & (matrices[:, 5] == 0.0)  # what pdfium adds has no place of its own
    drawn = ((codes >= 32) | (codes == 2)) & ~added & numpy.isfinite(boxes).all(axis=1) & (scale > 0)
    unknown = ((codes < 32) & (codes != 2)) | ((codes >= 0xE000) & (codes <= 0xF8FF)) | (codes >= 0xFFFD)
    lost = int((unknown & ~added & (sizes > 0) & ~numpy.isin(codes, (9, 10, 13))).sum())
    index = numpy.flatnonzero(drawn)
    codes, boxes, matrices, scale = codes[index], boxes[index], matrices[index], scale[index]
    codes = numpy.where(codes == 2, 45, numpy.where(codes == 0xA0, 32, codes))  # 2 is pdfium's sign for a hyphen at a line's end
    left, top = placing.points(matrices[:, 4], matrices[:, 5])
    turn, slant = placing.turns(matrices[:, 0], matrices[:, 1])
    return Glyphs(codes, placing.boxes(boxes), numpy.stack([left, top], axis=1), scale, turn, slant, index, lost, total)


def _raw(text_page: Any, count: int) -> tuple[NDArray[numpy.int32], Floats, Floats, Floats]:
    """Code, box, matrix and nominal size of the first `count` glyphs, in page coordinates.

    Matrix and size are asked for where the box's bottom or top changes, which is where a level line begins or the type changes; the
    glyphs that follow on that line share all of the matrix but its place along the line, which the box holds. In writing that is
    not level they are asked for each glyph.
    """
    box_at = (pdfium_c.FS_RECTF * count)()
    unicode_of, box_of = pdfium_c.FPDFText_GetUnicode, pdfium_c.FPDFText_GetLooseCharBox
    each = range(count)
    codes = numpy.array([unicode_of(text_page, i) for i in each], dtype=numpy.int32)
    for i in each:
        box_of(text_page, i, box_at[i])
    boxes = _floats(box_at, count, 4)[:, (0, 3, 2, 1)]  # FS_RECTF holds left, top, right, bottom
    step = numpy.abs(numpy.diff(boxes[:, (1, 3)], axis=0)).any(axis=1)
    heads = numpy.flatnonzero(numpy.concatenate([[True], step]))[: count or 0]
    matrices, sizes = _matrices(text_page, heads)
    length = numpy.diff(numpy.append(heads, count))
    matrices, sizes = numpy.repeat(matrices, length, axis=0), numpy.repeat(sizes, length)
    turned = numpy.flatnonzero(numpy.abs(matrices[:, 1]) > 0.01 * numpy.abs(matrices[:, 0]))
    if len(turned):
        matrices[turned], sizes[turned] = _matrices(text_page, turned)
    return codes, boxes, matrices, sizes


def _matrices(text_page: Any, index: NDArray[numpy.int64]) -> tuple[Floats, Floats]:
    """Matrix and nominal size of the glyphs at `index`."""
    size_of, matrix_of = pdfium_c.FPDFText_GetFontSize, pdfium_c.FPDFText_GetMatrix
    matrix_at = (pdfium_c.FS_MATRIX * len(index))()
    asked = index.tolist()
    sizes = numpy.array([size_of(text_page, i) for i in asked], dtype=numpy.float64)
    for at, i in enumerate(asked):
        matrix_of(text_page, i, matrix_at[at])
    return _floats(matrix_at, len(asked), 6), sizes


def _floats(buffer: Any, rows: int, columns: int) -> Floats:
    flat = numpy.frombuffer(buffer, dtype=numpy.float32, count=rows * columns) if rows else numpy.zeros(0, numpy.float32)
    return flat.reshape(rows, columns).astype(numpy.float64)


class Fonts:
    """Tells bold type by its font's name, or by the weight the font states; each font is asked once."""

    def __init__(self, text_page: Any) -> None:
        self._page = text_page
        self._name = ctypes.create_string_buffer(128)
        self._flags = ctypes.c_int()
        self._bold: dict[bytes, bool] = {}

    def is_bold(self, index: int) -> bool:
        """Whether the glyph at pdfium's own `index` is set in bold type."""
        pdfium_c.FPDFText_GetFontInfo(self._page, index, self._name, 128, self._flags)
        name = self._name.value
        known = self._bold.get(name)
        if known is None:
            lower = name.lower()
            known = any(mark in lower for mark in (b"bold", b"black", b"heavy", b"demi"))
            known = known or pdfium_c.FPDFText_GetFontWeight(self._page, index) >= 600
            self._bold[name] = known
        return known
