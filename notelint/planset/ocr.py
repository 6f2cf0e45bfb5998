"""Reading a picture of a sheet: lines of writing found, turned straight and recognised.

Finding lines needs few pixels and reading them needs many: lines are found on the whole sheet at FIND_DPI (at 200 dpi the same took
seven times as long and three times the memory, with the same lines found) and read from cut-outs at READ_DPI.
"""

from __future__ import annotations

import contextlib
import math
from collections.abc import Callable, Sequence
from functools import lru_cache
from typing import Any, NamedTuple

import numpy
from numpy.typing import NDArray

from notelint.planset.limits import FIND_DPI, MAX_FIND_PIXELS, MAX_LINES, READ_DPI

Pixels = NDArray[numpy.uint8]
Quad = NDArray[numpy.float32]  # (4, 2) corners of a line: top left, top right, bottom right, bottom left, as it is read
Tick = Callable[[int, int], None]

_TALL = 1.5  # a box this much higher than wide holds writing that runs up or down
_BATCH = 12


class Line(NamedTuple):
    """A recognised line. `at` holds for each character of `text` its middle, from 0 to 1 along the line."""

    text: str
    at: tuple[float, ...]
    sure: tuple[float, ...]  # for each character; 1 for spaces
    quad: Quad  # in pixels of the picture
    turn: int
    picture: Pixels  # the cut-out, upright

    @property
    def score(self) -> float:
        """Mean confidence of the line."""
        return sum(self.sure) / max(1, len(self.sure))


@lru_cache(maxsize=1)
def _engine() -> Any:
    """The reader with the models that ship in its package; loaded once, when first needed."""
    from rapidocr import RapidOCR

    return RapidOCR(
        params={
            "Global.max_side_len": 100_000,
            "Global.log_level": "critical",
            "Global.use_cls": False,
            "Global.return_word_box": True,
            "Global.use_vertical_padding": False,
            "Det.max_candidates": MAX_LINES,
        }
    )


def find_lines(picture: Pixels) -> list[Quad]:
    """Corners of the lines of writing on a grey picture at READ_DPI."""
    import cv2

    height, width = picture.shape
    shrink = min(1.0, FIND_DPI / READ_DPI, math.sqrt(MAX_FIND_PIXELS / (height * width)))
    small = cv2.resize(picture, None, fx=shrink, fy=shrink, interpolation=cv2.INTER_AREA)
    found = _engine()(cv2.cvtColor(small, cv2.COLOR_GRAY2RGB), use_det=True, use_cls=False, use_rec=False)
    boxes = getattr(found, "boxes", None)
    return [] if boxes is None else [numpy.asarray(b, dtype=numpy.float32) / shrink for b in boxes]


def read_lines(picture: Pixels, quads: Sequence[Quad], tick: Tick | None = None) -> list[Line]:
    """The lines in `quads` read; writing that runs up the sheet is tried both ways."""
    jobs = [(quad, turn) for quad in quads for turn in ((270, 90) if _is_tall(quad) else (0,))]
    cuts = [_cut(picture, quad, turn) for quad, turn in jobs]
    order = sorted(range(len(jobs)), key=lambda i: cuts[i].shape[1] / cuts[i].shape[0])  # lines of like length go in one batch
    best: dict[int, Line] = {}
    for start in range(0, len(order), _BATCH):
        batch = order[start : start + _BATCH]
        for index, line in zip(batch, _recognise([cuts[i] for i in batch]), strict=True):
            quad, turn = jobs[index]
            full = Line(*line, quad=quad, turn=turn, picture=cuts[index])
            key = id(quad)
            if full.text.strip() and (key not in best or full.score > best[key].score):
                best[key] = full
        if tick:
            tick(min(start + _BATCH, len(order)), len(order))
    return [best[id(quad)] for quad in quads if id(quad) in best]


def _height(quad: Quad) -> float:
    return float(math.hypot(*(quad[3] - quad[0])))


def _is_tall(quad: Quad) -> bool:
    return _height(quad) >= _TALL * math.hypot(*(quad[1] - quad[0]))


def _cut(picture: Pixels, quad: Quad, turn: int) -> Pixels:
    """The part of the picture within `quad`, turned upright."""
    import cv2

    width, height = max(4, round(math.hypot(*(quad[1] - quad[0])))), max(4, round(_height(quad)))
    corners = numpy.array([[0, 0], [width, 0], [width, height], [0, height]], dtype=numpy.float32)
    matrix = cv2.getPerspectiveTransform(numpy.ascontiguousarray(quad, dtype=numpy.float32), corners)
    cut = cv2.warpPerspective(picture, matrix, (width, height), flags=cv2.INTER_CUBIC, borderMode=cv2.BORDER_REPLICATE)
    return numpy.ascontiguousarray(numpy.rot90(cut, {270: -1, 90: 1}.get(turn, 0)))


def _recognise(cuts: Sequence[Pixels]) -> list[tuple[str, tuple[float, ...], tuple[float, ...]]]:
    """Text, place and confidence of each character of each cut-out."""
    import cv2

    engine = _engine()
    read: Any = None
    with contextlib.suppress(Exception):  # one batch that the reader fails on must not cost the sheet
        engine.return_word_box = True
        read = engine.recognize_txt([cv2.cvtColor(cut, cv2.COLOR_GRAY2RGB) for cut in cuts])
    if read is None or read.txts is None:
        return [("", (), ())] * len(cuts)
    return [_characters(text, info) for text, info in zip(read.txts, read.word_results, strict=True)]


def _characters(text: str, info: Any) -> tuple[str, tuple[float, ...], tuple[float, ...]]:
    """Each character's place along the line, from the reader's columns; evenly spread where they do not match the text."""
    columns = [c for word in getattr(info, "word_cols", []) for c in word]
    sure = list(getattr(info, "confs", []))
    solid = [i for i, char in enumerate(text) if char != " "]
    total = float(getattr(info, "line_txt_len", 0.0) or 0.0)
    if len(columns) != len(solid) or total <= 0:
        return text, tuple((i + 0.5) / len(text) for i in range(len(text))), (0.9,) * len(text)
    at = [0.0] * len(text)
    for index, column in zip(solid, columns, strict=True):
        at[index] = min(1.0, (column + 0.5) / total)
    for index, char in enumerate(text):
        if char == " ":
            at[index] = (at[index - 1] + (at[index + 1] if index + 1 < len(text) else 1.0)) / 2 if index else 0.0
    confidence = [1.0] * len(text)
    marks = sure if len(sure) == len(text) else None
    for place, index in enumerate(solid):
        confidence[index] = float(marks[index] if marks else sure[place] if place < len(sure) else 0.9)
    return text, tuple(at), tuple(confidence)
