"""Which sheets must be read from their picture, and reading them."""

from __future__ import annotations

import math
import re
from collections.abc import Callable, Sequence
from itertools import pairwise
from typing import Literal, NamedTuple

import numpy
import pypdfium2
from numpy.typing import NDArray

from notelint.model import Box, Word
from notelint.planset import document, ocr
from notelint.planset.limits import MAX_IMAGE_PIXELS, MAX_READ_PIXELS, READ_DPI
from notelint.planset.linework import Linework
from notelint.planset.ocrwords import words_of_lines
from notelint.planset.place import Placing
from notelint.planset.rings import quads_in, rings
from notelint.planset.ruled import ruled_lines, skew

Need = Literal["nothing", "blank", "whole", "rest"]

_PICTURE_SHARE = 0.15  # of the sheet's area
_OUTLINES = 150  # filled shapes of a letter's size that are not matched by letters in the text layer
_FEW_WORDS = 40
_ODD_SHARE = 0.35
_LINE_SURE = 0.6
_BUBBLE_SURE = 0.8
_READABLE_SHARE = 0.4  # of the lines found; below, the sheet is not readable
_PARTLY_SHARE = 0.75

NO_TEXT = "no readable text"
PARTLY = "part of the writing could not be read from the picture"
BIG_PICTURE = "holds a picture too large to read"


class Picture(NamedTuple):
    """What reading a sheet's picture gave."""

    words: tuple[Word, ...]
    lines: int  # found
    read: int  # read with confidence
    segments: NDArray[numpy.float32] = numpy.zeros((0, 4), dtype=numpy.float32)  # ruled lines
    circles: tuple[Box, ...] = ()


def need_of(words: Sequence[Word], drawn: Linework, placing: Placing, lost: int) -> Need:
    """Whether a sheet's words must be read from its picture: all of them, those in pictures and outlines, or none.

    `lost` is how many glyphs of the text layer have no meaning, as in fonts without a Unicode map.
    """
    area = max(1.0, placing.width * placing.height)
    pictured = float(sum((b[2] - b[0]) * (b[3] - b[1]) for b in drawn.pictures.tolist())) / area
    letters = sum(len(w.text) for w in words)
    if not words:
        empty = pictured == 0 and not len(drawn.segments) and not drawn.outlines and not drawn.shows_text and not drawn.shown_notes
        return "blank" if empty and drawn.seen and drawn.instructions < 2_000 else "whole"
    if lost > letters or odd_share(words) > _ODD_SHARE:
        return "whole"
    if drawn.outlines >= max(_OUTLINES, letters // 2):
        return "rest"
    if pictured >= _PICTURE_SHARE and _mostly_outside(words, drawn):
        return "rest"
    return "rest" if len(words) < _FEW_WORDS and drawn.short_strokes > 800 else "nothing"


def _mostly_outside(words: Sequence[Word], drawn: Linework) -> bool:
    """Whether the pictures hold next to no words of the text layer: a text layer over a scan would."""
    boxes = drawn.pictures
    middle = numpy.array([((w.x0 + w.x1) / 2, (w.top + w.bottom) / 2) for w in words])
    x, y = middle[:, :1], middle[:, 1:]
    inside = ((x > boxes[:, 0]) & (x < boxes[:, 2]) & (y > boxes[:, 1]) & (y < boxes[:, 3])).any(axis=1)
    share = float(inside.mean())
    return int(inside.sum()) < _FEW_WORDS or share < 0.2


_PAIRS = (
    "ab ac ad af ag ai ak al am an ap ar as at au aw ay ba be bl bo br bu by ca ce ch ck cl co cr ct cu da de dg di do dr ds du ea ec "
    "ed ee ei el em en ep er es et ev ew ex fa fi fl fo fr ft ga ge gi gl gn gr gs ha he hi ho hr ht ia ic id ie ig il im in io ip ir "
    "is it iv ke ki la ld le li ll lo ls lt lu ma mb me mi mm mo mp ms na nc nd ne ng ni nn no ns nt nu oa ob oc od of oi ol om on oo "
    "op or os ot ou ov ow pa pe pi pl po pp pr ps qu ra rc rd re ri rk rm rn ro rr rs rt ru ry sa sc se sf sh si sl so sp ss st su ta "
    "tc te th ti tl to tr ts tt tu tw ty ua ub uc ud ui ul um un up ur us ut va ve vi wa we wi wn wo ws "
)
_USUAL = frozenset(_PAIRS.split())
"""Pairs of letters that make up some 95 percent of English; of writing with its letters exchanged they make up less than half."""
_ODD = re.compile(r"[a-z]\d[a-z]|[A-Z]\d[A-Z]{2}|[a-z][A-Z][a-z]|[^\x20-\x7eØ°]|[~^\\{}|_`]|[!?;:][A-Za-z]")
_LETTERS = re.compile(r"[A-Za-z]+")
_SAMPLE = 500  # words looked at


def odd_share(words: Sequence[Word]) -> float:
    """Share of longer words that read as no language. High where a text layer is gibberish, as under a font without its letters' meaning
    or over a scan that was read badly; on drawings, rich in abbreviations, measured at most one word in ten.
    """
    step = max(1, len(words) // _SAMPLE)
    texts = [w.text for w in words[::step] if sum(map(len, _LETTERS.findall(w.text))) >= 4]
    return sum(map(_is_odd, texts)) / len(texts) if len(texts) >= 15 else 0.0


def _is_odd(text: str) -> bool:
    if _ODD.search(text):
        return True
    pairs = [a + b for part in _LETTERS.findall(text.lower()) for a, b in pairwise(part)]
    return bool(pairs) and sum(pair in _USUAL for pair in pairs) < 0.5 * len(pairs)


def readable(drawn: Linework) -> bool:
    """Whether the sheet's pictures are small enough to be unpacked."""
    return drawn.largest_picture <= MAX_IMAGE_PIXELS


def read_picture(page: pypdfium2.PdfPage, placing: Placing, tick: Callable[[int, int], None] | None = None) -> Picture:
    """Read a whole sheet from its picture."""
    scale = min(READ_DPI / 72, (MAX_READ_PIXELS / (placing.width * placing.height)) ** 0.5)
    pixels = numpy.asarray(document.render(page, (0, 0, placing.width, placing.height), scale, grey=True))
    bubbles, angle = rings(pixels, scale), skew(pixels, scale)
    quads = ocr.find_lines(pixels)
    lines = ocr.read_lines(pixels, quads, tick)
    if _upside_down(lines):
        turned = numpy.ascontiguousarray(pixels[::-1, ::-1])
        again = ocr.read_lines(turned, [_half_turned(q, pixels.shape) for q in quads])
        if sum(line.score for line in again) > sum(line.score for line in lines):
            return _picture(again, scale, angle, turned.shape, len(quads), half_turned=placing)
    more = ocr.read_lines(pixels, quads_in(bubbles, pixels, [line.quad for line in lines if line.score >= _LINE_SURE]))
    lines += [line for line in more if _in_bubble(line)]
    picture = _picture(lines, scale, angle, pixels.shape, len(quads) + len(more))
    return picture._replace(segments=ruled_lines(pixels, scale, angle), circles=_level(bubbles, scale, angle, pixels.shape))


def _in_bubble(line: ocr.Line) -> bool:
    """What may stand in a bubble: a detail's number or letter, or a sheet's number."""
    return line.score >= _BUBBLE_SURE and bool(re.fullmatch(r"[A-Z]{0,3}[-.]?\d{1,3}(?:[.-]\d{1,2})?[A-Z]?|[A-Z]{1,2}", line.text.strip()))


def _level(found: NDArray[numpy.float64], scale: float, angle: float, shape: tuple[int, ...]) -> tuple[Box, ...]:
    """Boxes in points of bubbles of a picture turned level."""
    x, y = found[:, 0] - shape[1] / 2, found[:, 1] - shape[0] / 2
    cos, sin = math.cos(angle), math.sin(angle)
    x, y, radius = (cos * x + sin * y + shape[1] / 2) / scale, (cos * y - sin * x + shape[0] / 2) / scale, found[:, 2] / scale
    return tuple(Box(*b) for b in numpy.stack([x - radius, y - radius, x + radius, y + radius], axis=1).tolist())


def _picture(
    lines: Sequence[ocr.Line], scale: float, angle: float, shape: tuple[int, ...], found: int, half_turned: Placing | None = None
) -> Picture:
    good = [line for line in lines if line.score >= _LINE_SURE and any(c.isalnum() for c in line.text)]
    words = words_of_lines(good, scale, angle, (shape[1] / 2, shape[0] / 2))
    if half_turned is not None:
        wide, tall = half_turned.width, half_turned.height
        words = [
            w._replace(x0=wide - w.x1, x1=wide - w.x0, top=tall - w.bottom, bottom=tall - w.top, turn=(w.turn + 180) % 360) for w in words
        ]
    return Picture(tuple(words), found, len(good))


def _upside_down(lines: Sequence[ocr.Line]) -> bool:
    level = sorted(line.score for line in lines if line.turn == 0)
    return len(level) >= 6 and level[len(level) // 2] < 0.75


def _half_turned(quad: ocr.Quad, shape: tuple[int, ...]) -> ocr.Quad:
    far = numpy.array([shape[1], shape[0]], dtype=numpy.float32)
    turned: ocr.Quad = (far - quad)[[2, 3, 0, 1]]
    return turned


def verdict(picture: Picture) -> str | None:
    """Why the picture is not, or only partly, read; None where it is."""
    if len(picture.words) < 3 or picture.read < _READABLE_SHARE * picture.lines:
        return NO_TEXT
    return PARTLY if picture.read < _PARTLY_SHARE * picture.lines and picture.lines >= 10 else None


def beside(words: Sequence[Word], more: Sequence[Word]) -> list[Word]:
    """Those of `more` that do not lie over one of `words`."""
    if not words:
        return list(more)
    boxes = numpy.array([w[1:5] for w in words])
    out = []
    for word in more:
        x, y = (word.x0 + word.x1) / 2, (word.top + word.bottom) / 2
        over = (boxes[:, 0] - 1 <= x) & (x <= boxes[:, 2] + 1) & (boxes[:, 1] - 1 <= y) & (y <= boxes[:, 3] + 1)
        if not over.any():
            out.append(word)
    return out
