"""Titles of drawings in the manners of different offices, and what is no title."""

from __future__ import annotations

import pytest
from layout_board import Board, one, read, texts

from notelint.layout.titles import room_name


@pytest.mark.parametrize("scale", ['1/8" = 1\'-0"', '1"=1\'-0"', "N.T.S.", "1/6 = 1-0", "1/4 in. = 1 ft."])
def test_scale_on_the_line_of_the_title(scale: str) -> None:
    board = Board()
    board.text(400, 900, "SOUTH ELEVATION", 11, bold=True)
    board.text(530, 900, scale, 11, bold=True)
    board.text(420, 700, "lap siding to match", 9)
    layout = read(board)
    assert texts(layout, "title") == ["SOUTH ELEVATION"]
    assert one(layout, "lap siding to match").place == "SOUTH ELEVATION"


@pytest.mark.parametrize("line", ["DO NOT SCALE", "PORCH OVER, SLOPE 1/4 IN. PER FT", "REPORT CONFLICTS, DO NOT SCALE"])
def test_words_on_scale_or_slope_are_no_titles(line: str) -> None:
    board = Board()
    board.text(400, 900, line, 9)
    assert texts(read(board), "title") == []


def test_scale_with_a_remark_stays_text() -> None:
    board = Board()
    board.text(400, 900, "Basement and foundation", 13, bold=True)
    board.text(400, 914, "3/8 in to the foot; short bars are L4, dots are bolts", 8)
    layout = read(board)
    assert texts(layout, "title") == ["Basement and foundation"]
    assert "3/8 in to the foot; short bars are L4, dots are bolts" in texts(layout, "callout")


def test_small_letters_beside_a_bubble_with_the_sheets_own_number() -> None:
    board = Board(number="A-3.2")
    for x, number, title in ((200, "3", "floor line"), (700, "4", "eave"), (1200, "5", "window and door heads")):
        board.bubble(x, 900, number, "A-3.2")
        board.text(x + 25, 903, title, 11, bold=True)
        board.text(x + 20, 600, f"callout of {title}", 9)
    layout = read(board)
    assert [(d.number, d.title) for d in layout.details] == [("3", "floor line"), ("4", "eave"), ("5", "window and door heads")]
    assert one(layout, "callout of eave").detail == "4"
    assert not layout.references


def test_small_letters_with_the_words_of_a_drawing_and_what_stands_level_with_them() -> None:
    board = Board()
    for x, title, note in ((200, "upper plan", "2x6 studs"), (1000, "roof", "trusses at 24 in")):
        board.text(x, 100, title, 13, bold=True)
        for i in range(3):
            board.text(x + 40, 400 + 100 * i, f"{note} {i}", 8)
    layout = read(board)
    assert sorted(texts(layout, "title")) == ["roof", "upper plan"]
    assert one(layout, "trusses at 24 in 1").place == "roof"


@pytest.mark.parametrize("name", ["KITCHEN", "BED 3", "OWNER'S ROOM", "BATHS AND LAUNDRY", "KITCHEN / DINING", "screened porch"])
def test_names_of_rooms(name: str) -> None:
    assert room_name(name)


@pytest.mark.parametrize("name", ["PORCH POST", "FLOOR PLAN", "DECK AT THE HOUSE", "GARAGE DOOR JAMB", "ROOF", "AND"])
def test_names_that_are_more_than_a_room(name: str) -> None:
    assert not room_name(name)


def test_large_names_on_a_plan_are_no_titles() -> None:
    board = Board()
    board.text(500, 100, "WALLS AND HARDWARE", 16, bold=True)
    for x0, y0, x1, y1 in ((200, 300, 900, 300), (200, 900, 900, 900), (200, 300, 200, 900), (900, 300, 900, 900)):
        board.rule(x0, y0, x1, y1)
    for x, y, name in ((300, 450, "KITCHEN"), (700, 450, "LIVING"), (500, 750, "GATHERING SPACE")):
        board.text(x, y, name, 13, bold=True)
    for i in range(6):
        board.text(950, 350 + 80 * i, f"a callout of the wall, {i}", 9)
    layout = read(board)
    assert texts(layout, "title") == ["WALLS AND HARDWARE"]
    assert {p.place for p in layout.passages if p.kind == "callout"} == {"WALLS AND HARDWARE"}


@pytest.mark.parametrize("scaled", [True, False], ids=["one with its scale", "no scale"])
def test_numbers_written_before_titles(scaled: bool) -> None:
    board = Board()
    names = ["REAR AND SIDE WALL", "FLOOR LEDGER", "NEW BLOCK TO OLD BLOCK"]
    for i, name in enumerate(names):
        scale = '   3/4" = 1\'-0"' if scaled and i == 0 else ""
        board.text(150 + 500 * i, 900, f"{i + 1} {name}{scale}", 12, bold=True)
        for k in range(4):
            board.text(200 + 500 * i, 500 + 60 * k, f"callout {k} of drawing {i + 1}", 9)
    layout = read(board)
    assert [(d.number, d.title) for d in layout.details] == [(str(i + 1), name) for i, name in enumerate(names)]
    assert one(layout, "callout 2 of drawing 3").detail == "3"


def test_numbered_headings_of_notes_are_no_drawings() -> None:
    board = Board()
    y = 100.0
    for i, heading in enumerate(("Basis", "Ground", "Frame"), 1):
        board.text(100, y, f"{i} {heading}", 13, bold=True)
        for k in range(3):
            board.text(100, y + 16 + 12 * k, f"{i}.0{k + 1} A sentence under heading {heading} that says what is to be done here.")
        y += 80
    layout = read(board)
    assert not layout.details
    assert texts(layout, "heading") == ["1 Basis", "2 Ground", "3 Frame"]


def test_frames_part_details_that_do_not_reach_across_the_sheet() -> None:
    board = Board(number="R-5")
    for x, number, name in ((100, "1", "EAVE"), (520, "2", "FLOOR LINE")):
        for x0, y0, x1, y1 in ((x, 100, x + 400, 100), (x, 500, x + 400, 500), (x, 100, x, 500), (x + 400, 100, x + 400, 500)):
            board.rule(x0, y0, x1, y1)
        board.bubble(x + 25, 478, number, "R-5")
        board.text(x + 48, 482, name, 11, bold=True)
    board.text(505 - 75, 200, "strap on the stud", 9)
    board.text(530, 300, "angle at the rim", 9)
    layout = read(board)
    assert one(layout, "strap on the stud").detail == "1"
    assert one(layout, "angle at the rim").detail == "2"


def test_schedule_numbered_as_a_drawing_is_a_detail_of_its_sheet() -> None:
    board = Board(number="S6")
    board.bubble(115, 188, "1")
    table = [["MARK", "PIECE", "NAILS"], ["C1", "tie", "five each end"], ["C2", "strap", "seven each end"]]
    board.text(140, 192, "CONNECTOR SCHEDULE", 12, bold=True)
    board.table(100, 210, [60, 120, 160], table)
    layout = read(board)
    assert [(d.number, d.title) for d in layout.details] == [("1", "CONNECTOR SCHEDULE")]
    assert {p.headings for p in layout.passages if p.kind == "row"} == {("CONNECTOR SCHEDULE",)}
