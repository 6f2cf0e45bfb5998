"""Schedules: ruled, half ruled and unruled tables, keys, label and value columns."""

from __future__ import annotations

import pytest
from layout_board import Board, joined, read, rows, texts

STRAPS = [
    ["MARK", "STEEL", "NAILS", "USE"],
    ["ST-1", "16 ga. x 1-1/4 in.", "(10) 10d x 1-1/2 in. each end", "floor line"],
    ["ST-2", "14 ga. x 2-1/2 in.", "(14) 10d x 2-1/2 in. each end, staggered in two rows", "beam to wall plate at both ends of the beam"],
    ["HT-4", "18 ga. x 1-1/4 in.", "(6) 10d x 1-1/2 in.", "headers"],
]
WIDTHS = [60, 130, 170, 140]


@pytest.mark.parametrize("ruled", ["grid", "level", "none"])
def test_rows_cells_heads_and_title(ruled: str) -> None:
    board = Board()
    board.table(100, 200, WIDTHS, STRAPS, "STRAP SCHEDULE", ruled)
    found = rows(read(board))
    assert [p.text for p in found] == joined(STRAPS)
    assert [p.label for p in found] == ["STRAP SCHEDULE, row ST-1", "STRAP SCHEDULE, row ST-2", "STRAP SCHEDULE, row HT-4"]
    assert {p.headings for p in found} == {("STRAP SCHEDULE",)}
    assert found[1].cell("nails") == "(14) 10d x 2-1/2 in. each end, staggered in two rows"
    assert [c.column for c in found[0].cells] == STRAPS[0]


@pytest.mark.parametrize("ruled", ["grid", "level", "none"])
def test_two_schedules_side_by_side(ruled: str) -> None:
    board = Board()
    board.table(100, 200, WIDTHS, STRAPS, "STRAP SCHEDULE", ruled)
    bolts = [
        ["MARK", "BOLT", "SPACING"],
        ["B1", "5/8 in. x 10 in.", "48 in."],
        ["B2", "1/2 in. x 10 in.", "72 in."],
        ["B3", "3/4 in. x 12 in.", "32 in."],
    ]
    board.table(700, 200, [60, 130, 90], bolts, "BOLT SCHEDULE", ruled)
    layout = read(board)
    assert sorted(p.text for p in rows(layout)) == sorted(joined(STRAPS) + joined(bolts))
    assert {(p.headings[0], p.text[:2]) for p in rows(layout)} == {
        ("STRAP SCHEDULE", "ST"),
        ("STRAP SCHEDULE", "HT"),
        ("BOLT SCHEDULE", "B1"),
        ("BOLT SCHEDULE", "B2"),
        ("BOLT SCHEDULE", "B3"),
    }


@pytest.mark.parametrize("ruled", ["grid", "level", "none"])
def test_schedules_of_one_width_under_each_other(ruled: str) -> None:
    board = Board()
    y = board.table(100, 200, WIDTHS, STRAPS, "STRAP SCHEDULE", ruled)
    second = [
        ["MARK", "ITEM", "FASTENERS", "USE"],
        ["PB-6", "post base", "(12) screws", "porch"],
        ["PC-6", "post cap", "(8) 16d common", "porch"],
    ]
    board.table(100, y + 60, WIDTHS, second, "CONNECTORS", ruled)
    layout = read(board)
    assert [p.text for p in rows(layout)] == joined(STRAPS) + joined(second)
    assert rows(layout)[-1].headings == ("CONNECTORS",)


def test_rows_of_one_mark_stay_rows_of_their_own() -> None:
    table = [["MARK", "LEVEL", "ROD"], ["TD-1", "3rd story", "5/8 in."], ["TD-1", "2nd story", "3/4 in."], ["TD-1", "1st story", "7/8 in."]]
    board = Board()
    board.table(100, 200, [60, 100, 100], table, "RODS", "level")
    assert [p.text for p in rows(read(board))] == joined(table)


def test_mark_that_spans_several_rows_goes_with_each() -> None:
    board = Board()
    board.text(100, 190, "ROD SCHEDULE", 12, bold=True)
    xs = [100, 160, 260, 360]
    for x in xs:
        board.rule(x, 200, x, 280)
    for y in (200, 220, 280):
        board.rule(100, y, 360, y)
    for y in (240, 260):
        board.rule(160, y, 360, y)
    for x, head in zip(xs, ("MARK", "LEVEL", "ROD"), strict=False):
        board.text(x + 4, 214, head, 9, bold=True)
    board.text(104, 254, "TD-1", 9)
    for i, (level, rod) in enumerate((("3rd story", "5/8 in."), ("2nd story", "3/4 in."), ("1st story", "7/8 in."))):
        board.text(164, 234 + 20 * i, level, 9)
        board.text(264, 234 + 20 * i, rod, 9)
    assert [p.text for p in rows(read(board))] == ["TD-1 | 3rd story | 5/8 in.", "TD-1 | 2nd story | 3/4 in.", "TD-1 | 1st story | 7/8 in."]


def test_two_line_head_with_merged_first_line() -> None:
    board = Board()
    board.text(100, 190, "SHEAR WALL SCHEDULE", 12, bold=True)
    xs = [100, 160, 260, 340, 420]
    board.rule(100, 200, 420, 200)
    board.rule(260, 216, 420, 216)
    for y in (232, 252, 272):
        board.rule(100, y, 420, y)
    for x in (100, 160, 260, 420):
        board.rule(x, 200, x, 272)
    board.rule(340, 216, 340, 272)
    board.text(104, 221, "MARK", 9, bold=True)
    board.text(164, 221, "SHEATHING", 9, bold=True)
    board.text(318, 212, "NAILING", 9, bold=True)
    board.text(264, 228, "EDGE", 9, bold=True)
    board.text(344, 228, "FIELD", 9, bold=True)
    for i, row in enumerate((("SW-1", "7/16 OSB", "8d at 6 in.", "8d at 12 in."), ("SW-2", "15/32 ply", "8d at 4 in.", "8d at 12 in."))):
        for x, cell in zip(xs, row, strict=False):
            board.text(x + 4, 246 + 20 * i, cell, 9)
    found = rows(read(board))
    assert [p.text for p in found] == ["SW-1 | 7/16 OSB | 8d at 6 in. | 8d at 12 in.", "SW-2 | 15/32 ply | 8d at 4 in. | 8d at 12 in."]
    assert [c.column for c in found[0].cells] == ["MARK", "SHEATHING", "NAILING EDGE", "NAILING FIELD"]


def test_wrapped_heads_of_a_half_ruled_table() -> None:
    table = [
        ["MARK", "FASTENERS TO POST OR STUDS", "ANCHOR IN CONCRETE"],
        ["HD-2", "(12) screws", "5/8 in. rod"],
        ["HD-4", "(20) screws", "7/8 in. rod"],
    ]
    board = Board()
    board.table(100, 200, [60, 90, 90], table, "HOLD-DOWNS", "level")
    found = rows(read(board))
    assert [p.text for p in found] == joined(table)
    assert [c.column for c in found[0].cells] == table[0]


def test_merged_row_becomes_a_heading_of_the_rows_below() -> None:
    board = Board()
    board.text(100, 190, "HEADERS", 12, bold=True)
    ys = [200, 218, 236, 254, 272, 290]
    for y in ys:
        board.rule(100, y, 340, y)
    for x in (100, 340):
        board.rule(x, 200, x, 290)
    for top, bottom in ((200, 218), (236, 254), (272, 290)):
        board.rule(180, top, 180, bottom)
    for y, (a, b) in zip((214, 250, 286), (("MARK", "SIZE"), ("H1", "2-2x10"), ("H2", "3-2x12")), strict=True):
        board.text(104, y, a, 9, bold=y == 214)
        board.text(184, y, b, 9, bold=y == 214)
    board.text(190, 232, "FIRST STORY", 9, bold=True)
    board.text(190, 268, "SECOND STORY", 9, bold=True)
    found = rows(read(board))
    assert [(p.text, p.headings) for p in found] == [
        ("H1 | 2-2x10", ("HEADERS", "FIRST STORY")),
        ("H2 | 3-2x12", ("HEADERS", "SECOND STORY")),
    ]


def test_title_in_the_first_merged_row() -> None:
    board = Board()
    for y in (200, 220, 240, 260, 280):
        board.rule(100, y, 340, y)
    for x in (100, 340):
        board.rule(x, 200, x, 280)
    board.rule(180, 220, 180, 280)
    board.text(170, 214, "HEADER SCHEDULE", 9, bold=True)
    for y, (a, b) in zip((234, 254, 274), (("MARK", "SIZE"), ("H1", "2-2x10"), ("H2", "3-2x12")), strict=True):
        board.text(104, y, a, 9, bold=y == 234)
        board.text(184, y, b, 9, bold=y == 234)
    assert [(p.text, p.headings) for p in rows(read(board))] == [
        ("H1 | 2-2x10", ("HEADER SCHEDULE",)),
        ("H2 | 3-2x12", ("HEADER SCHEDULE",)),
    ]


def test_rules_only_around_head_and_foot() -> None:
    board = Board()
    board.text(100, 190, "STRAP SCHEDULE", 12, bold=True)
    for y in (200, 216, 300):
        board.rule(100, y, 420, y)
    lines = [
        (212, ("MARK", "NAILS", "USE")),
        (230, ("ST-1", "(10) 10d x 1-1/2 in.", "floor line")),
        (241, ("", "each end, staggered", "")),
        (257, ("ST-2", "(14) 10d x 2-1/2 in.", "beam to plate")),
        (273, ("HT-4", "(6) 10d x 1-1/2 in.", "headers")),
    ]
    for y, row in lines:
        for x, cell in zip((104, 164, 304), row, strict=True):
            if cell:
                board.text(x, y, cell, 9, bold=y == 212)
    assert [p.text for p in rows(read(board))] == [
        "ST-1 | (10) 10d x 1-1/2 in. each end, staggered | floor line",
        "ST-2 | (14) 10d x 2-1/2 in. | beam to plate",
        "HT-4 | (6) 10d x 1-1/2 in. | headers",
    ]


def test_empty_cells_shift_nothing() -> None:
    table = [["MARK", "BASE", "CAP", "REMARKS"], ["C1", "PB-6", "", "porch"], ["C2", "", "PC-6", ""], ["C3", "PB-8", "PC-8", "deck"]]
    board = Board()
    board.table(100, 200, [60, 100, 100, 120], table, "COLUMNS", "grid")
    found = rows(read(board))
    assert [[(c.column, p.text[c.start : c.end]) for c in p.cells] for p in found][:2] == [
        [("MARK", "C1"), ("BASE", "PB-6"), ("REMARKS", "porch")],
        [("MARK", "C2"), ("CAP", "PC-6")],
    ]


def test_stated_criteria_are_rows() -> None:
    table = [["ITEM", "VALUE"], ["Wind speed", "140 mph"], ["Exposure", "C"], ["Code", "2021 IRC"], ["Roof live load", "20 psf"]]
    board = Board()
    board.table(100, 200, [140, 140], table, "DESIGN CRITERIA", "grid")
    assert [p.text for p in rows(read(board))] == joined(table)


def test_table_beside_notes_leaves_both_whole() -> None:
    board = Board()
    notes = [
        ("1.", "Studs are two by six at sixteen inches on center in both stories of the house."),
        ("2.", "Bolts are five eighths inch in diameter and ten inches long."),
        ("3.", "Nails are common wire nails unless another kind is named on the sheets."),
    ]
    board.notes(100, 200, notes, room=260)
    board.table(390, 190, WIDTHS, STRAPS, "STRAP SCHEDULE", "none")
    layout = read(board)
    assert texts(layout, "note") == [text for _, text in notes]
    assert [p.text for p in rows(layout)] == joined(STRAPS)


def test_framed_notes_are_no_table() -> None:
    board = Board()
    for y in (150, 175, 300):
        board.rule(90, y, 720, y)
    for x in (90, 720):
        board.rule(x, 150, x, 300)
    board.text(350, 168, "GENERAL NOTES", 13, bold=True)
    first = [
        ("1.", "Studs are two by six at sixteen inches on center in both stories of the house."),
        ("2.", "Bolts are five eighths inch in diameter and ten inches long."),
    ]
    second = [
        ("3.", "Nails are common wire nails unless another kind is named on the sheets."),
        ("4.", "Headers have one strap at each end to the king stud."),
    ]
    board.notes(100, 195, first, room=280)
    board.notes(420, 195, second, room=280)
    layout = read(board)
    assert texts(layout, "note") == [text for _, text in first + second]
    assert rows(layout) == []


def test_siding_lines_of_an_elevation_are_no_table() -> None:
    board = Board()
    for i in range(30):
        board.rule(200, 300 + 8 * i, 700, 300 + 8 * i)
    board.text(420, 400, "LAP SIDING", 9)
    board.text(420, 450, "WINDOW", 9)
    layout = read(board)
    assert rows(layout) == []
    assert sorted(texts(layout, "callout")) == ["LAP SIDING", "WINDOW"]


def test_schedule_goes_on_in_the_next_column_with_its_head_again() -> None:
    board = Board()
    board.table(100, 200, WIDTHS, STRAPS, "STRAP SCHEDULE", "grid")
    more = [STRAPS[0], ["ST-7", "12 ga.", "(20) 16d x 2-1/2 in.", "ridge"], ["ST-8", "12 ga.", "(22) 16d x 2-1/2 in.", "girder"]]
    board.table(700, 200, WIDTHS, more, "STRAP SCHEDULE (CONT.)", "grid")
    found = rows(read(board))
    assert {p.headings for p in found} == {("STRAP SCHEDULE",)}
    assert [p.text for p in found] == joined(STRAPS) + joined(more)


def test_sentence_across_the_foot_of_a_table_is_a_note() -> None:
    board = Board()
    y = board.table(100, 200, WIDTHS, STRAPS, "STRAP SCHEDULE", "grid")
    board.rule(100, y, 100, y + 20)
    board.rule(600, y, 600, y + 20)
    board.rule(100, y + 20, 600, y + 20)
    board.text(106, y + 14, "Nail straps at the upper end after the roof is loaded.", 9)
    layout = read(board)
    assert [p.text for p in rows(layout)] == joined(STRAPS)
    assert [(p.text, p.headings) for p in layout.passages if p.kind == "note"] == [
        ("Nail straps at the upper end after the roof is loaded.", ("STRAP SCHEDULE",)),
    ]


def test_table_without_heads_beside_its_first_part_takes_its_heads() -> None:
    board = Board()
    board.table(100, 200, WIDTHS, STRAPS, "STRAP SCHEDULE", "grid")
    more = Board()
    more.table(
        700,
        200,
        WIDTHS,
        [["ST-7", "12 ga.", "(20) 16d x 2-1/2 in.", "ridge"], ["ST-8", "12 ga.", "(22) 16d x 2-1/2 in.", "girder"]],
        None,
        "grid",
    )
    board.words += [w._replace(bold=False) for w in more.words]
    board.segments += more.segments
    found = rows(read(board))
    assert found[-1].headings == ("STRAP SCHEDULE",)
    assert found[-1].cell("NAILS") == "(22) 16d x 2-1/2 in."


def test_rules_broken_by_a_scan_still_part_the_rows() -> None:
    board = Board()
    board.table(100, 200, WIDTHS, STRAPS, "STRAP SCHEDULE", "grid")
    heights = sorted({y0 for _, y0, _, y1 in board.segments if y0 == y1})
    broken = heights[2]
    board.segments = [s for s in board.segments if not (s[1] == s[3] == broken)]
    for start in range(100, 600, 80):
        board.rule(start, broken, min(start + 68, 600), broken)
    assert [p.text for p in rows(read(board))] == joined(STRAPS)


def test_titles_of_narrow_tables_close_together_keep_apart() -> None:
    board = Board()
    first = [["MARK", "POST"], ["HD-2", "2-2x6"], ["HD-4", "4x6"]]
    second = [["MARK", "SIZE"], ["H1", "2-2x10"], ["H2", "3-2x12"]]
    board.table(100, 200, [60, 70], first, "HOLD-DOWN SCHEDULE", "grid")
    board.table(254, 200, [60, 70], second, "HEADERS", "grid")
    assert {p.headings for p in rows(read(board))} == {("HOLD-DOWN SCHEDULE",), ("HEADERS",)}
