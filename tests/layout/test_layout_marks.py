"""Marks in symbols, numbers of notes in bubbles, and keys whose marks stand beside their items."""

from __future__ import annotations

import math
from itertools import pairwise

import pytest
from layout_board import Board, one, read, rows, texts, width

from notelint.model import Box

KEY = [
    ("CL1", "18 ga. clip on the inside face of the wall, five nails to the rafter and five nails to the plates."),
    ("WS2", "20 ga. strap, stud to double top plate, six nails each end."),
    ("CT66", "12 ga. cap, two bolts through the post and two through the beam, all with washers on both sides."),
    ("FX4", "16 ga. strap, upper stud to lower stud, ten nails each end."),
]
SIDES = 6


def symbol(board: Board, x: float, y: float, mark: str, radius: float = 13.0) -> None:
    """A hexagon with a mark at its middle, as a closed round shape and as six lines."""
    board.circles.append(Box(x - radius, y - radius, x + radius, y + radius))
    corners = [(x + radius * math.cos(k * math.pi / 3), y + radius * math.sin(k * math.pi / 3)) for k in range(SIDES + 1)]
    for (x0, y0), (x1, y1) in pairwise(corners):
        board.rule(x0, y0, x1, y1)
    board.text(x - width(mark, 6, True) / 2, y + 2, mark, 6, bold=True)


@pytest.mark.parametrize("half", [False, True], ids=["at the first line", "at half height"])
def test_marks_in_symbols_beside_a_list_begin_its_rows(half: bool) -> None:
    board = Board()
    board.text(100, 180, "CONNECTOR KEY", 13, bold=True)
    y = 210.0
    for mark, item in KEY:
        lines = board.lines(item, 330)
        middle = y - 3 + (6 * (len(lines) - 1) if half else 0)
        symbol(board, 115, middle, mark)
        for line in lines:
            board.text(145, y, line)
            y += 12
        y += 18
    found = rows(read(board))
    assert [p.text for p in found] == [f"{mark} | {item}" for mark, item in KEY]
    assert {p.headings for p in found} == {("CONNECTOR KEY",)}


def test_marks_in_symbols_on_a_plan_are_callouts() -> None:
    board = Board()
    for x, y in ((300, 400), (500, 700), (800, 450)):
        symbol(board, x, y, "FX4")
    symbol(board, 620, 300, "TD9")
    layout = read(board)
    assert sorted(texts(layout, "callout")) == ["FX4", "TD9"]
    assert len(one(layout, "FX4").also) == 2


def test_mark_beside_a_title_with_its_scale_numbers_the_drawing() -> None:
    board = Board()
    board.bubble(300, 900, "A1")
    board.text(330, 900, "WALL SECTION", 14, bold=True)
    board.text(330, 915, 'SCALE: 3/4" = 1\'-0"', 8)
    board.text(320, 500, "2x6 stud at 16 in. on center", 9)
    layout = read(board)
    assert [(d.number, d.title) for d in layout.details] == [("A1", "WALL SECTION")]


def test_keynotes_of_a_column_drawn_by_hand_keep_their_numbers() -> None:
    board = Board()
    board.text(100, 180, "KEYNOTES", 12, bold=True)
    items = [
        "Strip the siding thirty inches up.",
        "Slip a pack of two studs into the wall.",
        "Run the straps around all four sides.",
        "Patch the hall ceiling.",
    ]
    for i, (item, off) in enumerate(zip(items, (0.4, -0.5, 0.3, -0.2), strict=True)):
        board.bubble(112 + off, 206 + 26 * i, str(i + 1))
        board.text(135, 210 + 26 * i, item)
    layout = read(board)
    assert [(p.label, p.text) for p in layout.passages if p.kind == "note"] == [(f"note {i}", item) for i, item in enumerate(items, 1)]


def test_letters_in_circles_beside_a_list_begin_its_rows() -> None:
    board = Board()
    board.text(100, 180, "WALL TYPES", 12, bold=True)
    items = [
        "Two by six studs with plywood outside.",
        "Two by four studs with board on both sides.",
        "Two rows of studs with an inch between them.",
    ]
    for i, item in enumerate(items):
        board.bubble(112, 206 + 26 * i, "ABC"[i])
        board.text(135, 210 + 26 * i, item)
    assert [p.text for p in rows(read(board))] == [f"{'ABC'[i]} | {item}" for i, item in enumerate(items)]


def test_labels_that_look_like_marks_beside_values_are_no_key() -> None:
    board = Board()
    board.text(100, 180, "DESIGN DATA", 11, bold=True)
    data = [("CODE", "2021 residential code"), ("WIND", "130 mph ultimate, exposure C"), ("FLOOR LL", "40 psf, 30 psf bedrooms"),
            ("ROOF LL", "20 psf"), ("SOIL", "1500 psf presumed"), ("FROST", '12"')]  # fmt: skip
    for i, (label, value) in enumerate(data):
        board.text(100, 200 + 15 * i, label, 9, bold=True)
        board.text(190, 200 + 15 * i, value, 9)
    assert [p.text for p in rows(read(board))] == [f"{label} | {value}" for label, value in data]


def test_numbers_of_a_sheets_own_are_notes() -> None:
    board = Board(number="A2")
    board.text(100, 180, "On this sheet", 13, bold=True)
    items = [
        ["Deck boards are ash with hidden clips; one hose tap and two", "outlets at the deck."],
        ["Tile floors lie over a mat."],
        ["Posts stand clear of the wall."],
    ]
    y = 204.0
    for i, lines in enumerate(items, 1):
        board.text(100, y, f"A2.0{i}")
        for line in lines:
            board.text(150, y, line)
            y += 12
        y += 6
    layout = read(board)
    assert [(p.label, p.text) for p in layout.passages if p.kind == "note"] == [
        (f"note A2.0{i}", " ".join(lines)) for i, lines in enumerate(items, 1)
    ]


def test_columns_of_notes_side_by_side_are_no_labels_with_values() -> None:
    board = Board()
    left = [
        "Verify the site before",
        "starting.",
        "Permits by the builder.",
        "Keep it clean and patch",
        "properly.",
        "Slope the grade away.",
        "House.",
    ]
    right = [
        "Walls are sheathed full",
        "height (see note 8).",
        "Sheets run down over 2",
        "rims to the sill; nail at 3",
        "in. on center in 2 rows.",
        "This lap ties 4 walls to",
        "the sill.",
    ]
    for i, (a, b) in enumerate(zip(left, right, strict=True)):
        if i in {0, 2, 3, 5}:
            board.text(100, 200 + 12 * i, f"{[0, 2, 3, 5].index(i) + 1}.")
        board.text(118, 200 + 12 * i, a)
        board.text(300, 200 + 12 * i, b)
    board.text(282, 200, "18.")
    assert not rows(read(board))


def test_sheet_written_beside_a_detail_bubble() -> None:
    board = Board(number="S2")
    other = Board(number="S4", page=2)
    other.text(100, 300, "A PLAN", 12)
    board.bubble(300, 300, "1", radius=9)
    board.text(312, 303, "/S4", 7)
    layout = read(board, other)
    assert [(r.detail, r.target) for r in layout.references] == [("1", "S4")]


def test_sheets_numbered_with_one_figure_in_a_bubble() -> None:
    board = Board(number="2")
    board.bubble(300, 300, "4", "5")
    assert [(r.detail, r.target) for r in read(board).references] == [("4", "5")]
