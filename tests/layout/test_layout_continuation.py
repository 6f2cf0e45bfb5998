"""Notes that go on in the next column or on the next sheet, and those that do not."""

from __future__ import annotations

import pytest
from layout_board import A, B, Board, C, D, E, F, numbered, one, read, texts


def test_note_goes_on_at_the_top_of_the_next_column() -> None:
    board = Board()
    board.text(60, 80, "STRUCTURAL NOTES", 14, bold=True)
    board.notes(60, 105, [("h", "FRAMING"), ("1.", A), ("2.", "Where a pipe cuts the top plate set a tie across the cut and")], room=280)
    board.text(424, 100, "fit a block below it.")
    board.notes(400, 118, numbered([C, D], 3), room=280)
    layout = read(board)
    whole = one(layout, "Where a pipe cuts the top plate set a tie across the cut and fit a block below it.")
    assert whole.label == "note 2"
    assert whole.spots[-1].box.x0 > 400
    assert one(layout, C).headings == ("STRUCTURAL NOTES", "FRAMING")


def test_note_goes_on_on_the_next_sheet() -> None:
    first, second = Board(number="S-1", page=1), Board(number="S-2", page=2)
    first.text(60, 80, "GENERAL NOTES", 14, bold=True)
    first.notes(60, 105, [("h", "FRAMING"), ("1.", A), ("2.", "Straps across the floor line are nailed at one end first and")], room=280)
    second.text(60, 80, "GENERAL NOTES (CONTINUED)", 14, bold=True)
    second.text(84, 105, "at the other end after the roof is on.")
    second.notes(60, 122, [("3.", C), ("h", "FINISHES"), ("4.", D)], room=280)
    layout = read(first, second)
    whole = one(layout, "Straps across the floor line are nailed at one end first and at the other end after the roof is on.")
    assert (whole.page, whole.sheet, {s.page for s in whole.spots}) == (1, "S-1", {1, 2})
    assert one(layout, C).headings == ("GENERAL NOTES", "FRAMING")
    assert one(layout, D).headings == ("GENERAL NOTES", "FINISHES")


def test_column_starts_with_the_next_number_under_the_same_heading() -> None:
    board = Board()
    board.notes(60, 105, [("h", "FRAMING"), ("1.", A), ("2.", B)], room=280)
    board.notes(400, 105, numbered([C, D], 3), room=280)
    assert one(read(board), D).headings == ("FRAMING",)


def test_separate_notes_beside_each_other_keep_apart() -> None:
    board = Board()
    board.notes(60, 105, [("h", "CONCRETE"), ("1.", A), ("2.", B)], room=280)
    board.notes(400, 105, [("h", "ROOF"), ("1.", C), ("2.", D)], room=280)
    layout = read(board)
    assert one(layout, B).headings == ("CONCRETE",)
    assert one(layout, C).headings == ("ROOF",)


def test_unrelated_paragraph_in_the_next_column_is_not_taken_for_the_rest_of_a_note() -> None:
    board = Board()
    board.notes(60, 105, [("h", "FRAMING"), ("1.", A), ("2.", "Straps across the floor line, see detail")], room=280)
    board.para(400, 319, D, room=280)
    board.para(400, 380, E, room=280)
    layout = read(board)
    assert one(layout, "Straps across the floor line, see detail").label == "note 2"


def test_note_without_full_stop_does_not_run_into_the_next_sheet() -> None:
    first, second = Board(number="S-1", page=1), Board(number="S-2", page=2)
    first.notes(60, 105, [("h", "FRAMING"), ("1.", A), ("2.", "Straps across the floor line, see detail")], room=280)
    second.para(60, 105, f"{D} {E} {F}", room=280)
    layout = read(first, second)
    assert one(layout, "Straps across the floor line, see detail").page == 1
    assert one(layout, f"{D} {E} {F}").page == 2


def test_bold_lead_paragraph_goes_on_on_the_next_page() -> None:
    boards = [Board(number=f"N-{page}", page=page, wide=612, high=792) for page in (1, 2)]
    y = 100.0
    for lead, text in (("Anchor bolts.", A), ("Sills.", B)):
        x = boards[0].text(60, y, lead, bold=True) + 3
        first = boards[0].lines(text, 350 - (x - 60))[0]
        boards[0].text(x, y, first)
        y = boards[0].para(60, y + 12.2, text[len(first) + 1 :], room=350) + 5
    boards[0].text(60, y, "Straps.", bold=True)
    boards[0].text(110, y, "Straps across the floor line are nailed at one end first and")
    boards[1].text(60, 100, "at the other end after the roof is on.")
    x = boards[1].text(60, 117, "Headers.", bold=True) + 3
    boards[1].text(x, 117, "Each end has one strap.")
    x = boards[1].text(60, 134, "Trusses.", bold=True) + 3
    boards[1].text(x, 134, "Each end has one tie.")
    layout = read(*boards)
    assert (
        one(layout, "Straps. Straps across the floor line are nailed at one end first and at the other end after the roof is on.").page == 1
    )
    assert texts(layout, "note")[-2:] == ["Headers. Each end has one strap.", "Trusses. Each end has one tie."]


@pytest.mark.parametrize("columns", [1, 2, 3, 4])
@pytest.mark.parametrize("capitals", [False, True], ids=["mixed case", "capitals"])
@pytest.mark.parametrize("hang", [24.0, 0.0], ids=["hanging", "flush"])
def test_columns_that_break_notes_anywhere_do_not_change_them(columns: int, capitals: bool, hang: float) -> None:
    items = [text.upper() if capitals else text for text in (f"{A} {B}", C, f"{D} {E}", F, f"{B} {C}", A)]
    board = Board()
    lines: list[tuple[str, str, bool]] = []
    for i, text in enumerate(items, 1):
        first = f"{i}. " if not hang else ""
        for k, line in enumerate(board.lines(first + text, 300 - hang)):
            lines.append((f"{i}." if hang and not k else "", line, not k))
    per = -(-len(lines) // columns)
    for k, (number, line, _) in enumerate(lines):
        column, row = divmod(k, per)
        y = 100 + 12.2 * row + 4 * sum(b for _, _, b in lines[column * per : k + 1])
        board.text(60 + 340 * column, y, number)
        board.text(60 + 340 * column + hang, y, line)
    assert texts(read(board), "note") == items
