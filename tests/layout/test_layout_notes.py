"""Notes: columns, numbering, leads, lists, headings, continuation."""

from __future__ import annotations

import pytest
from layout_board import SIX, A, B, Board, C, D, E, F, numbered, one, read, texts, width


@pytest.mark.parametrize("count", [1, 2, 3, 4])
def test_columns_read_one_after_another(count: int) -> None:
    board = Board()
    per = 12 // count
    notes = numbered([f"{text} Item {i}." for i, text in enumerate(SIX * 2)])
    for column in range(count):
        board.notes(60 + column * 330, 100, notes[column * per : (column + 1) * per], room=300)
    assert texts(read(board), "note") == [text for _, text in notes]


@pytest.mark.parametrize("gutter", [18, 24, 60])
def test_narrow_gutter_does_not_mix_columns(gutter: int) -> None:
    board = Board()
    for column in range(3):
        board.notes(60 + column * (300 + gutter), 100, numbered(SIX[column * 2 : column * 2 + 2], 1 + 2 * column), room=300)
    assert texts(read(board), "note") == SIX


def test_ragged_columns_of_unequal_length_and_start() -> None:
    board = Board()
    board.notes(60, 100, numbered([A, B, C]), room=260)
    board.notes(360, 112, numbered([D], 4), room=240)
    board.notes(660, 90, numbered([E, F], 5), room=310)
    assert texts(read(board), "note") == SIX


NUMBERINGS = {
    "dot": "{}.",
    "glued": "{}.|",
    "comma": "{},",
    "bracket": "{} )",
    "round": "({})",
    "tight bracket": "{})",
    "bare": "{}",
    "series": "G1-{}",
    "colon": "{}:",
}


@pytest.mark.parametrize("form", NUMBERINGS.values(), ids=NUMBERINGS.keys())
def test_numbering_manners(form: str) -> None:
    board = Board()
    if form.endswith("|"):
        y = 100.0
        for i, text in enumerate(SIX, 1):
            first, *rest = board.lines(form[:-1].format(i) + text.upper(), 260)
            board.text(60, y, first)
            for line in rest:
                y += 12.2
                board.text(84, y, line)
            y += 17.2
        wanted = [text.upper() for text in SIX]
    else:
        board.notes(60, 100, numbered(SIX, form=form), room=300, hang=34)
        wanted = SIX
    layout = read(board)
    assert texts(layout, "note") == wanted
    assert [p.label for p in layout.passages][:2] == [
        f"note {form.strip('|').format(1).strip(' .,():')}",
        f"note {form.strip('|').format(2).strip(' .,():')}",
    ]


@pytest.mark.parametrize(
    "labels",
    [
        ["A.", "B.", "C.", "D.", "E.", "F."],
        ["H .", "I .", "J .", "K .", "L .", "M ."],
        ["201,", "202,", "203,", "204,", "205,", "206,"],
        ["1.2.1", "1.2.2", "1.2.3", "1.2.4", "1.2.5", "1.2.6"],
        ["3.1", "3.2", "3.3", "3.4", "3.5", "3.6"],
        ["a)", "b)", "c)", "d)", "e)", "f)"],
        ["198.", "199.", "200.", "201.", "202.", "203."],
    ],
    ids=lambda labels: labels[0],
)
def test_letters_series_and_decimals(labels: list[str]) -> None:
    board = Board()
    board.notes(60, 100, list(zip(labels, SIX, strict=True)), room=300, hang=40)
    layout = read(board)
    assert texts(layout, "note") == SIX
    assert [p.label for p in layout.passages] == [f"note {name.strip(' .,)')}" for name in labels]


def test_numbers_without_indent_are_found_by_their_sequence() -> None:
    board = Board()
    y = 100.0
    for i, text in enumerate(SIX, 1):
        y = board.para(60, y, f"{i}. {text}", room=230) + 4
    assert texts(read(board), "note") == SIX


def test_wrapped_lines_that_begin_with_quantities_stay_in_their_note() -> None:
    board = Board()
    board.text(60, 100, "1.")
    board.text(84, 100, "Set bolts at not more than 4 ft on center and within")
    board.text(84, 112, "12. in. of plate ends and not less than")
    board.text(84, 124, "4 in. from them, with washers of")
    board.text(84, 136, "3 x 3 x 1/4 in. and nuts.")
    board.text(60, 153, "2.")
    board.text(84, 153, "Grout is 2,000 psi.")
    assert texts(read(board), "note") == [
        "Set bolts at not more than 4 ft on center and within 12. in. of plate ends and not less than 4 in. from them, with washers of "
        "3 x 3 x 1/4 in. and nuts.",
        "Grout is 2,000 psi.",
    ]


def test_number_alone_with_its_text_below() -> None:
    board = Board()
    y = 100.0
    for i, text in enumerate([A, B, C], 1):
        board.text(60, y, f"{i}.")
        y = board.para(60, y + 12.2, text, room=260) + 6
    layout = read(board)
    assert texts(layout, "note") == [A, B, C]
    assert [p.label for p in layout.passages] == ["note 1", "note 2", "note 3"]


def test_hanging_numbers_far_from_their_paragraphs() -> None:
    board = Board()
    board.notes(60, 100, numbered(SIX, form="{}"), room=360, hang=62)
    assert texts(read(board), "note") == SIX


def test_bold_leads_start_notes_and_name_them() -> None:
    board = Board()
    y = 100.0
    for lead, text in (("Anchor bolts.", A), ("Sills.", B), ("Wall framing.", C)):
        x = board.text(60, y, lead, bold=True) + 3
        first = board.lines(text, 250 - (x - 60))[0]
        board.text(x, y, first)
        y = board.para(60, y + 12.2, text[len(first) + 1 :], room=250) + 5
    layout = read(board)
    assert texts(layout, "note") == [f"Anchor bolts. {A}", f"Sills. {B}", f"Wall framing. {C}"]
    assert [p.label for p in layout.passages] == ["note 'Anchor bolts'", "note 'Sills'", "note 'Wall framing'"]


def test_capital_leads_with_colon_start_notes() -> None:
    board = Board()
    y = board.para(60, 100, f"ANCHOR BOLTS: {A.upper()}", room=260) + 6
    y = board.para(60, y, f"SILL PLATES: {B.upper()}", room=260) + 6
    board.para(60, y, f"STUDS: {C.upper()}", room=260)
    layout = read(board)
    assert texts(layout, "note") == [f"ANCHOR BOLTS: {A.upper()}", f"SILL PLATES: {B.upper()}", f"STUDS: {C.upper()}"]
    assert layout.passages[0].label == "note 'ANCHOR BOLTS'"


def test_plain_paragraphs_under_a_heading() -> None:
    board = Board()
    board.text(60, 90, "FOUNDATION NOTES", 13, bold=True)
    y = board.para(60, 112, A, room=240) + 8
    y = board.para(60, y, B, room=240) + 8
    board.para(60, y, C, room=240)
    layout = read(board)
    assert texts(layout, "note") == [A, B, C]
    assert {p.headings for p in layout.passages if p.kind == "note"} == {("FOUNDATION NOTES",)}


def test_headings_give_scope_outermost_first() -> None:
    board = Board()
    board.text(60, 80, "GENERAL NOTES", 16, bold=True)
    board.notes(60, 105, [("h", "CONCRETE"), ("1.", A), ("h", "WOOD FRAMING"), ("2.", C), ("3.", D)], room=280)
    layout = read(board)
    assert one(layout, A).headings == ("GENERAL NOTES", "CONCRETE")
    assert one(layout, D).headings == ("GENERAL NOTES", "WOOD FRAMING")


def test_numbering_restarts_under_each_heading() -> None:
    board = Board()
    board.notes(60, 105, [("h", "CONCRETE"), ("1.", A), ("2.", B), ("h", "FRAMING"), ("1.", C), ("2.", D)], room=280)
    layout = read(board)
    assert [(p.label, p.headings[0]) for p in layout.passages if p.kind == "note"] == [
        ("note 1", "CONCRETE"),
        ("note 2", "CONCRETE"),
        ("note 1", "FRAMING"),
        ("note 2", "FRAMING"),
    ]
    assert texts(layout, "note") == [A, B, C, D]


def test_underlined_heading_in_the_notes_own_type() -> None:
    board = Board()
    board.text(60, 100, "WOOD FRAMING")
    board.rule(60, 103, 60 + width("WOOD FRAMING", 10), 103)
    y = board.notes(60, 118, numbered([C.upper(), D.upper()]), room=280)
    board.text(60, y + 6, "CONCRETE")
    board.rule(60, y + 9, 60 + width("CONCRETE", 10), y + 9)
    board.notes(60, y + 24, numbered([A.upper(), B.upper()], 3), room=280)
    layout = read(board)
    assert texts(layout, "heading") == ["WOOD FRAMING", "CONCRETE"]
    assert one(layout, B.upper()).headings == ("CONCRETE",)


def test_letter_spaced_heading_is_closed_up() -> None:
    board = Board()
    x = 60.0
    for word in ("WOOD", "NOTES"):
        for letter in word:
            x = board.text(x, 90, letter, 12, bold=True) + 5
        x += 12
    board.notes(60, 110, numbered([A, B]), room=280)
    assert one(read(board), A).headings == ("WOOD NOTES",)


def test_nested_list_items_carry_their_note() -> None:
    board = Board()
    board.text(60, 100, "1.")
    board.text(84, 100, "Connectors at the roof:")
    for i, (letter, text) in enumerate((("a.", "tie at each truss"), ("b.", "strap at each header"), ("c.", "clip at each gable brace"))):
        board.text(84, 114 + 12.2 * i, letter)
        board.text(102, 114 + 12.2 * i, text)
    board.text(60, 156, "2.")
    board.text(84, 156, "Nails are common nails.")
    layout = read(board)
    assert [(p.label, p.text) for p in layout.passages] == [
        ("note 1", "Connectors at the roof:"),
        ("note 1 a", "tie at each truss"),
        ("note 1 b", "strap at each header"),
        ("note 1 c", "clip at each gable brace"),
        ("note 2", "Nails are common nails."),
    ]
    assert layout.passages[2].headings == ("Connectors at the roof:",)
    assert layout.passages[4].headings == ()


def test_broken_word_is_mended_and_a_marks_hyphen_kept() -> None:
    board = Board()
    board.text(60, 100, "1.")
    board.text(84, 100, "Every connec-")
    board.text(84, 112, "tor at posts is type HD-")
    board.text(84, 124, "3 and each hold-")
    board.text(84, 136, "down is tight.")
    board.text(60, 152, "2.")
    board.text(84, 152, "A hold-down stands at each corner.")
    assert texts(read(board), "note") == [
        "Every connector at posts is type HD-3 and each hold-down is tight.",
        "A hold-down stands at each corner.",
    ]


def test_spots_cover_the_words_of_the_text() -> None:
    board = Board()
    board.notes(60, 105, [("12.", A), ("13.", B)], room=200)
    for passage in read(board).passages:
        assert " ".join(passage.text[s.start : s.end] for s in passage.spots) == passage.text
        x0 = passage.box().x0
        assert 83.5 < x0 < 84.5


def test_notes_of_bound_in_pages_say_so() -> None:
    board = Board(kind="truss letter")
    board.notes(60, 105, numbered([A, B]), room=280)
    assert {p.source for p in read(board).passages} == {"truss letter"}


def test_scanned_lines_with_wavering_boxes_read_alike() -> None:
    board = Board()
    board.notes(60, 105, numbered(SIX), room=280)
    board.words = [
        w._replace(
            top=w.top + (i * 7 % 5 - 2) * 0.35,
            bottom=w.bottom + (i * 3 % 5 - 2) * 0.35,
            x0=w.x0 + (i % 3 - 1) * 0.4,
            size=w.size * (1 + (i % 5 - 2) * 0.03),
        )
        for i, w in enumerate(board.words)
    ]
    assert texts(read(board), "note") == SIX


def test_bullets_are_items_of_their_own() -> None:
    board = Board()
    board.text(60, 90, "ROOF NOTES", 13, bold=True)
    for i, text in enumerate((A, B, C)):
        board.text(60, 110 + 40 * i, "\u2022")
        board.para(72, 110 + 40 * i, text, room=260)
    assert texts(read(board), "note") == [A, B, C]


def test_headings_of_a_scan_in_the_notes_own_type() -> None:
    board = Board()
    board.text(60, 86, "GENERAL NOTES", sure=0.98)
    y = board.notes(60, 100, numbered([A.upper(), B.upper()]), room=280)
    board.text(60, y + 4, "CONCRETE", sure=0.98)
    board.notes(60, y + 20, numbered([C.upper(), D.upper()], 3), room=280)
    board.words = [w._replace(sure=0.98) for w in board.words]
    layout = read(board)
    assert texts(layout, "heading") == ["GENERAL NOTES", "CONCRETE"]
    assert texts(layout, "note") == [text.upper() for text in (A, B, C, D)]


def test_paragraphs_without_space_between_them_part_at_short_last_lines() -> None:
    board = Board()
    board.text(60, 90, "FOUNDATION NOTES", 13, bold=True)
    y = board.para(60, 112, "Bolts are five eighths inch in diameter and ten inches long, set in the wet concrete.", room=240)
    y = board.para(60, y, "Sills are pressure treated pine and lie on closed cell sealer over their full length.", room=240)
    board.para(60, y, "Footings bear on firm undisturbed ground below the frost line at all of the places.", room=240)
    assert len(texts(read(board), "note")) == 3


def test_lines_of_a_list_without_numbers_are_items() -> None:
    board = Board()
    board.text(60, 90, "LUMBER NOTES", 13, bold=True)
    wanted = ["STUDS: SPF NO. 2", "BEAMS: SOUTHERN PINE NO. 1 OR LVL AS NAMED ON THE PLANS", "SILLS: TREATED PINE"]
    for i, text in enumerate(wanted):
        board.text(60, 110 + 12.2 * i, text)
    assert texts(read(board), "note") == wanted


def test_numeral_at_the_end_of_a_note_is_not_dropped() -> None:
    board = Board()
    board.text(60, 100, "1.")
    board.text(84, 100, "WIND 140 MPH, RISK CATEGORY")
    board.text(84, 112, "II.")
    board.text(60, 129, "2.")
    board.text(84, 129, "SNOW 20 PSF, SITE CLASS D, SEE")
    board.text(84, 141, "V.")
    assert texts(read(board), "note") == ["WIND 140 MPH, RISK CATEGORY II.", "SNOW 20 PSF, SITE CLASS D, SEE V."]


def test_signs_for_existing_and_new_are_no_numbers() -> None:
    board = Board()
    board.notes(
        60,
        100,
        [
            ("A.", "Shore the house before work."),
            ("B.", "(E) walls stay, (N) walls stand on"),
            ("C.", "(N) footings."),
            ("D.", "Match (E) siding."),
        ],
        room=260,
    )
    board.text(84, 180, "(E) windows stay.")
    found = texts(read(board), "note")
    assert found[1:3] == ["(E) walls stay, (N) walls stand on", "(N) footings."]
    assert any("(E) windows stay." in text for text in found)


def test_counts_of_nails_at_the_start_of_lines_are_no_numbers() -> None:
    board = Board()
    board.text(60, 100, "1.")
    for i, line in enumerate(("Tie each truss with RT-9, nailed with", "(7) 10d x 1-1/2 in. to truss and", "(8) 10d x 1-1/2 in. to stud.")):
        board.text(84, 100 + 12 * i, line)
    board.text(60, 141, "2.")
    board.text(84, 141, "Nails are common.")
    assert texts(read(board), "note") == [
        "Tie each truss with RT-9, nailed with (7) 10d x 1-1/2 in. to truss and (8) 10d x 1-1/2 in. to stud.",
        "Nails are common.",
    ]


def test_glued_number_before_a_nail_size() -> None:
    board = Board()
    for i, line in enumerate(("1.STUDS AT 16 IN.", "2.16D COMMON AT SOLE PLATES.", "3.8D AT SHEATHING.")):
        board.text(60, 100 + 16 * i, line)
    assert texts(read(board), "note") == ["STUDS AT 16 IN.", "16D COMMON AT SOLE PLATES.", "8D AT SHEATHING."]
