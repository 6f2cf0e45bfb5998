"""Lines and bubbles are read from the drawing instructions, as displayed."""

from __future__ import annotations

from pathlib import Path
from random import Random

import numpy
import pikepdf
import pytest
import reportlab
from fontTools.pens.recordingPen import RecordingPen
from fontTools.ttLib import TTFont
from hypothesis import given
from hypothesis import strategies as st
from reportlab.pdfgen import canvas
from sheetkit import draw, read_one

from notelint.planset import limits
from notelint.planset.linework import read_linework
from notelint.planset.strokes import scan


def rounded(segments: numpy.ndarray) -> list[list[int]]:
    return sorted([round(float(v)) for v in row] for row in segments)


@pytest.mark.parametrize(
    ("stream", "want"),
    [
        (b"10 20 m 110 20 l S", [[10, 20, 110, 20]]),
        (b"10 20 m 110 20 l 110 90 l S", [[10, 20, 110, 20], [110, 20, 110, 90]]),
        (b"10 20 m 110 20 l 110 90 l s", [[10, 20, 110, 20], [110, 20, 110, 90], [110, 90, 10, 20]]),
        (b"10 20 m 110 20 l 110 90 l h S", [[10, 20, 110, 20], [110, 20, 110, 90], [110, 90, 10, 20]]),
        (b"10 20 100 50 re S", [[10, 20, 110, 20], [10, 70, 10, 20], [110, 20, 110, 70], [110, 70, 10, 70]]),
        (b"10 20 100 50 re W n", []),
        (b"10 20 100 50 re f", []),
        (b"10 20 100 1 re f", [[10, 20, 110, 20]]),
        (b"q 2 0 0 2 5 5 cm 0 0 m 10 0 l S Q 0 9 m 30 9 l S", [[0, 9, 30, 9], [5, 5, 25, 5]]),
        (b"0 0 m 5 5 5 5 40 0 c 90 0 l S", [[40, 0, 90, 0]]),
        (b"BT /F1 9 Tf (10 20 m 30 20 l S) Tj <31203220> Tj ET 0 0 m 50 0 l S", [[0, 0, 50, 0]]),
        (b"% 1 1 m 9 9 l S\n/GS1 gs 0.5 w [3 2] 0 d 1 0 0 RG 0 0 m 50 0 l S", [[0, 0, 50, 0]]),
        (b".5 -.5 m +50. -0.5 l S", [[0, 0, 50, 0]]),
        (b"0 0 m 5--5 l S", []),
        (b"l S m", []),
        (b"", []),
    ],
    ids=[
        "line", "two", "closing stroke", "closed", "rectangle", "clip", "filled area", "filled rule", "matrix", "after a curve",
        "text is no path", "comment, names and dashes", "number forms", "broken number", "no operands", "nothing",
    ],
)  # fmt: skip
def test_scan_follows_path_operators(stream: bytes, want: list[list[int]]) -> None:
    got = sorted(sorted((tuple(r[:2]), tuple(r[2:]))) for r in (numpy.array(rounded(scan(stream).segments)).reshape(-1, 4)).tolist())
    assert got == sorted(sorted((tuple(r[:2]), tuple(r[2:]))) for r in want)


NUMBER = st.from_regex(r"[+-]?(?:[0-9]{1,7}(?:\.[0-9]{0,6})?|\.[0-9]{1,6})|[0-9]{14,24}\.[0-9]{1,20}|-?0\.[0-9]{10,30}", fullmatch=True)


@given(st.lists(st.tuples(NUMBER, NUMBER, NUMBER, NUMBER), min_size=1, max_size=6))
def test_numbers_are_read_to_the_last_bit(lines: list[tuple[str, str, str, str]]) -> None:
    stream = " ".join(f"{a} {b} m {c} {d} l S" for a, b, c, d in lines).encode()
    want = [[float(v) for v in line] for line in lines]
    assert scan(stream).segments.tolist() == [line for line in want if line[:2] != line[2:]]


@given(st.binary(max_size=300))
def test_scan_never_fails_on_any_bytes(stream: bytes) -> None:
    assert scan(stream).segments.shape[1] == 4


@given(st.lists(st.tuples(*[st.integers(-999, 999)] * 4).filter(lambda t: t[:2] != t[2:]), max_size=30))
def test_every_separate_stroke_is_found(strokes: list[tuple[int, int, int, int]]) -> None:
    stream = b"".join(b"%d %d m %d %d l S\n" % s for s in strokes)
    assert rounded(scan(stream).segments) == sorted(list(s) for s in strokes)


@pytest.mark.parametrize("rotate", [0, 90, 180, 270])
def test_segments_lie_as_displayed(tmp_path: Path, rotate: int) -> None:
    path = draw(tmp_path / "a.pdf", lambda c: c.line(100, 50, 300, 50))
    with pikepdf.open(path, allow_overwriting_input=True) as pdf:
        pdf.pages[0].Rotate = rotate
        pdf.save(path)
    ends = {
        0: [(100, 562), (300, 562)],
        90: [(50, 100), (50, 300)],
        180: [(492, 50), (692, 50)],
        270: [(562, 492), (562, 692)],
    }[rotate]
    (segment,) = read_one(path).segments.tolist()
    assert sorted([tuple(segment[:2]), tuple(segment[2:])]) == ends


def test_bubbles_of_a_details_size_are_found(tmp_path: Path) -> None:
    def page(c: canvas.Canvas) -> None:
        c.circle(200, 300, 14)
        c.circle(400, 300, 300)
        c.circle(600, 300, 1)
        c.rect(100, 100, 28, 28)
        c.roundRect(300, 100, 40, 28, 8)

    (circle,) = read_one(draw(tmp_path / "a.pdf", page)).circles
    assert tuple(circle) == pytest.approx((186, 612 - 314, 214, 612 - 286), abs=0.1)


def test_leader_of_a_free_text_note_is_a_segment(tmp_path: Path) -> None:
    path = draw(tmp_path / "a.pdf", lambda c: c.drawString(72, 72, "A SHEET"))
    with pikepdf.open(path, allow_overwriting_input=True) as pdf:
        entry = {"Subtype": pikepdf.Name.FreeText, "Rect": [100, 100, 200, 120], "Contents": "ST-4", "CL": [10, 20, 60, 110, 100, 110]}
        pdf.pages[0].Annots = pikepdf.Array([pikepdf.Dictionary(Type=pikepdf.Name.Annot, **entry)])
        pdf.save(path)
    assert rounded(read_one(path).segments) == [[10, 592, 60, 502], [60, 502, 100, 502]]


def test_longest_segments_are_kept_where_there_are_too_many(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr("notelint.planset.linework.MAX_SEGMENTS", 5)
    with pikepdf.new() as pdf:
        pdf.add_blank_page()
        pdf.pages[0].Contents = pikepdf.Stream(pdf, b"".join(b"0 %d m %d %d l S\n" % (i, 10 * i + 10, i) for i in range(9)))
        kept = read_linework(pdf.pages[0].obj)
    assert sorted(kept.segments[:, 2].tolist()) == [50, 60, 70, 80, 90]
    assert limits.MAX_SEGMENTS > 40_000


def outlined(c: canvas.Canvas, x: float, y: float, text: str, size: float) -> None:
    """Writing drawn as filled outlines, from a font that comes with the drawing library."""
    font = TTFont(Path(reportlab.__file__).parent / "fonts" / "Vera.ttf")
    glyphs, names, scale = font.getGlyphSet(), font.getBestCmap(), size / font["head"].unitsPerEm
    for letter in text:
        pen = RecordingPen()
        glyphs[names[ord(letter)]].draw(pen)
        path = c.beginPath()
        for operation, points in pen.value:
            if operation == "moveTo":
                path.moveTo(x + points[0][0] * scale, y + points[0][1] * scale)
            elif operation == "closePath":
                path.close()
            else:  # curves by their corners
                for dx, dy in points:
                    path.lineTo(x + dx * scale, y + dy * scale)
        c.drawPath(path, fill=1, stroke=0)
        x += glyphs[names[ord(letter)]].width * scale


def stipple(c: canvas.Canvas) -> None:
    """Dots and gravel as concrete is drawn."""
    chance = Random(1)
    for _ in range(700):
        x, y = chance.uniform(50, 700), chance.uniform(50, 500)
        c.circle(x, y, 0.6, fill=1, stroke=0)
        c.circle(x + 3, y, 1.8, fill=1, stroke=0)
        path = c.beginPath()
        path.moveTo(x, y)
        for _ in range(4):
            path.lineTo(x + chance.uniform(0, 8), y + chance.uniform(0, 8))
        path.close()
        c.drawPath(path, fill=1, stroke=0)


def test_outlines_of_letters_are_told_from_stipple(tmp_path: Path) -> None:
    text = "PROVIDE HOLD-DOWN HD-3 AT EACH END OF SHEAR WALLS"
    pages = [lambda c: [outlined(c, 72, 500 - 20 * row, text, 9) for row in range(6)], stipple]
    path = draw(tmp_path / "a.pdf", *pages)  # type: ignore[arg-type]
    with pikepdf.open(path) as pdf:
        letters, dots = (read_linework(page.obj).outlines for page in pdf.pages)
    assert letters > 150
    assert dots == 0
