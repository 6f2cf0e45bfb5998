"""Tables without rules: keys, legends, label and value columns, heads over aligned cells."""

from __future__ import annotations

from layout_board import Board, joined, read, rows, texts, width


def test_label_column_beside_value_column() -> None:
    board = Board()
    board.text(100, 180, "DESIGN LOADS", 12, bold=True)
    for i, (label, value) in enumerate(
        (("ROOF LIVE LOAD", "20 PSF"), ("FLOOR LIVE LOAD", "40 PSF"), ("WIND SPEED", "140 MPH"), ("EXPOSURE", "C"), ("SNOW", "5 PSF"))
    ):
        board.text(100, 200 + 14 * i, label)
        board.text(260, 200 + 14 * i, value)
    found = rows(read(board))
    assert [p.text for p in found] == [
        "ROOF LIVE LOAD | 20 PSF",
        "FLOOR LIVE LOAD | 40 PSF",
        "WIND SPEED | 140 MPH",
        "EXPOSURE | C",
        "SNOW | 5 PSF",
    ]
    assert found[0].headings == ("DESIGN LOADS",)


def test_labels_and_values_on_alternate_lines() -> None:
    board = Board()
    for i, (label, value) in enumerate(
        (("WIND SPEED:", "140 MPH ULTIMATE"), ("ROOF LIVE LOAD:", "20 PSF"), ("FLOOR LIVE LOAD:", "40 PSF"), ("SOIL:", "1,500 PSF"))
    ):
        board.text(100, 200 + 28 * i, label)
        board.text(112, 214 + 28 * i, value)
    assert [p.text for p in rows(read(board))] == [
        "WIND SPEED: | 140 MPH ULTIMATE",
        "ROOF LIVE LOAD: | 20 PSF",
        "FLOOR LIVE LOAD: | 40 PSF",
        "SOIL: | 1,500 PSF",
    ]


def test_key_with_marks_beside_items_and_lines_below_them() -> None:
    board = Board()
    board.text(100, 180, "HARDWARE KEY", 13, bold=True)
    y = 200.0
    for mark, lines in (
        ("RR-7", ["rafter tie, 18 ga.", "to rafter: (6) 10d x 1-1/2 in.", "to stud: (8) 10d x 1-1/2 in."]),
        ("HX-9", ["header strap, 18 ga.", "(7) 10d x 1-1/2 in. each end"]),
        ("ST-48", ["strap, 14 ga. x 2-1/2 x 48 in.", "(12) #9 screws each end"]),
    ):
        board.text(100, y, mark, 11, bold=True)
        for line in lines:
            board.text(160, y, line, 10)
            y += 13
        y += 12
    found = rows(read(board))
    assert [p.text for p in found] == [
        "RR-7 | rafter tie, 18 ga. | to rafter: (6) 10d x 1-1/2 in. | to stud: (8) 10d x 1-1/2 in.",
        "HX-9 | header strap, 18 ga. | (7) 10d x 1-1/2 in. each end",
        "ST-48 | strap, 14 ga. x 2-1/2 x 48 in. | (12) #9 screws each end",
    ]
    assert found[0].label == "HARDWARE KEY, row RR-7"


def test_abbreviations_are_rows() -> None:
    board = Board()
    board.text(100, 180, "ABBREVIATIONS", 12, bold=True)
    for i, (short, long) in enumerate(
        (("A.B.", "anchor bolt"), ("HDR.", "header"), ("O.C.", "on center"), ("P.T.", "pressure treated"), ("TYP.", "typical"))
    ):
        board.text(100, 200 + 14 * i, short)
        board.text(150, 200 + 14 * i, long)
    assert [p.text for p in rows(read(board))] == [
        "A.B. | anchor bolt",
        "HDR. | header",
        "O.C. | on center",
        "P.T. | pressure treated",
        "TYP. | typical",
    ]


def test_values_of_several_lines_stay_with_their_label() -> None:
    board = Board()
    board.text(100, 180, "Outline of the work", 13, bold=True)
    y = 200.0
    wanted = []
    for label, value in (
        ("sill", "2x6 treated on seal, 5/8 in. bolts at 4 ft, 7 in. in the wall, 6 to 10 in. from ends of each piece"),
        ("girder", "3-2x10 on block piers"),
        ("joists", "2x10 at 12 in., plywood glued, ring nails at 6 and 10 in. over all"),
        ("roofing", "cedar shingles, stainless nails"),
        ("paint", "stain outside"),
    ):
        board.text(100, y, label)
        y = board.para(170, y, value, room=220) + 2
        wanted.append(f"{label} | {value}")
    assert [p.text for p in rows(read(board))] == wanted


def test_short_last_lines_of_notes_are_no_labels() -> None:
    board = Board()
    left = [
        ("1.", "Studs are two by six at sixteen inches on center in both stories of the whole house below."),
        ("2.", "Bolts are five eighths inch in diameter and ten inches long with nuts on."),
        ("3.", "Nails are common wire nails unless another kind is named on the sheets of it."),
    ]
    right = [
        ("4.", "Set 5/8 bolts at 48 in. on center and 12 in. from ends of all of the plates."),
        ("5.", "Use 16d at 16 in. and 8d at 6 in. along the edges of panels."),
        ("6.", "Lap 48 in. at top plates with 12 16d nails on each side of the joint."),
    ]
    board.notes(100, 200, left, room=230)
    board.notes(360, 200, right, room=230)
    layout = read(board)
    assert texts(layout, "note") == [text for _, text in left + right]
    assert rows(layout) == []


def test_second_head_line_of_an_unruled_table_joins_the_heads() -> None:
    table = [
        ["MARK", "FASTENERS TO POST OR STUDS", "ANCHOR IN CONCRETE"],
        ["HD-2", "(12) screws", "5/8 in. rod"],
        ["HD-4", "(20) screws", "7/8 in. rod"],
    ]
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
    for i, row in enumerate(
        (
            ("SW-1", "7/16 OSB", "8d at 6 in.", "8d at 12 in."),
            ("SW-2", "15/32 ply", "8d at 4 in.", "8d at 12 in."),
            ("SW-3", "15/32 ply", "8d at 3 in.", "8d at 12 in."),
        )
    ):
        for x, cell in zip((100, 160, 240, 320), row, strict=True):
            board.text(x, 226 + 14 * i, cell, 9)
    found = rows(read(board))
    assert [c.column for c in found[0].cells] == ["MARK", "PANEL", "NAILING EDGE", "NAILING FIELD"]
    assert found[0].headings == ("SHEAR WALLS",)


def test_legend_lines_with_an_equals_sign_are_rows() -> None:
    board = Board()
    board.text(100, 180, "LEGEND", 12, bold=True)
    for i, line in enumerate(
        ("AB = ANCHOR BOLT", "HD-2 = HOLD-DOWN, 10 GA., (12) SCREWS", "P.T. = PRESSURE TREATED", "U.N.O. = UNLESS NOTED OTHERWISE")
    ):
        board.text(100, 196 + 12 * i, line, 9)
    found = rows(read(board))
    assert [p.text for p in found] == [
        "AB | ANCHOR BOLT",
        "HD-2 | HOLD-DOWN, 10 GA., (12) SCREWS",
        "P.T. | PRESSURE TREATED",
        "U.N.O. | UNLESS NOTED OTHERWISE",
    ]


def test_dots_between_label_and_value() -> None:
    board = Board()
    board.text(100, 180, "DESIGN LOADS", 12, bold=True)
    for i, (label, value) in enumerate(
        (("ROOF LIVE LOAD", "20 PSF"), ("FLOOR LIVE LOAD", "40 PSF"), ("WIND SPEED", "140 MPH"), ("EXPOSURE", "C"))
    ):
        x = board.text(100, 200 + 13 * i, label, 9)
        dots = "." * int((250 - x - 6) / width(".", 9))
        board.text(x + 3, 200 + 13 * i, dots, 9)
        board.text(254, 200 + 13 * i, value, 9)
    assert [p.text for p in rows(read(board))] == [
        "ROOF LIVE LOAD | 20 PSF",
        "FLOOR LIVE LOAD | 40 PSF",
        "WIND SPEED | 140 MPH",
        "EXPOSURE | C",
    ]


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


def test_centred_title_over_an_unruled_table_does_not_cut_it() -> None:
    board = Board()
    board.text(254, 185, "DOORS", 12, bold=True)
    for i, row in enumerate(
        (
            ("DOOR", "SIZE", "TYPE", "REMARK"),
            ("1", "3'-0\" X 6'-8\"", "INSUL. STEEL", "DEADBOLT"),
            ("2", "6'-0\" X 6'-8\"", "SLIDER", "TEMPERED"),
        )
    ):
        for x, cell in zip((100, 150, 260, 380), row, strict=True):
            board.text(x, 200 + 14 * i, cell, 9, bold=i == 0)
    found = rows(read(board))
    assert [p.text for p in found] == ["1 | 3'-0\" X 6'-8\" | INSUL. STEEL | DEADBOLT", "2 | 6'-0\" X 6'-8\" | SLIDER | TEMPERED"]
    assert found[0].headings == ("DOORS",)
