"""Fraction signs of a scan are read once, scanned words are never wholly sure, and rounds may waver."""

from __future__ import annotations

import math
from itertools import pairwise

import numpy
import pytest

from notelint.planset.ocr import Line
from notelint.planset.ocrfractions import with_true_fractions
from notelint.planset.ocrwords import words_of_lines
from notelint.planset.strokes import scan


def read(text: str, steps: str) -> Line:
    """A read line; `steps` says for each character whether it stands close ("c") or as usual after the one before."""
    at, x = [], 0.0
    for step in steps:
        x += 1.0 if step == "c" else 2.0
        at.append(x)
    paper = numpy.full((40, 400), 255, dtype=numpy.uint8)
    paper[12:30, 5:395:8] = 0
    quad = numpy.array([[0, 0], [400, 0], [400, 40], [0, 40]], dtype=numpy.float32)
    return Line(text, tuple(a / (x + 2) for a in at), (1.0,) * len(text), quad, 0, paper)


@pytest.mark.parametrize(
    ("text", "steps", "want"),
    [
        ("x 21\u00bd nails", "nnnncnnnnnn", "x 2\u00bd nails"),
        ("x 21\u00bd nails", "nnnnnnnnnnn", "x 21\u00bd nails"),
        ("x 11\u00bd4 x 34", "nnnnccnnnnn", "x 1\u00bc x 34"),
        ("7\u00bd4 in rise", "nncnnnnnnnn", "7\u00bc in rise"),
        ("plate 3\u00bd4 in", "nnnnnnnccnnn", "plate \u00be in"),
        ("no fraction 12", "nnnnnnnnnnnnnn", "no fraction 12"),
    ],
    ids=["a half read twice", "twenty-one and a half", "a quarter read in parts", "a quarter after a figure", "three quarters", "none"],
)
def test_signs_read_in_parts_are_one(text: str, steps: str, want: str) -> None:
    assert with_true_fractions(read(text, steps)).text == want


def test_scanned_words_are_never_wholly_sure() -> None:
    line = read("tie each truss", "nnnnnnnnnnnnnn")
    assert all(word.sure < 1.0 for word in words_of_lines([line], 4.0, 0.0, (0.0, 0.0)))


def ring(apart: bool, waver: float, of: float = 2 * math.pi) -> bytes:
    """A round of 18 sides about (100, 100), in one path or each side by itself."""
    points = [
        (100 + (14 + waver * (-1) ** i) * math.cos(of * i / 18), 100 + (14 + waver * (-1) ** i) * math.sin(of * i / 18)) for i in range(19)
    ]  # fmt: skip
    if apart:
        return b"\n".join(b"%.2f %.2f m %.2f %.2f l S" % (*a, *b) for a, b in pairwise(points))
    return b"%.2f %.2f m " % points[0] + b" ".join(b"%.2f %.2f l" % p for p in points[1:]) + b" S"


@pytest.mark.parametrize("apart", [False, True], ids=["one path", "side by side"])
@pytest.mark.parametrize("waver", [0.0, 0.8], ids=["even", "wavering"])
def test_rounds_of_sides_are_bubbles(apart: bool, waver: float) -> None:
    (box,) = scan(ring(apart, waver)).bubbles.tolist()
    assert box == pytest.approx([86, 86, 114, 114], abs=1.2)


@pytest.mark.parametrize("apart", [False, True], ids=["one path", "side by side"])
def test_an_open_arc_is_no_bubble(apart: bool) -> None:
    assert not len(scan(ring(apart, 0.0, math.pi)).bubbles)
