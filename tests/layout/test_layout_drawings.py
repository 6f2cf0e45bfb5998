"""Callouts, titles, bubbles, references, the sheet index, and what is set aside."""

from __future__ import annotations

import pytest
from layout_board import Board, one, read, texts, width

from notelint.model import Box

PREFIXES = frozenset({"S", "A"})


def test_stacked_callouts_with_leaders_keep_apart() -> None:
    board = Board()
    stacks = [
        ['2X6 STUDS AT 16" O.C.'],
        ["ST-1 ACROSS THE FLOOR LINE", "AT EACH SECOND STUD,", "NAILS AS SCHEDULED"],
        ["SOLE PLATE 2X6"],
        ["RIM 2X12,", "TIGHT"],
    ]
    y = 200.0
    for lines in stacks:
        y = board.callout(600, y, lines, tip=(480, y + 60)) + 9
    assert texts(read(board), "callout") == [" ".join(lines) for lines in stacks]


def test_one_line_callouts_close_together_are_told_apart_by_their_leaders() -> None:
    board = Board()
    for i, text in enumerate(("STUD", "SHEATHING", "SILL PLATE", "ANCHOR BOLT")):
        board.callout(600, 200 + 12.0 * i, [text], tip=(500, 230 + 20 * i))
    assert texts(read(board), "callout") == ["STUD", "SHEATHING", "SILL PLATE", "ANCHOR BOLT"]


def test_right_aligned_callout_is_one() -> None:
    board = Board()
    for i, line in enumerate(("3-2X6 POST UNDER BEAM,", "STANDS ON", "SUBFLOOR")):
        board.text(400 - width(line, 9), 200 + 11 * i, line, 9)
    assert texts(read(board), "callout") == ["3-2X6 POST UNDER BEAM, STANDS ON SUBFLOOR"]


def test_centred_label_of_two_lines_is_one() -> None:
    board = Board()
    for i, line in enumerate(("GARAGE SLAB,", 'PITCH 2" TO DOOR')):
        board.text(400 - width(line, 10) / 2, 200 + 12 * i, line, 10)
    assert texts(read(board), "callout") == ['GARAGE SLAB, PITCH 2" TO DOOR']


def test_repeated_marks_are_one_callout_with_places() -> None:
    board = Board()
    board.text(300, 900, "FOUNDATION PLAN", 16, bold=True)
    for x, y in ((200, 300), (600, 300), (200, 700), (600, 700)):
        board.text(x, y, "HD-2", 9, bold=True)
    found = one(read(board), "HD-2")
    assert (found.kind, found.place, len(found.also)) == ("callout", "FOUNDATION PLAN", 3)
    assert found.also[0][0] == 1


def test_text_printed_several_times_on_one_place_counts_once() -> None:
    board = Board()
    for i in range(9):
        board.text(300 + 0.2 * i, 300, "HD-2 AT CORNER", 9)
    found = one(read(board), "HD-2 AT CORNER")
    assert found.also == ()


def test_dimensions_are_no_callouts_but_words_with_dimensions_are() -> None:
    board = Board()
    for i, text in enumerate(("12'-6\"", "5'-3 3/4\"", "8'-0\" SLIDING DOOR")):
        board.text(300, 300 + 60 * i, text, 9)
    board.text(200, 500, "24'-0\"", 9, turn=270)
    assert texts(read(board), "callout") == ["8'-0\" SLIDING DOOR"]


def test_turned_text_is_grouped_on_its_own() -> None:
    board = Board()
    board.text(300, 600, "PROPERTY LINE", 9, turn=270)
    board.text(311, 600, "SEE SURVEY", 9, turn=270)
    board.text(340, 600, "LOT 14", 9)
    assert sorted(texts(read(board), "callout")) == ["LOT 14", "PROPERTY LINE SEE SURVEY"]


def detail_sheet(ruled: bool) -> Board:
    board = Board(number="S-4")
    for i, (x, y) in enumerate(((60, 100), (560, 100), (60, 640), (560, 640)), 1):
        board.bubble(x + 13, y + 420, str(i))
        board.text(x + 34, y + 418, f"DETAIL TITLE {'ABCD'[i - 1]}", 12, bold=True)
        board.text(x + 34, y + 430, 'SCALE: 3/4" = 1\'-0"', 8)
        board.callout(x + 330, y + 40, [f"UPPER PART {i}"], tip=(x + 150, y + 80))
        board.callout(x + 330, y + 300, [f"LOWER PART {i}"], tip=(x + 150, y + 320))
    if ruled:
        board.rule(30, 590, 1700, 590)
        board.rule(540, 30, 540, 1260)
    return board


@pytest.mark.parametrize("ruled", [True, False], ids=["cells ruled", "no cell rules"])
def test_callouts_belong_to_the_detail_they_stand_in(ruled: bool) -> None:
    layout = read(detail_sheet(ruled))
    assert [(d.number, d.title) for d in layout.details] == [(str(i), f"DETAIL TITLE {c}") for i, c in enumerate("ABCD", 1)]
    assert {p.text: p.detail for p in layout.passages if p.kind == "callout"} == {
        f"{w} PART {i}": str(i) for w in ("UPPER", "LOWER") for i in range(1, 5)
    }
    assert one(layout, "DETAIL TITLE C").label == "detail 3"


def test_leader_decides_between_neighbouring_drawings() -> None:
    board = detail_sheet(ruled=False)
    board.callout(520, 300, ["STANDS NEAR THE NEXT ONE"], tip=(300, 320))
    assert one(read(board), "STANDS NEAR THE NEXT ONE").detail == "1"


def test_titles_above_their_drawings() -> None:
    board = Board(number="S-4")
    for i, y in enumerate((100, 640), 1):
        board.bubble(73, y, str(i))
        board.text(94, y + 2, f"DETAIL {'AB'[i - 1]} TITLE", 12, bold=True)
        for k in range(3):
            board.callout(400, y + 80 + 100 * k, [f"PART {i} {'XYZ'[k]}"], tip=(250, y + 90 + 100 * k))
    layout = read(board)
    assert {p.detail for p in layout.passages if p.text.startswith("PART 1")} == {"1"}
    assert {p.detail for p in layout.passages if p.text.startswith("PART 2")} == {"2"}


def test_two_plans_on_a_sheet_name_the_places_of_their_callouts() -> None:
    board = Board()
    for x, name in ((150, "SECOND FLOOR PLAN"), (900, "THIRD FLOOR PLAN")):
        board.text(x + 180, 900, name, 16, bold=True)
        board.text(x + 200, 914, '1/4" = 1\'-0"', 8)
        board.text(x + 100, 400, "TD-1", 9, bold=True)
        board.text(x + 420, 500, "HS-18 EACH END", 9)
    layout = read(board)
    assert sorted((p.text, p.place) for p in layout.passages if p.kind == "callout") == [
        ("HS-18 EACH END", "SECOND FLOOR PLAN"),
        ("HS-18 EACH END", "THIRD FLOOR PLAN"),
        ("TD-1", "SECOND FLOOR PLAN"),
        ("TD-1", "THIRD FLOOR PLAN"),
    ]


def test_grid_bubbles_are_no_callouts() -> None:
    board = Board()
    board.bubble(300, 100, "1")
    board.bubble(100, 300, "B")
    layout = read(board)
    assert (layout.references, texts(layout, "callout")) == ((), [])


def test_title_block_and_frame_letters_are_set_aside() -> None:
    board = Board(block=Box(1560, 0, 1728, 1296))
    board.text(1580, 300, "SOME OFFICE", 14, bold=True)
    board.text(1580, 900, "S-1", 30, bold=True)
    for i, letter in enumerate("ABCD"):
        board.text(8, 200 + 250 * i, letter, 8)
    board.text(300, 300, "HD-2", 9)
    assert [p.text for p in read(board).passages] == ["HD-2"]


def test_block_that_repeats_on_every_sheet_is_set_aside() -> None:
    boards = []
    for page in (1, 2, 3):
        board = Board(number=f"S-{page}", page=page)
        for i, word in enumerate(("SOME OFFICE", "DESIGNERS", "HARBOR ROAD", "PROJECT", "A HOUSE", "DATE", "DRAWN")):
            board.text(1600, 60 + 170 * i, word, 9)
        board.text(1620, 1240, f"S-{page}", 24, bold=True)
        board.text(400, 300 + 40 * page, f"CALLOUT NUMBER {page}", 9)
        boards.append(board)
    assert [p.text for p in read(*boards).passages] == ["CALLOUT NUMBER 1", "CALLOUT NUMBER 2", "CALLOUT NUMBER 3"]


def test_order_is_by_sheet_and_ids_are_unique() -> None:
    boards = [Board(number=f"S-{page}", page=page) for page in (1, 2, 3)]
    for board in boards:
        board.text(300, 300, "SAME WORDS HERE", 9)
    passages = read(*boards).passages
    assert [p.page for p in passages] == [1, 2, 3]
    assert len({p.id for p in passages}) == 3


def test_numbers_in_circles_beside_a_list_number_its_notes() -> None:
    board = Board()
    board.text(300, 180, "KEYED NOTES", 12, bold=True)
    notes = [
        "STRAP ACROSS THE FLOOR LINE AT EACH STUD, NAILED AT BOTH ENDS.",
        "HOLD-DOWN AT EACH END OF THE WALL, SEE SCHEDULE.",
        "ANCHOR BOLTS AS NOTED ON THE PLAN.",
    ]
    for i, text in enumerate(notes, 1):
        board.bubble(310, 180 + 30 * i, str(i), radius=9)
        board.text(328, 184 + 30 * i, text, 10)
    layout = read(board)
    assert [(p.label, p.text) for p in layout.passages if p.kind == "note"] == [(f"note {i}", text) for i, text in enumerate(notes, 1)]
    assert layout.details == ()


def test_ragged_callout_is_one() -> None:
    board = Board()
    for i, (x, line) in enumerate(((300, "FS-8, 10-0.148 X 2-1/2"), (364, "EACH END"), (331, "AT FLOOR LINE"))):
        board.text(x, 200 + 11 * i, line, 9)
    assert texts(read(board), "callout") == ["FS-8, 10-0.148 X 2-1/2 EACH END AT FLOOR LINE"]
