"""Sheets without usable text are read from their picture."""

from __future__ import annotations

from pathlib import Path

import numpy
import pytest
from PIL import Image, ImageDraw, ImageFont
from reportlab.lib.utils import ImageReader
from reportlab.pdfgen import canvas
from sheetkit import Draw, both, draw, in_order, lines, read_one

from notelint.model import Word
from notelint.planset.linework import EMPTY
from notelint.planset.mend import mended
from notelint.planset.ocr import Line
from notelint.planset.ocrwords import words_of_lines
from notelint.planset.place import Placing
from notelint.planset.ruled import ruled_lines, skew
from notelint.planset.scans import beside, need_of, odd_share

DPI = 200
LEFT = ("1. STUDS 2X6 AT 16 IN. O.C.", "2. SILL PLATE P.T. 2X6", "3. STRAP ST-4 EACH STUD")
RIGHT = ("ANCHOR BOLTS 5/8 IN. AT 48 IN.", "HOLD-DOWN HD-3 AT CORNERS", "SEE SHEET S-2 FOR DETAILS")
SIZE = (432.0, 216.0)


def scanned(*, wide: float = SIZE[0], tall: float = SIZE[1], turn: float = 0.0) -> Image.Image:
    """A picture of two columns of notes, as a scanner gives it."""
    picture = Image.new("L", (round(wide * DPI / 72), round(tall * DPI / 72)), 245)
    pen = ImageDraw.Draw(picture)
    font = ImageFont.load_default(size=28)
    for column, x in ((LEFT, 60), (RIGHT, 640)):
        for row, text in enumerate(column):
            pen.text((x, 80 + 60 * row), text, fill=30, font=font)
    pen.line([(40, 300), (1150, 300)], fill=30, width=3)
    return picture.rotate(turn, fillcolor=245, resample=Image.Resampling.BICUBIC)


def placed(picture: Image.Image, x: float = 0, y: float = 0, wide: float = SIZE[0], tall: float = SIZE[1]) -> Draw:
    def page(sheet: canvas.Canvas) -> None:
        sheet.drawImage(ImageReader(picture), x, y, wide, tall)

    return page


def column(words: tuple[Word, ...], left: float, right: float) -> str:
    return " ".join(in_order([w for w in words if left <= w.x0 < right]))


def test_scan_gives_words_with_spaces_and_keeps_columns_apart(tmp_path: Path) -> None:
    sheet = read_one(draw(tmp_path / "a.pdf", placed(scanned(turn=0.8)), size=SIZE), ocr=True)
    assert sheet.text == "ocr"
    assert column(sheet.words, 0, 220) == " ".join(LEFT)
    assert column(sheet.words, 220, 432) == " ".join(RIGHT)
    assert all(0.6 <= w.sure <= 1.0 and 6 < w.size < 16 for w in sheet.words)
    assert len({round(w.bottom) for w in sheet.words}) <= 6, "lines lie level though the scan was turned"


def test_gibberish_text_layer_over_a_scan_gives_way_to_the_picture(tmp_path: Path) -> None:
    gibberish = lines(*["Wkh zdoov pxvw eh vwxg qdlohg wr vlooV; prqrV|v #z1th h~ld dqg qrw"] * 6, x=20, top=180, size=6)
    sheet = read_one(draw(tmp_path / "a.pdf", both(placed(scanned()), gibberish), size=SIZE), ocr=True)
    assert sheet.text == "ocr"
    assert "ST-4" in [w.text for w in sheet.words]


def test_picture_with_notes_on_a_sheet_with_text_is_read_as_well(tmp_path: Path) -> None:
    page = both(lines("ROOF FRAMING PLAN", "S-3", x=30, top=260), placed(scanned(), 0, 0))
    sheet = read_one(draw(tmp_path / "a.pdf", page, size=(432, 300)), ocr=True)
    texts = [w.text for w in sheet.words]
    assert sheet.text == "vector"
    assert texts.count("FRAMING") == 1 and texts.count("S-3") == 1 and "HD-3" in texts


def test_picture_without_writing_is_listed_as_not_readable(tmp_path: Path) -> None:
    noise = Image.fromarray(numpy.random.default_rng(1).integers(0, 255, (300, 600), dtype=numpy.uint8))
    sheet = read_one(draw(tmp_path / "a.pdf", placed(noise), size=SIZE), ocr=True)
    assert (sheet.text, sheet.reason) == ("none", "no readable text")


# ---------------------------------------------------------------- without the reader


def line(text: str, ink: list[tuple[int, int]], at: list[int], width: int = 300) -> Line:
    """A line as read, with the columns that hold ink and the middle of each character."""
    picture = numpy.full((30, width), 255, dtype=numpy.uint8)
    for a, b in ink:
        picture[6:24, a:b] = 0
    quad = numpy.array([[0, 0], [width, 0], [width, 30], [0, 30]], dtype=numpy.float32)
    return Line(text, tuple(a / width for a in at), (1.0,) * len(text), quad, 0, picture)


def test_space_that_the_reader_lost_is_found_in_the_ink() -> None:
    read = line(
        "#5bars AT",
        [(0, 10), (12, 22), (34, 44), (46, 56), (58, 68), (70, 80), (92, 102), (104, 114)],
        [5, 17, 39, 51, 63, 75, 86, 97, 109],
    )
    assert [w.text for w in words_of_lines([read], 1.0, 0.0, (0, 0))] == ["#5", "bars", "AT"]


@pytest.mark.parametrize(
    ("read", "meant"),
    [
        ("RO0F J0ISTS AND FL00RS T0 PLYW00D", "ROOF JOISTS AND FLOORS TO PLYWOOD"),
        ('16d 0 6" 0.C. 0N EACH', '16d @ 6" O.C. ON EACH'),
        ('5/8"0 BOLTS', '5/8"Ø BOLTS'),
        ("SHEET A0 OR S-0 OR G0.1", "SHEET A0 OR S-0 OR G0.1"),
        ("0.148 X 3 10D 20D R-30", "0.148 X 3 10D 20D R-30"),
        ("AT 0 AND 90", "AT 0 AND 90"),
    ],
)
def test_zero_read_for_a_letter_is_mended_by_shape(read: str, meant: str) -> None:
    assert " ".join(mended(read.split())) == meant


def test_word_boxes_follow_the_ink() -> None:
    read = line("AB CD", [(10, 20), (22, 32), (50, 60), (62, 72)], [15, 27, 41, 55, 67])
    first, second = words_of_lines([read], 2.0, 0.0, (0, 0))
    assert (first.x0, first.x1) == pytest.approx((5, 16), abs=0.6)
    assert (second.x0, second.x1) == pytest.approx((25, 36), abs=0.6)


@pytest.mark.parametrize("turn", [-1.5, 0.0, 0.4, 1.0])
def test_skew_of_a_scan_is_measured(turn: float) -> None:
    picture = numpy.asarray(scanned(turn=turn))
    assert skew(picture, DPI / 72) == pytest.approx(-numpy.radians(turn), abs=0.003)


def test_ruled_lines_of_a_scan_are_found_and_writing_is_none() -> None:
    picture = numpy.asarray(scanned())
    found = ruled_lines(picture, DPI / 72, 0.0)
    long = found[(found[:, 2] - found[:, 0]) > 300]
    assert len(long) == 1
    assert long[0].tolist() == pytest.approx([40 * 72 / DPI, 108.5, 1150 * 72 / DPI, 108.5], abs=3)


def word(text: str, x: float = 10.0) -> Word:
    return Word(text, x, 10, x + 20, 20, 10)


PLAIN = [
    word(t)
    for t in [
        "PROVIDE",
        "STRAPS",
        "BETWEEN",
        "STUDS",
        "AND",
        "PLATES",
        "WITH",
        "COMMON",
        "NAILS",
        "UNLESS",
        "NOTED",
        "OTHERWISE",
        "BLKG",
        "HDRS",
        "TYPICAL",
        "EACH",
        "FLOOR",
    ]
]


def test_odd_share_tells_gibberish_from_abbreviations() -> None:
    shifted = [word("".join(chr((ord(c) - 62) % 26 + 65) if c.isalpha() else c for c in w.text)) for w in PLAIN]
    assert odd_share(PLAIN) < 0.2
    assert odd_share(shifted) > 0.6


@pytest.mark.parametrize(
    ("words", "drawn", "lost", "need"),
    [
        ([], EMPTY, 0, "blank"),
        ([], EMPTY._replace(outlines=500), 0, "whole"),
        ([], EMPTY._replace(shows_text=3), 0, "whole"),
        (PLAIN, EMPTY, 0, "nothing"),
        (PLAIN, EMPTY, 900, "whole"),
        (PLAIN, EMPTY._replace(outlines=400), 0, "rest"),
        (PLAIN * 9, EMPTY._replace(outlines=160), 0, "nothing"),
        (PLAIN, EMPTY._replace(pictures=numpy.array([[100.0, 100, 600, 500]])), 0, "rest"),
        (PLAIN * 9, EMPTY._replace(pictures=numpy.array([[0.0, 0, 792, 612]])), 0, "nothing"),
    ],
    ids=[
        "empty page",
        "outlines alone",
        "text without meaning",
        "text",
        "lost glyphs",
        "outlines",
        "few outlines",
        "picture",
        "layer over scan",
    ],
)
def test_need_of_a_picture_is_told_from_what_the_page_holds(words: list[Word], drawn: object, lost: int, need: str) -> None:
    assert need_of(words, drawn, Placing(0, 0, 792, 612, 0), lost) == need  # type: ignore[arg-type]


def test_words_read_twice_are_kept_once() -> None:
    assert [w.text for w in beside([word("ST-4")], [word("ST-4", 11), word("HD-3", 200)])] == ["HD-3"]
