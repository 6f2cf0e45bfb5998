"""References to details and sheets, and the sheet index."""

from __future__ import annotations

import pytest
from layout_board import Board, read, texts

from notelint.layout.references import between, index_line, listed, text_references

PREFIXES = frozenset({"S", "A"})


def test_bubbles_point_to_detail_and_sheet() -> None:
    board = Board(number="S-1")
    board.bubble(300, 300, "4", "S-5")
    board.text(500, 300, "7", 8, bold=True)
    board.text(496, 310, "S-4", 8)
    layout = read(board)
    assert sorted((r.detail, r.target, r.quote) for r in layout.references) == [("4", "S-5", "4/S-5"), ("7", "S-4", "7/S-4")]
    assert texts(layout, "callout") == []


@pytest.mark.parametrize(
    ("text", "found"),
    [
        ("BEAM POCKET, SEE 9/S-5", [("9", "S-5")]),
        ("CONNECT PER 3&4/S4", [("3", "S4"), ("4", "S4")]),
        ("SEE DETAIL 3 ON S-5.", [("3", "S-5")]),
        ("DETAIL 7/S-5", [("7", "S-5")]),
        ("see detail 4 on sheet S-2", [("4", "S-2")]),
        ("SEE DETAIL 4", [("4", None)]),
        ("PER A/S-3 SIM.", [("A", "S-3")]),
        ("SEE 2/A5.1, TYP.", [("2", "A5.1")]),
        ('1/2" PLYWOOD W/ 8d', []),
        ("3/4 IN. GRAVEL", []),
        ("15/32 S-DRY", []),
        ("detail the flashing", []),
        ("N/A", []),
        ("16 IN. O.C. W/ A-1 GLUE", []),
        ("1/300 OF ITS AREA", []),
        ("SECTIONS 1 AND 2", [("1", None), ("2", None)]),
        ("SECTION R602.3", []),
        ("IRC Section 301.1.3", []),
    ],
)
def test_references_in_running_text(text: str, found: list[tuple[str, str | None]]) -> None:
    assert [(f.detail, f.target) for f in text_references(text, PREFIXES)] == found


@pytest.mark.parametrize("title", ["SHEET INDEX", "DRAWING LIST", "INDEX OF DRAWINGS", "LIST OF SHEETS", "INDEX", "Sheet schedule"])
@pytest.mark.parametrize("ruled", ["grid", "level", "none"])
def test_index_table_gives_entries(title: str, ruled: str) -> None:
    board = Board(number="A-0")
    board.table(
        100,
        200,
        [70, 250],
        [["SHEET", "TITLE"], ["A-0", "Cover and notes"], ["S-1", "Foundation plan"], ["S-2", "Roof plan"]],
        title,
        ruled,
    )
    assert [(e.number, e.title) for e in read(board).index] == [
        ("A-0", "Cover and notes"),
        ("S-1", "Foundation plan"),
        ("S-2", "Roof plan"),
    ]


def test_index_as_plain_lines_under_its_title() -> None:
    board = Board(number="A-0")
    board.text(100, 180, "DRAWING INDEX", 12, bold=True)
    for i, (number, title) in enumerate((("A-0", "COVER SHEET"), ("A-1", "FLOOR PLANS"), ("S-1", "FOUNDATION PLAN"), ("S-2", "DETAILS"))):
        board.text(100, 200 + 14 * i, number)
        board.text(128, 200 + 14 * i, title)
    assert [(e.number, e.title) for e in read(board).index] == [
        ("A-0", "COVER SHEET"),
        ("A-1", "FLOOR PLANS"),
        ("S-1", "FOUNDATION PLAN"),
        ("S-2", "DETAILS"),
    ]


@pytest.mark.parametrize(
    ("text", "numbers"),
    [
        ("Sheets: A-0 notes, A-1 floor plan, S-1 foundation.", ["A-0", "A-1", "S-1"]),
        ("Sheets in this set: A-1, A-2, S-1.", ["A-1", "A-2", "S-1"]),
        ("Sheets S-1 thru S-4 make up this set.", ["S-1", "S-2", "S-3", "S-4"]),
        ("Drawings: A1, A2, S1 to S3.", ["A1", "A2", "S1", "S2", "S3"]),
        ("Sheets. N-1, N-2 and N-3 notes; A-1 floor plan; S-1 slab.", ["N-1", "N-2", "N-3", "A-1", "S-1"]),
        ("Sheets in this set: S1.0 through S1.3, S2.1.", ["S1.0", "S1.1", "S1.2", "S1.3", "S2.1"]),
        ("Drawings: figured dimensions govern over scale, see A-1 and A-2.", []),
        ("Sheathing nailing is on S-1 and S-2.", []),
        ("See S-1.", []),
        ("Sheets S-2 and S-3 govern over A-1.", []),
        ("Plans show S-1 straps at A-1 posts.", []),
    ],
    ids=lambda value: value if isinstance(value, str) else "",
)
def test_one_line_lists_of_sheets(text: str, numbers: list[str]) -> None:
    assert [item.number for item in listed(text)] == numbers


def test_titles_of_a_one_line_list() -> None:
    assert [(i.number, i.title) for i in listed("Sheets: A-0 notes, A-1 floor plan, and S-1 foundation.")] == [
        ("A-0", "notes"),
        ("A-1", "floor plan"),
        ("S-1", "foundation"),
    ]


@pytest.mark.parametrize(
    ("first", "last", "mid"),
    [("S-1", "S-4", ["S-2", "S-3"]), ("A2.1", "A2.3", ["A2.2"]), ("S-1", "A-3", []), ("S-3", "S-1", []), ("P-01", "P-03", ["P-02"])],
)
def test_ranges_of_sheet_numbers(first: str, last: str, mid: list[str]) -> None:
    assert between(first, last) == mid


@pytest.mark.parametrize(
    ("line", "found"),
    [
        ("A-0 COVER SHEET", ("A-0", "COVER SHEET")),
        ("S1.1 - FOUNDATION", ("S1.1", "FOUNDATION")),
        ("SHEET S-2: ROOF", ("S-2", "ROOF")),
        ("CONCRETE", None),
    ],
)
def test_index_lines(line: str, found: tuple[str, str] | None) -> None:
    item = index_line(line)
    assert (item and (item.number, item.title)) == found


def test_bubble_with_a_dash_points_to_its_own_sheet() -> None:
    board = Board(number="S-1")
    board.bubble(300, 300, "4", "-")
    assert [(r.detail, r.target) for r in read(board).references] == [("4", None)]


@pytest.mark.parametrize(
    ("text", "target"),
    [
        ("SEE SHEET S-5 FOR STRAPS", "S-5"),
        ("SEE S-5", "S-5"),
        ("BOLTS ON SHEET 2.0", "2.0"),
        ("SHT. A2.1", "A2.1"),
        ("SEE HD-5", None),
        ("SHEETS OF PLYWOOD", None),
    ],
)
def test_sheet_named_alone(text: str, target: str | None) -> None:
    assert [f.target for f in text_references(text, PREFIXES)] == ([target] if target else [])


def test_index_of_figures_only() -> None:
    board = Board(number="1.0")
    board.table(
        100, 200, [70, 250], [["SHEET", "TITLE"], ["1.0", "Notes"], ["2.0", "Foundation plan"], ["3.0", "Roof plan"]], "SHEET INDEX", "grid"
    )
    assert [(e.number, e.title) for e in read(board).index] == [("1.0", "Notes"), ("2.0", "Foundation plan"), ("3.0", "Roof plan")]


def test_index_known_by_its_column_heads_alone() -> None:
    board = Board(number="A-0")
    board.table(100, 200, [70, 250], [["SHEET", "TITLE"], ["A-0", "Cover and notes"], ["S-1", "Foundation plan"]], "OAK LANE HOUSE", "grid")
    assert [e.number for e in read(board).index] == ["A-0", "S-1"]
