"""Schedules: ruled, half ruled and unruled tables, keys, label and value columns."""

from __future__ import annotations

import pytest
from layout_board import Board, read, texts, width

from notelint.model import Layout, Passage

STRAPS = [
    ["MARK", "STEEL", "NAILS", "USE"],
    ["ST-1", "16 ga. x 1-1/4 in.", "(10) 10d x 1-1/2 in. each end", "floor line"],
    ["ST-2", "14 ga. x 2-1/2 in.", "(14) 10d x 2-1/2 in. each end, staggered in two rows", "beam to wall plate at both ends of the beam"],
    ["HT-4", "18 ga. x 1-1/4 in.", "(6) 10d x 1-1/2 in.", "headers"],
]
WIDTHS = [60, 130, 170, 140]


def rows(layout: Layout) -> list[Passage]:
    return [p for p in layout.passages if p.kind == "row"]


def joined(table: list[list[str]]) -> list[str]:
    return [" | ".join(cell for cell in row if cell) for row in table[1:]]


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
    bolts = [["MARK", "BOLT", "SPACING"], ["B1", "5/8 in. x 10 in.", "48 in."], ["B2", "1/2 in. x 10 in.", "72 in."], ["B3", "3/4 in. x 12 in.", "32 in."]]
    board.table(700, 200, [60, 130, 90], bolts, "BOLT SCHEDULE", ruled)
    layout = read(board)
    assert sorted(p.text for p in rows(layout)) == sorted(joined(STRAPS) + joined(bolts))
    assert {(p.headings[0], p.text[:2]) for p in rows(layout)} == {
        ("STRAP SCHEDULE", "ST"), ("STRAP SCHEDULE", "HT"), ("BOLT SCHEDULE", "B1"), ("BOLT SCHEDULE", "B2"), ("BOLT SCHEDULE", "B3"),
    }  # fmt: skip


@pytest.mark.parametrize("ruled", ["grid", "level", "none"])
def test_schedules_of_one_width_under_each_other(ruled: str) -> None:
    board = Board()
    y = board.table(100, 200, WIDTHS, STRAPS, "STRAP SCHEDULE", ruled)
    second = [["MARK", "ITEM", "FASTENERS", "USE"], ["PB-6", "post base", "(12) screws", "porch"], ["PC-6", "post cap", "(8) 16d common", "porch"]]
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
    table = [["MARK", "FASTENERS TO POST OR STUDS", "ANCHOR IN CONCRETE"], ["HD-2", "(12) screws", "5/8 in. rod"], ["HD-4", "(20) screws", "7/8 in. rod"]]
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
    assert [(p.text, p.headings) for p in found] == [("H1 | 2-2x10", ("HEADERS", "FIRST STORY")), ("H2 | 3-2x12", ("HEADERS", "SECOND STORY"))]


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
    assert [(p.text, p.headings) for p in rows(read(board))] == [("H1 | 2-2x10", ("HEADER SCHEDULE",)), ("H2 | 3-2x12", ("HEADER SCHEDULE",))]


def test_rules_only_around_head_and_foot() -> None:
    board = Board()
    board.text(100, 190, "STRAP SCHEDULE", 12, bold=True)
    for y in (200, 216, 300):
        board.rule(100, y, 420, y)
    lines = [
        (212, ("MARK", "NAILS", "USE")), (230, ("ST-1", "(10) 10d x 1-1/2 in.", "floor line")), (241, ("", "each end, staggered", "")),
        (257, ("ST-2", "(14) 10d x 2-1/2 in.", "beam to plate")), (273, ("HT-4", "(6) 10d x 1-1/2 in.", "headers")),
    ]  # fmt: skip
    for y, row in lines:
        for x, cell in zip((104, 164, 304), row, strict=True):
            if cell:
                board.text(x, y, cell, 9, bold=y == 212)
    assert [p.text for p in rows(read(board))] == [
        "ST-1 | (10) 10d x 1-1/2 in. each end, staggered | floor line", "ST-2 | (14) 10d x 2-1/2 in. | beam to plate",
        "HT-4 | (6) 10d x 1-1/2 in. | headers",
    ]  # fmt: skip


def test_empty_cells_shift_nothing() -> None:
    table = [["MARK", "BASE", "CAP", "REMARKS"], ["C1", "PB-6", "", "porch"], ["C2", "", "PC-6", ""], ["C3", "PB-8", "PC-8", "deck"]]
    board = Board()
    board.table(100, 200, [60, 100, 100, 120], table, "COLUMNS", "grid")
    found = rows(read(board))
    assert [[(c.column, p.text[c.start : c.end]) for c in p.cells] for p in found][:2] == [
        [("MARK", "C1"), ("BASE", "PB-6"), ("REMARKS", "porch")], [("MARK", "C2"), ("CAP", "PC-6")],
    ]  # fmt: skip


def test_stated_criteria_are_rows() -> None:
    table = [["ITEM", "VALUE"], ["Wind speed", "140 mph"], ["Exposure", "C"], ["Code", "2021 IRC"], ["Roof live load", "20 psf"]]
    board = Board()
    board.table(100, 200, [140, 140], table, "DESIGN CRITERIA", "grid")
    assert [p.text for p in rows(read(board))] == joined(table)


def test_label_column_beside_value_column() -> None:
    board = Board()
    board.text(100, 180, "DESIGN LOADS", 12, bold=True)
    for i, (label, value) in enumerate((("ROOF LIVE LOAD", "20 PSF"), ("FLOOR LIVE LOAD", "40 PSF"), ("WIND SPEED", "140 MPH"), ("EXPOSURE", "C"), ("SNOW", "5 PSF"))):
        board.text(100, 200 + 14 * i, label)
        board.text(260, 200 + 14 * i, value)
    found = rows(read(board))
    assert [p.text for p in found] == ["ROOF LIVE LOAD | 20 PSF", "FLOOR LIVE LOAD | 40 PSF", "WIND SPEED | 140 MPH", "EXPOSURE | C", "SNOW | 5 PSF"]
    assert found[0].headings == ("DESIGN LOADS",)


def test_labels_and_values_on_alternate_lines() -> None:
    board = Board()
    for i, (label, value) in enumerate((("WIND SPEED:", "140 MPH ULTIMATE"), ("ROOF LIVE LOAD:", "20 PSF"), ("FLOOR LIVE LOAD:", "40 PSF"), ("SOIL:", "1,500 PSF"))):
        board.text(100, 200 + 28 * i, label)
        board.text(112, 214 + 28 * i, value)
    assert [p.text for p in rows(read(board))] == [
        "WIND SPEED: | 140 MPH ULTIMATE", "ROOF LIVE LOAD: | 20 PSF", "FLOOR LIVE LOAD: | 40 PSF", "SOIL: | 1,500 PSF",
    ]  # fmt: skip


def test_key_with_marks_beside_items_and_lines_below_them() -> None:
    board = Board()
    board.text(100, 180, "HARDWARE KEY", 13, bold=True)
    y = 200.0
    for mark, lines in (
        ("RR-7", ["rafter tie, 18 ga.", "to rafter: (6) 10d x 1-1/2 in.", "to stud: (8) 10d x 1-1/2 in."]), ("HX-9", ["header strap, 18 ga.", "(7) 10d x 1-1/2 in. each end"]),
        ("ST-48", ["strap, 14 ga. x 2-1/2 x 48 in.", "(12) #9 screws each end"]),
    ):  # fmt: skip
        board.text(100, y, mark, 11, bold=True)
        for line in lines:
            board.text(160, y, line, 10)
            y += 13
        y += 12
    found = rows(read(board))
    assert [p.text for p in found] == [
        "RR-7 | rafter tie, 18 ga. | to rafter: (6) 10d x 1-1/2 in. | to stud: (8) 10d x 1-1/2 in.", "HX-9 | header strap, 18 ga. | (7) 10d x 1-1/2 in. each end",
        "ST-48 | strap, 14 ga. x 2-1/2 x 48 in. | (12) #9 screws each end",
    ]  # fmt: skip
    assert found[0].label == "HARDWARE KEY, row RR-7"


def test_abbreviations_are_rows() -> None:
    board = Board()
    board.text(100, 180, "ABBREVIATIONS", 12, bold=True)
    for i, (short, long) in enumerate((("A.B.", "anchor bolt"), ("HDR.", "header"), ("O.C.", "on center"), ("P.T.", "pressure treated"), ("TYP.", "typical"))):
        board.text(100, 200 + 14 * i, short)
        board.text(150, 200 + 14 * i, long)
    assert [p.text for p in rows(read(board))] == ["A.B. | anchor bolt", "HDR. | header", "O.C. | on center", "P.T. | pressure treated", "TYP. | typical"]


def test_table_beside_notes_leaves_both_whole() -> None:
    board = Board()
    notes = [("1.", "Studs are two by six at sixteen inches on center in both stories of the house."), ("2.", "Bolts are five eighths inch in diameter and ten inches long."),
             ("3.", "Nails are common wire nails unless another kind is named on the sheets.")]  # fmt: skip
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
    first = [("1.", "Studs are two by six at sixteen inches on center in both stories of the house."), ("2.", "Bolts are five eighths inch in diameter and ten inches long.")]
    second = [("3.", "Nails are common wire nails unless another kind is named on the sheets."), ("4.", "Headers have one strap at each end to the king stud.")]
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


def test_values_of_several_lines_stay_with_their_label() -> None:
    board = Board()
    board.text(100, 180, "Outline of the work", 13, bold=True)
    y = 200.0
    wanted = []
    for label, value in (
        ("sill", "2x6 treated on seal, 5/8 in. bolts at 4 ft, 7 in. in the wall, 6 to 10 in. from ends of each piece"), ("girder", "3-2x10 on block piers"),
        ("joists", "2x10 at 12 in., plywood glued, ring nails at 6 and 10 in. over all"), ("roofing", "cedar shingles, stainless nails"), ("paint", "stain outside"),
    ):  # fmt: skip
        board.text(100, y, label)
        y = board.para(170, y, value, room=220) + 2
        wanted.append(f"{label} | {value}")
    assert [p.text for p in rows(read(board))] == wanted


def test_short_last_lines_of_notes_are_no_labels() -> None:
    board = Board()
    left = [("1.", "Studs are two by six at sixteen inches on center in both stories of the whole house below."), ("2.", "Bolts are five eighths inch in diameter and ten inches long with nuts on."),
            ("3.", "Nails are common wire nails unless another kind is named on the sheets of it.")]  # fmt: skip
    right = [("4.", "Set 5/8 bolts at 48 in. on center and 12 in. from ends of all of the plates."), ("5.", "Use 16d at 16 in. and 8d at 6 in. along the edges of panels."),
             ("6.", "Lap 48 in. at top plates with 12 16d nails on each side of the joint.")]  # fmt: skip
    board.notes(100, 200, left, room=230)
    board.notes(360, 200, right, room=230)
    layout = read(board)
    assert texts(layout, "note") == [text for _, text in left + right]
    assert rows(layout) == []


def test_second_head_line_of_an_unruled_table_joins_the_heads() -> None:
    table = [["MARK", "FASTENERS TO POST OR STUDS", "ANCHOR IN CONCRETE"], ["HD-2", "(12) screws", "5/8 in. rod"], ["HD-4", "(20) screws", "7/8 in. rod"]]
    board = Board()
    board.table(100, 200, [60, 90, 90], table, "HOLD-DOWNS", "none")
    found = rows(read(board))
    assert [p.text for p in found] == joined(table)
    assert [c.column for c in found[0].cells] == table[0]


def test_head_line_above_two_columns_of_an_unruled_table() -> None:
    board = Board()
    board.text(100, 180, "SHEAR WALLS", 12, bold=True)
    board.text(262, 200, "NAILING", 9, bold=True)
    for x, head in ((100, "MARK"), (160, "PANEL"), (240, "EDGE"), (320, "FIELD")):
        board.text(x, 211, head, 9, bold=True)
    for i, row in enumerate((("SW-1", "7/16 OSB", "8d at 6 in.", "8d at 12 in."), ("SW-2", "15/32 ply", "8d at 4 in.", "8d at 12 in."), ("SW-3", "15/32 ply", "8d at 3 in.", "8d at 12 in."))):
        for x, cell in zip((100, 160, 240, 320), row, strict=True):
            board.text(x, 226 + 14 * i, cell, 9)
    found = rows(read(board))
    assert [c.column for c in found[0].cells] == ["MARK", "PANEL", "NAILING EDGE", "NAILING FIELD"]
    assert found[0].headings == ("SHEAR WALLS",)


def test_legend_lines_with_an_equals_sign_are_rows() -> None:
    board = Board()
    board.text(100, 180, "LEGEND", 12, bold=True)
    for i, line in enumerate(("AB = ANCHOR BOLT", "HD-2 = HOLD-DOWN, 10 GA., (12) SCREWS", "P.T. = PRESSURE TREATED", "U.N.O. = UNLESS NOTED OTHERWISE")):
        board.text(100, 196 + 12 * i, line, 9)
    found = rows(read(board))
    assert [p.text for p in found] == ["AB | ANCHOR BOLT", "HD-2 | HOLD-DOWN, 10 GA., (12) SCREWS", "P.T. | PRESSURE TREATED", "U.N.O. | UNLESS NOTED OTHERWISE"]


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
    ]  # fmt: skip


def test_table_without_heads_beside_its_first_part_takes_its_heads() -> None:
    board = Board()
    board.table(100, 200, WIDTHS, STRAPS, "STRAP SCHEDULE", "grid")
    more = Board()
    more.table(700, 200, WIDTHS, [["ST-7", "12 ga.", "(20) 16d x 2-1/2 in.", "ridge"], ["ST-8", "12 ga.", "(22) 16d x 2-1/2 in.", "girder"]], None, "grid")
    board.words += [w._replace(bold=False) for w in more.words]
    board.segments += more.segments
    found = rows(read(board))
    assert found[-1].headings == ("STRAP SCHEDULE",)
    assert found[-1].cell("NAILS") == "(22) 16d x 2-1/2 in."


def test_dots_between_label_and_value() -> None:
    board = Board()
    board.text(100, 180, "DESIGN LOADS", 12, bold=True)
    for i, (label, value) in enumerate((("ROOF LIVE LOAD", "20 PSF"), ("FLOOR LIVE LOAD", "40 PSF"), ("WIND SPEED", "140 MPH"), ("EXPOSURE", "C"))):
        x = board.text(100, 200 + 13 * i, label, 9)
        dots = "." * int((250 - x - 6) / width(".", 9))
        board.text(x + 3, 200 + 13 * i, dots, 9)
        board.text(254, 200 + 13 * i, value, 9)
    assert [p.text for p in rows(read(board))] == ["ROOF LIVE LOAD | 20 PSF", "FLOOR LIVE LOAD | 40 PSF", "WIND SPEED | 140 MPH", "EXPOSURE | C"]


def test_callouts_at_both_sides_of_a_section_are_no_table() -> None:
    board = Board()
    left, right = ["2X6 STUD", "SHEATHING", "SILL PLATE", "GRADE LINE"], ["5/8 BOLT AT 48", "4 IN. SLAB", "2-#5 BARS", "8 IN. WALL"]
    for i, (a, b) in enumerate(zip(left, right, strict=True)):
        y = 200 + 40 * i
        board.text(300, y, a, 9)
        board.rule(300 + width(a, 9) + 4, y - 3, 390, y - 3)
        board.rule(390, y - 3, 430, y + 20)
        board.callout(500, y, [b], tip=(450, y + 25))
    layout = read(board)
    assert rows(layout) == []
    assert sorted(texts(layout, "callout")) == sorted(left + right)
