"""The sheet's number and title are found wherever the title block stands."""

from __future__ import annotations

from collections.abc import Callable
from pathlib import Path

import pytest
from reportlab.pdfgen import canvas
from sheetkit import Draw, both, draw, read

W, H = 1224.0, 792.0
Block = Callable[[canvas.Canvas, str, str], None]

SHEETS = (("A-1", "FLOOR PLAN"), ("S-1", "FOUNDATION PLAN"), ("S-2", "ROOF FRAMING"), ("S-3", "DETAILS"))


def strip_right(c: canvas.Canvas, number: str, title: str) -> None:
    c.rect(20, 20, W - 40, H - 40)
    c.line(W - 150, 20, W - 150, H - 20)
    put(c, W - 140, H - 60, "MARLOW FIELD DESIGN", 12)
    put(c, W - 140, 220, "SHEET TITLE", 6)
    put(c, W - 140, 200, title, 11, "Helvetica-Bold")
    put(c, W - 140, 150, "DATE: 3-4-2024", 7)
    put(c, W - 140, 110, "SHEET", 6)
    put(c, W - 120, 60, number, 34, "Helvetica-Bold")


def strip_bottom(c: canvas.Canvas, number: str, title: str) -> None:
    c.rect(20, 20, W - 40, H - 40)
    c.line(20, 80, W - 20, 80)
    put(c, 30, 60, "MARLOW FIELD DESIGN", 12)
    put(c, 500, 60, "HOUSE AT GREY POND", 11)
    put(c, 820, 60, title, 10, "Helvetica-Bold")
    put(c, 1100, 66, "SHEET NO.", 6)
    put(c, 1120, 36, number, 24, "Helvetica-Bold")


def corner_box(c: canvas.Canvas, number: str, title: str) -> None:
    c.rect(W - 320, 20, 300, 110)
    put(c, W - 310, 112, "TITLE:", 6)
    put(c, W - 310, 98, title, 10)
    put(c, W - 310, 60, "SCALE: AS NOTED", 7)
    put(c, W - 310, 40, "REV: B", 7)
    put(c, W - 160, 60, "DWG NO:", 7)
    put(c, W - 120, 60, number, 12)


def up_the_edge(c: canvas.Canvas, number: str, title: str) -> None:
    c.line(W - 90, 20, W - 90, H - 20)
    for x, y, text, size in ((W - 60, 300, title, 11), (W - 40, 420, "MARLOW FIELD DESIGN", 12), (W - 40, 40, number, 26)):
        c.saveState()
        c.translate(x, y)
        c.rotate(90)
        put(c, 0, 0, text, size, "Helvetica-Bold")
        c.restoreState()


def number_alone(c: canvas.Canvas, number: str, title: str) -> None:
    put(c, 80, 60, title, 18, "Helvetica-Bold")
    put(c, W - 110, 40, number, 30, "Helvetica-Bold")


def small_number(c: canvas.Canvas, number: str, title: str) -> None:
    put(c, W - 200, 60, title, 9)
    put(c, W - 200, 40, f"SHEET: {number}", 9)


def of_how_many(c: canvas.Canvas, number: str, title: str) -> None:
    put(c, W - 200, 90, title, 9, "Helvetica-Bold")
    put(c, W - 130, 50, number.replace("-", ""), 22)
    put(c, W - 200, 30, "SHEET 3 OF 7", 8)


def top_corner(c: canvas.Canvas, number: str, title: str) -> None:
    put(c, W - 200, H - 60, title, 10)
    put(c, W - 100, H - 40, number, 24, "Helvetica-Bold")


def split_number(c: canvas.Canvas, number: str, title: str) -> None:
    put(c, W - 200, 90, title, 10, "Helvetica-Bold")
    put(c, W - 120, 70, "SHEET", 6)
    put(c, W - 130, 40, number.replace("-", " - "), 22)


BLOCKS: dict[str, Block] = {
    "right strip": strip_right, "bottom strip": strip_bottom, "corner box": corner_box, "turned up the edge": up_the_edge,
    "number alone": number_alone, "small with label": small_number, "n of m": of_how_many, "top corner": top_corner, "split": split_number,
}  # fmt: skip


def put(c: canvas.Canvas, x: float, y: float, text: str, size: float, font: str = "Helvetica") -> None:
    c.setFont(font, size)
    c.drawString(x, y, text)


def clutter(c: canvas.Canvas) -> None:
    """Marks that look like sheet numbers: callouts at the edges, bubbles, references, a schedule."""
    for row in range(8):
        put(c, 120, 600 - 20 * row, f"HD-{row} AT EACH END, SEE DETAIL 3/S-5 AND SHEET S-9", 9)
        put(c, 900, 600 - 20 * row, f"ST-{row}", 9)
    for x, mark in ((60, "S-5"), (1000, "S-6")):
        c.circle(x, 300, 16)
        put(c, x - 3, 304, "2", 9)
        put(c, x - 8, 290, mark, 8)


def page(block: Block, number: str, title: str) -> Draw:
    return both(clutter, lambda c: block(c, number, title))


@pytest.mark.parametrize("name", BLOCKS)
def test_numbers_of_a_set_are_found(tmp_path: Path, name: str) -> None:
    block = BLOCKS[name]
    path = draw(tmp_path / "a.pdf", *(page(block, n, t) for n, t in SHEETS), size=(W, H))
    got = [s.number for s in read(path).sheets]
    assert [str(n).replace("-", "") for n in got] == [n.replace("-", "") for n, _ in SHEETS]


@pytest.mark.parametrize("name", BLOCKS)
def test_number_of_a_single_sheet_is_found(tmp_path: Path, name: str) -> None:
    (sheet,) = read(draw(tmp_path / "a.pdf", page(BLOCKS[name], "S-2", "ROOF FRAMING"), size=(W, H))).sheets
    assert str(sheet.number).replace("-", "") == "S2"


@pytest.mark.parametrize("rotate", [90, 180, 270])
def test_number_is_found_on_a_rotated_page(tmp_path: Path, rotate: int) -> None:
    def turned(c: canvas.Canvas, number: str, title: str) -> None:
        matrix = {90: (0, 1, -1, 0, H, 0), 180: (-1, 0, 0, -1, W, H), 270: (0, -1, 1, 0, 0, W)}[rotate]
        c.transform(*matrix)
        clutter(c)
        strip_right(c, number, title)

    pages = [lambda c, n=n, t=t: turned(c, n, t) for n, t in SHEETS]
    sheets = read(draw(tmp_path / "a.pdf", *pages, size=(W, H), rotate=rotate)).sheets  # reportlab swaps the sides of a turned page
    assert {(s.width, s.height) for s in sheets} == {(W, H)}
    assert [s.number for s in sheets] == [n for n, _ in SHEETS]


@pytest.mark.parametrize("number", ["A-1", "S1.1", "S-201", "N-2", "A0", "G0.1", "SK-1", "S3", "A-101", "E2.1", "S1A", "CS", "SD-4"])
def test_common_kinds_of_numbers_are_known(tmp_path: Path, number: str) -> None:
    (sheet,) = read(draw(tmp_path / "a.pdf", page(strip_right, number, "NOTES"), size=(W, H))).sheets
    assert sheet.number == (number if any(c.isdigit() for c in number) else None)


def test_typed_pages_take_their_number_from_the_foot(tmp_path: Path) -> None:
    def typed(number: str) -> Draw:
        def one(c: canvas.Canvas) -> None:
            put(c, 72, 740, "GREY POND HOUSE - OUTLINE SPECIFICATION", 8)
            for row in range(30):
                put(c, 72, 700 - 20 * row, "Provide strap ST-4 at each stud and see sheet S-9 for the R-19 walls of the house.", 11)
            put(c, 480, 40, f"Sheet {number}", 8)

        return one

    sheets = read(draw(tmp_path / "a.pdf", *(typed(f"N-{n}") for n in (1, 2, 3)), size=(612, 792))).sheets
    assert [s.number for s in sheets] == ["N-1", "N-2", "N-3"]
    assert all(s.block is not None and s.block.top > 700 for s in sheets)


def test_page_without_a_number_gets_none(tmp_path: Path) -> None:
    def letter(c: canvas.Canvas) -> None:
        put(c, 72, 740, "TRUSS DESIGN LETTER", 14)
        for row in range(20):
            put(c, 72, 700 - 20 * row, f"Truss T-{row} bears on the wall at grid B-{row} with uplift of 500 lb.", 11)
        put(c, 280, 40, "Page 3 of 12", 8)

    sheets = read(draw(tmp_path / "a.pdf", letter, letter, size=(612, 792))).sheets
    assert [s.number for s in sheets] == [None, None]


@pytest.mark.parametrize("name", ["right strip", "bottom strip", "corner box", "turned up the edge"])
def test_title_comes_from_the_block(tmp_path: Path, name: str) -> None:
    path = draw(tmp_path / "a.pdf", *(page(BLOCKS[name], n, t) for n, t in SHEETS), size=(W, H))
    assert [s.title for s in read(path).sheets] == [t for _, t in SHEETS]


def test_block_scale_revision_and_discipline_are_read(tmp_path: Path) -> None:
    path = draw(tmp_path / "a.pdf", *(page(corner_box, n, t) for n, t in SHEETS), size=(W, H))
    sheet = read(path).sheets[1]
    assert (sheet.scale, sheet.revision, sheet.discipline) == ("AS NOTED", "B", "structural")


def test_block_is_the_strip_that_a_long_line_cuts_off(tmp_path: Path) -> None:
    path = draw(tmp_path / "a.pdf", *(page(strip_right, n, t) for n, t in SHEETS), size=(W, H))
    block = read(path).sheets[0].block
    assert block is not None
    assert block.x0 == pytest.approx(W - 150, abs=1) and block.x1 == W


def test_two_page_sizes_in_one_set_each_find_their_own_place(tmp_path: Path) -> None:
    small = draw(tmp_path / "s.pdf", *(page_small(n) for n in ("N-1", "N-2")), size=(612, 792))
    large = draw(tmp_path / "l.pdf", *(page(strip_right, n, t) for n, t in SHEETS), size=(W, H))
    import pikepdf

    with pikepdf.open(small) as one, pikepdf.open(large) as other:
        one.pages.extend(other.pages)
        one.save(tmp_path / "a.pdf")
    assert [s.number for s in read(tmp_path / "a.pdf").sheets] == ["N-1", "N-2", *(n for n, _ in SHEETS)]


def page_small(number: str) -> Draw:
    def one(c: canvas.Canvas) -> None:
        put(c, 72, 700, "GENERAL NOTES OF THE WORK", 12)
        put(c, 520, 30, number, 10)

    return one
