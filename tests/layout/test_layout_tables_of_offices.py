"""Schedules in the manners of different offices, and lines of drawings that are no schedules."""

from __future__ import annotations

import pytest
from layout_board import Board, joined, read, rows, texts

LINKS = [
    ["Link", "Piece", "Joins", "Nails"],
    ["L1", "twisted strap", "rafter to stud", "6 nails"],
    ["L2", "flat strap", "header to king stud", "8 nails"],
    ["L3", "long strap", "upper stud to lower stud", "11 nails"],
]
XS = [100.0, 160.0, 280.0, 440.0, 560.0]


def level_table(board: Board, table: list[list[str]], title: str, bold: bool = True, upright: bool = False) -> None:
    """A table with level rules under each row, none above its heads."""
    board.text(100, 180, title, 11, bold=True)
    for i, row in enumerate(table):
        y = 200 + 18 * i
        for x, cell in zip(XS, row, strict=False):
            board.text(x + 2, y, cell, 9, bold=bold and i == 0)
        board.rule(XS[0], y + 6, XS[-1], y + 6)
        if upright and i:
            for x in XS[1:-1]:
                board.rule(x, y - 12, x, y + 6)


@pytest.mark.parametrize("upright", [False, True], ids=["level rules", "level and upright rules"])
@pytest.mark.parametrize("bold", [True, False], ids=["bold heads", "plain heads"])
def test_heads_above_the_first_rule(bold: bool, upright: bool) -> None:
    board = Board()
    level_table(board, LINKS, "Links", bold, upright)
    found = rows(read(board))
    assert [p.text for p in found] == joined(LINKS)
    assert [c.column for c in found[0].cells] == LINKS[0]
    assert {p.headings for p in found} == {("Links",)}


def test_first_row_of_long_cells_is_no_head() -> None:
    table = [
        ["Iron", "What", "Where", "Screws"],
        ["IR1", "rafter tie", "one on each side of each rafter, where it sits on the wall", "(5) #9 in rafter"],
        ["IR2", "plate strap", "each stud, over the two top plates", "(5) #10 each leg"],
        ["IR3", "long strap", "every second stud", "(7) #9 each end"],
    ]
    board = Board()
    board.table(100, 200, [60, 120, 180, 140], table, "Iron list", "level")
    assert [p.text for p in rows(read(board))] == joined(table)


@pytest.mark.parametrize("beside", [True, False], ids=["beside the title", "under the title"])
def test_remark_near_a_schedules_title(beside: bool) -> None:
    board = Board()
    board.text(100, 178 if beside else 166, "CONNECTOR LIST", 13, bold=True)
    board.text(*((260, 178) if beside else (100, 184)), "(lengths are under the head)", 8)
    board.table(100, 200, [60, 120, 160, 120], LINKS)
    layout = read(board)
    assert {p.headings for p in rows(layout)} == {("CONNECTOR LIST",)}
    assert "(lengths are under the head)" in texts(layout, "note")


def test_end_of_a_sentence_above_a_table_is_no_title() -> None:
    board = Board(wide=612, high=792)
    board.rule(72, 112, 540, 112)
    y = board.para(
        72,
        150,
        "This letter covers the trusses listed. Reactions below are for one truss at each bearing, with uplift shown negative. " * 4,
        460,
    )
    table = [
        ["Truss", "Span", "Down, lb", "Uplift, lb"],
        ["T01", "30-00-00", "1110", "-512"],
        ["T02", "30-00-00", "1065", "-498"],
        ["T07", "30-00-00", "4020", "-2140"],
    ]
    board.table(72, y + 10, [100, 140, 114, 114], table)
    layout = read(board)
    assert [p.text for p in rows(layout)] == joined(table)
    assert {p.headings for p in rows(layout)} == {()}
    assert all("covers" not in p.text for p in rows(layout))


def test_title_of_a_legend_that_reaches_out_to_the_left() -> None:
    board = Board()
    board.text(100, 190, "HARDWARE LEGEND", 12, bold=True)
    for i, (mark, text) in enumerate(
        (("K1", "tie, truss to wall top"), ("K2", "tie, wall top to stud"), ("K3", "strap, stud to girder"), ("K4", "hold-down with rod"))
    ):
        board.text(140, 212 + 20 * i, mark, 9, bold=True)
        board.text(180, 212 + 20 * i, text, 9)
    assert {p.headings for p in rows(read(board))} == {("HARDWARE LEGEND",)}


def test_index_in_two_columns_without_rules() -> None:
    board = Board()
    board.text(100, 180, "drawings", 13, bold=True)
    sheets = [("A-0.1", "site, data"), ("A-1.1", "lower plan"), ("A-2.1", "building section"), ("A-3.1", "details")]
    for i, (number, title) in enumerate(sheets):
        board.text(100, 210 + 18 * i, number, 10, bold=True)
        board.text(220, 210 + 18 * i, title, 10)
    assert [(e.number, e.title) for e in read(board).index] == sheets


def test_index_of_plain_lines_under_a_bold_title() -> None:
    board = Board()
    board.text(1500, 180, "Sheets", 11, bold=True)
    sheets = [("C1", "Words & iron"), ("C2", "Piers & floor"), ("C3", "Loft & roof"), ("C4", "How it goes together")]
    for i, (number, title) in enumerate(sheets):
        board.text(1500, 198 + 16 * i, f"{number} {title}", 10)
    assert [(e.number, e.title) for e in read(board).index] == sheets


def test_lines_of_a_drawing_through_its_callouts_are_no_table() -> None:
    board = Board()
    for i in range(12):
        board.rule(300, 200 + 40 * i, 900, 200 + 40 * i)
    for x in (300, 600, 900):
        board.rule(x, 200, x, 640)
    board.text(560, 224, "trusses, 24 in, 8 in 12", 9)
    board.text(560, 264, "roof board, nails 6 and 6", 9)
    board.text(580, 304, "ridge vent, class F shingles", 9)
    layout = read(board)
    assert not rows(layout)
    assert "trusses, 24 in, 8 in 12" in texts(layout, "callout")


def test_dimension_strings_between_lines_are_no_table() -> None:
    board = Board()
    for y in (200, 260, 290, 320):
        board.rule(100, y, 700, y)
    for x in (100, 220, 340, 460, 580, 700):
        board.rule(x, 200, x, 320)
    for x in (140, 260, 380, 500, 620):
        board.text(x, 279, "8'-0\"", 9)
        board.text(x, 309, "4'-0\"", 9)
    assert not rows(read(board))


def test_names_of_rooms_in_a_section_are_no_table() -> None:
    board = Board()
    for y in (200, 320, 440):
        board.rule(100, y, 700, y)
    for x0, y0, y1 in ((100, 200, 440), (700, 200, 440), (400, 320, 440)):
        board.rule(x0, y0, x0, y1)
    for x, y, name in ((380, 264, "bedrooms"), (220, 384, "living"), (520, 384, "kitchen")):
        board.text(x, y, name, 10, bold=True)
    layout = read(board)
    assert not rows(layout)
    assert sorted(texts(layout, "callout")) == ["bedrooms", "kitchen", "living"]


def test_lettered_notes_under_underlined_headings_are_no_table() -> None:
    board = Board()
    y = 200.0
    for heading in ("Thermal insulation", "Windows", "Gypsum board", "Plumbing"):
        board.text(100, y, heading, 11, bold=True)
        board.rule(100, y + 5, 600, y + 5)
        board.text(100, y + 20, "A.")
        board.text(125, y + 20, f"Words on {heading.casefold()} that go on for a good part of the line, with figures 1 to 3.")
        y += 48
    layout = read(board)
    assert not rows(layout)
    assert [p.headings for p in layout.passages if p.kind == "note"] == [
        ("Thermal insulation",),
        ("Windows",),
        ("Gypsum board",),
        ("Plumbing",),
    ]


@pytest.mark.parametrize("heading", ["(E) CONSTRUCTION AS FOUND", "(N) ROOF"])
def test_headings_keep_the_signs_for_existing_and_new(heading: str) -> None:
    board = Board()
    board.text(100, 180, heading, 13, bold=True)
    for i in range(3):
        board.text(100, 204 + 16 * i, f"{'ABC'[i]}. Words of this note that say what is to be done here.")
    assert {p.headings for p in read(board).passages if p.kind == "note"} == {(heading,)}


@pytest.mark.parametrize("heading", ["METAL AND P.T.", "INSPECTIONS BY G.C.", "EXT FIN."])
def test_headings_that_end_in_a_shortened_word(heading: str) -> None:
    board = Board()
    y = 180.0
    for name in ("WALLS", heading):
        board.text(100, y, name, 13, bold=True)
        board.rule(100, y + 4, 500, y + 4)
        for i in range(3):
            board.text(100, y + 22 + 16 * i, f"{'ABC'[i]}. WORDS OF THIS NOTE THAT SAY WHAT IS TO BE DONE HERE.")
        y += 90
    assert texts(read(board), "heading") == ["WALLS", heading]
