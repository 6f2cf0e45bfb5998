"""Words come out as a person would read them, with boxes where they stand."""

from __future__ import annotations

from pathlib import Path

import pdfplumber
import pikepdf
import pytest
from hypothesis import HealthCheck, example, given, settings
from hypothesis import strategies as st
from reportlab.pdfgen import canvas
from sheetkit import both, draw, in_order, lines, read_one

from notelint.planset.fold import fold

NOTE = 'PROVIDE (10) 10d AT 16" O.C.'


def test_word_box_stands_where_the_word_is_drawn(tmp_path: Path) -> None:
    sheet = read_one(draw(tmp_path / "a.pdf", lines("STRAP", x=100, top=500, size=20)))
    (word,) = sheet.words
    assert (sheet.width, sheet.height) == (792, 612)
    assert word.x0 == pytest.approx(100, abs=1)
    assert word.top < 612 - 500 - 12 and word.bottom > 612 - 500
    assert word.size == pytest.approx(20)
    assert word.x1 == pytest.approx(100 + 70, abs=4)


@pytest.mark.parametrize("rotate", [0, 90, 180, 270])
def test_rotating_the_page_does_not_change_words(tmp_path: Path, rotate: int) -> None:
    path = draw(tmp_path / "a.pdf", lines(NOTE, "SECOND LINE OF THE NOTE"))
    with pikepdf.open(path, allow_overwriting_input=True) as pdf:
        pdf.pages[0].Rotate = rotate
        pdf.save(path)
    sheet = read_one(path)
    assert sorted(w.text for w in sheet.words) == sorted(f"{NOTE} SECOND LINE OF THE NOTE".split())
    assert {w.turn for w in sheet.words} == {rotate}
    assert (sheet.width, sheet.height) == ((612, 792) if rotate in (90, 270) else (792, 612))
    for word in sheet.words:
        assert 0 <= word.x0 < word.x1 <= sheet.width and 0 <= word.top < word.bottom <= sheet.height


@pytest.mark.parametrize("rotate", [0, 90, 180, 270])
def test_writing_set_against_the_rotation_reads_level(tmp_path: Path, rotate: int) -> None:
    """CAD programs turn the page and the writing against each other; displayed, it is level."""

    def page(sheet: canvas.Canvas) -> None:
        sheet.translate(300, 300)
        sheet.rotate(rotate)
        sheet.drawString(0, 0, NOTE)

    sheet = read_one(draw(tmp_path / "a.pdf", page, rotate=rotate))
    assert {w.turn for w in sheet.words} == {0}
    assert in_order(sheet.words) == NOTE.split()


@pytest.mark.parametrize("angle", [0, 90, 180, 270])
def test_writing_in_any_direction_is_read_and_its_turn_known(tmp_path: Path, angle: int) -> None:
    def page(sheet: canvas.Canvas) -> None:
        sheet.translate(300, 300)
        sheet.rotate(angle)
        sheet.drawString(0, 0, "24'-0\" CLEAR")

    sheet = read_one(draw(tmp_path / "a.pdf", page))
    assert {w.text for w in sheet.words} == {"24'-0\"", "CLEAR"}
    assert {w.turn for w in sheet.words} == {(360 - angle) % 360}


def test_crop_box_moves_the_origin(tmp_path: Path) -> None:
    path = draw(tmp_path / "a.pdf", lines("STRAP", x=100, top=500))
    with pikepdf.open(path, allow_overwriting_input=True) as pdf:
        pdf.pages[0].CropBox = pikepdf.Array([50, 40, 750, 580])
        pdf.save(path)
    sheet = read_one(path)
    assert (sheet.width, sheet.height) == (700, 540)
    assert sheet.words[0].x0 == pytest.approx(50, abs=1)
    assert sheet.words[0].bottom == pytest.approx(580 - 500, abs=3)


def test_text_in_form_objects_is_read_where_it_is_placed(tmp_path: Path) -> None:
    def page(sheet: canvas.Canvas) -> None:
        sheet.beginForm("block")
        sheet.drawString(0, 0, "HD-3")
        sheet.line(0, -5, 40, -5)
        sheet.endForm()
        for x in (100, 300):
            sheet.saveState()
            sheet.translate(x, 200)
            sheet.doForm("block")
            sheet.restoreState()

    sheet = read_one(draw(tmp_path / "a.pdf", page))
    assert [w.text for w in sheet.words] == ["HD-3", "HD-3"]
    assert sorted(round(w.x0) for w in sheet.words) == pytest.approx([100, 300], abs=2)
    assert sorted(round(float(s[0])) for s in sheet.segments) == [100, 300]


@pytest.mark.parametrize(
    ("drawn", "want"),
    [
        ("G E N E R A L   N O T E S", ["GENERAL", "NOTES"]),
        ("L A W N", ["LAWN"]),
        ("2 8 ' - 0 \"", ["28'-0\""]),
        ("20 ' - 0 \"", ["20'-0\""]),
        ("W O O D   F R A M I N G   2", ["WOOD", "FRAMING", "2"]),
    ],
    ids=["heading", "word", "dimension", "dimension in pieces", "heading with number"],
)
def test_letter_spaced_writing_is_joined(tmp_path: Path, drawn: str, want: list[str]) -> None:
    assert in_order(read_one(draw(tmp_path / "a.pdf", lines(drawn))).words) == want


@pytest.mark.parametrize(
    "drawn",
    ["PLATE 3 X 3 X 1/4 IN.", "A B C D", "2 - 2X6 AT EACH END", "TYPE A OR B", "E S", "AT 4 IN. ON A B C"],
    ids=["washer", "grid letters", "count", "types", "two letters", "letters after words"],
)
def test_single_letters_that_are_words_stay_apart(tmp_path: Path, drawn: str) -> None:
    assert in_order(read_one(draw(tmp_path / "a.pdf", lines(drawn))).words) == drawn.split()


def test_letter_spacing_by_the_text_state_is_joined(tmp_path: Path) -> None:
    def page(sheet: canvas.Canvas) -> None:
        text = sheet.beginText(72, 500)
        text.setFont("Helvetica-Bold", 14)
        text.setCharSpace(5)
        text.textOut("ROOF FRAMING PLAN")
        sheet.drawText(text)

    assert in_order(read_one(draw(tmp_path / "a.pdf", page)).words) == ["ROOF", "FRAMING", "PLAN"]


@pytest.mark.parametrize("space", [2.0, 3.5, 5.0])
def test_running_text_with_letters_set_apart_keeps_its_words(tmp_path: Path, space: float) -> None:
    def page(sheet: canvas.Canvas) -> None:
        text = sheet.beginText(20, 500)
        text.setFont("Helvetica", 10)
        text.setCharSpace(space)
        text.textOut("Provide strap ST-4 at 16 in. on center, typ.")
        sheet.drawText(text)

    want = ["Provide", "strap", "ST-4", "at", "16", "in.", "on", "center,", "typ."]
    assert in_order(read_one(draw(tmp_path / "a.pdf", page)).words) == want


def test_cells_set_apart_by_position_alone_stay_apart(tmp_path: Path) -> None:
    def page(sheet: canvas.Canvas) -> None:
        for column, text in enumerate(["1", "2", "3", "4", "5", "6", "7", "8"]):
            sheet.drawString(72 + 30 * column, 500, text)

    assert in_order(read_one(draw(tmp_path / "a.pdf", page)).words) == list("12345678")


@pytest.mark.parametrize("angle", [15, 30, 45, 60, 120, 200, 300])
def test_writing_aslant_is_read_word_by_word(tmp_path: Path, angle: int) -> None:
    def page(sheet: canvas.Canvas) -> None:
        sheet.translate(400, 300)
        sheet.rotate(angle)
        sheet.drawString(0, 0, "HD-3 AT CORNER")

    sheet = read_one(draw(tmp_path / "a.pdf", page))
    assert {w.text for w in sheet.words} == {"HD-3", "AT", "CORNER"}
    for word in sheet.words:
        assert word.x1 - word.x0 < 60 and word.bottom - word.top < 60


def test_glyphs_drawn_one_by_one_in_any_order_make_words(tmp_path: Path) -> None:
    def page(sheet: canvas.Canvas) -> None:
        sheet.setFont("Courier", 10)
        text = "HOLD-DOWN EACH END"
        for index in sorted(range(len(text)), key=lambda i: (i * 7) % len(text)):
            sheet.drawString(72 + 6 * index, 500, text[index])

    assert in_order(read_one(draw(tmp_path / "a.pdf", page)).words) == ["HOLD-DOWN", "EACH", "END"]


def test_copies_on_the_same_place_are_kept_once(tmp_path: Path) -> None:
    def page(sheet: canvas.Canvas) -> None:
        for step in range(9):
            sheet.drawString(100 + 0.1 * step, 400, "SW-1")
        sheet.drawString(100, 300, "SW-1")

    assert [w.text for w in read_one(draw(tmp_path / "a.pdf", page)).words] == ["SW-1", "SW-1"]


def stacked(sheet: canvas.Canvas, x: float, y: float, whole: str, over: str, under: str, tail: str, rise: bool = False) -> None:
    """A stacked fraction as CAD programs write it: small raised and lowered digits without a slash."""
    sheet.setFont("Helvetica", 10)
    sheet.drawString(x, y, whole)
    x += sheet.stringWidth(whole, "Helvetica", 10)
    sheet.setFont("Helvetica", 6)
    wide = max(sheet.stringWidth(over, "Helvetica", 6), sheet.stringWidth(under, "Helvetica", 6))
    if rise:
        text = sheet.beginText(x + 0.4, y)
        text.setRise(4)
        text.textOut(over)
        sheet.drawText(text)
        text = sheet.beginText(x + 0.4, y)
        text.setRise(-2)
        text.textOut(under)
        sheet.drawText(text)
    else:
        sheet.drawString(x + 0.4, y + 4, over)
        sheet.drawString(x + 0.4, y - 2, under)
    sheet.setFont("Helvetica", 10)
    sheet.drawString(x + wide + 1, y, tail)


@pytest.mark.parametrize("rise", [False, True], ids=["placed", "by text rise"])
@pytest.mark.parametrize(
    ("whole", "over", "under", "tail", "want"),
    [
        ("5'-3", "3", "4", '"', ["5'-3", '3/4"']),
        ("11", "1", "2", '"', ["11", '1/2"']),
        ("TO 3", "15", "16", '" O.C.', ["TO", "3", '15/16"', "O.C."]),
        ("(2) ", "1", "2", '" BOLTS', ["(2)", '1/2"', "BOLTS"]),
    ],
    ids=["feet and inches", "inches", "sixteenths", "alone"],
)
def test_stacked_fractions_are_put_together(
    tmp_path: Path, whole: str, over: str, under: str, tail: str, want: list[str], rise: bool
) -> None:
    sheet = read_one(draw(tmp_path / "a.pdf", lambda c: stacked(c, 100, 300, whole, over, under, tail, rise)))
    assert [w.text for w in sorted(sheet.words, key=lambda w: w.x0)] == want


def test_numbers_one_below_another_are_no_fraction(tmp_path: Path) -> None:
    sheet = read_one(draw(tmp_path / "a.pdf", lines("3", "4", "5", "8")))
    assert in_order(sheet.words) == ["3", "4", "5", "8"]


def test_letters_below_one_another_make_words_and_frame_letters_do_not(tmp_path: Path) -> None:
    def page(sheet: canvas.Canvas) -> None:
        for row, letter in enumerate("NORTHRUP VALE"):
            sheet.drawString(700, 550 - 15 * row, letter)
        for row, letter in enumerate("ABCDEFGH"):
            sheet.drawString(20, 550 - 60 * row, letter)
        for row, letter in enumerate("NPTXNP"):
            sheet.drawString(300, 550 - 15 * row, letter)
            sheet.drawString(320, 550 - 15 * row, "nails as listed")

    texts = [w.text for w in read_one(draw(tmp_path / "a.pdf", page)).words]
    assert "NORTHRUP" in texts and "VALE" in texts
    assert set("ABCDEFGH") <= set(texts)
    assert texts.count("X") == 1 and texts.count("T") == 1, "marks of a table's column stay single"


def test_free_text_annotation_is_read_from_its_appearance(tmp_path: Path) -> None:
    path = _annotated(tmp_path, appearance=b'q BT /F1 11 Tf 102 205 Td (HD-7 AT CORNERS, ANCHOR 12" INTO SLAB) Tj ET Q')
    words = read_one(path).words
    assert [w.text for w in words if w.bottom > 300] == ["HD-7", "AT", "CORNERS,", "ANCHOR", '12"', "INTO", "SLAB"]


def test_hidden_annotation_text_is_laid_into_its_box(tmp_path: Path) -> None:
    path = _annotated(tmp_path, subtype="/Square", flags=2)
    words = [w for w in read_one(path).words if w.top > 300]
    assert " ".join(w.text for w in words) == 'HD-7 AT CORNERS, ANCHOR 12" INTO SLAB'
    for word in words:
        assert word.x0 >= 100 and word.x1 <= 362 and word.top >= 612 - 222 and word.bottom <= 612 - 198


def test_annotation_over_the_same_text_adds_nothing(tmp_path: Path) -> None:
    path = _annotated(tmp_path, subtype="/Square", page=lines('HD-7 AT CORNERS, ANCHOR 12" INTO SLAB', x=102, top=205))
    assert [w.text for w in read_one(path).words].count("HD-7") == 1


def _annotated(tmp_path: Path, subtype: str = "/FreeText", flags: int = 4, appearance: bytes = b"", page=None) -> Path:  # type: ignore[no-untyped-def]
    path = draw(tmp_path / "a.pdf", page or lines("A NOTE ON THE SHEET"))
    with pikepdf.open(path, allow_overwriting_input=True) as pdf:
        entry = pikepdf.Dictionary(
            Type=pikepdf.Name.Annot,
            Subtype=pikepdf.Name(subtype),
            Rect=[100, 198, 362, 220],
            Contents='HD-7 AT CORNERS, ANCHOR 12" INTO SLAB',
            F=flags,
        )
        if appearance:
            font = pikepdf.Dictionary(Type=pikepdf.Name.Font, Subtype=pikepdf.Name.Type1, BaseFont=pikepdf.Name.Helvetica)
            form = pikepdf.Stream(
                pdf,
                appearance,
                Type=pikepdf.Name.XObject,
                Subtype=pikepdf.Name.Form,
                BBox=[100, 198, 362, 220],
                Resources=pikepdf.Dictionary(Font=pikepdf.Dictionary(F1=font)),
            )
            entry.AP = pikepdf.Dictionary(N=form)
        pdf.pages[0].Annots = pdf.make_indirect(pikepdf.Array([pdf.make_indirect(entry)]))
        pdf.save(path)
    return path


@pytest.mark.parametrize(
    ("written", "plain"),
    [
        ("5\u20324\u2033", "5'4\""),
        ("\u201cTYP\u201d", '"TYP"'),
        ("4''", '4"'),
        ("1\u00bd", "1 1/2"),
        ("\u00bd\u201d", '1/2"'),
        ("3\u00d73\u00d7\u00bc", "3x3x1/4"),
        ("3\u20444", "3/4"),
        ("10\u201312", "10-12"),
        ("5/8\u2300", "5/8Ø"),
        ("90\u00ba", "90°"),
        ("\ue012NOTE\ufffd", "NOTE"),
        ("PLAIN 16d", "PLAIN 16d"),
    ],
)
def test_signs_fold_to_plain_writing(written: str, plain: str) -> None:
    assert fold(written) == plain


@given(st.text(max_size=40))
def test_folding_twice_changes_nothing_more(text: str) -> None:
    once = fold(text)
    assert fold(once) == once


WORDS = st.lists(
    st.sampled_from(
        [
            "STRAP",
            "HD-3",
            '16"',
            "O.C.",
            "(10)",
            "10d",
            "x",
            '1-1/2"',
            "PLATE",
            "@",
            '5/8"',
            "each",
            "end",
            "2x6",
            "TYP.",
            "U.N.O.",
            "24'-0\"",
        ]
    ),
    min_size=1,
    max_size=9,
)


@settings(max_examples=15, deadline=None, suppress_health_check=[HealthCheck.function_scoped_fixture])
@example(notes=[["STRAP", "O.C.", "x", "x", '1-1/2"', "end", "2x6", "STRAP"]], size=6.0, font="Helvetica")
@given(
    notes=st.lists(WORDS, min_size=1, max_size=6),
    size=st.sampled_from([6.0, 9.0, 14.0]),
    font=st.sampled_from(["Helvetica", "Times-Roman", "Courier"]),
)
def test_two_readers_agree_on_words(tmp_path: Path, notes: list[list[str]], size: float, font: str) -> None:
    path = draw(tmp_path / "a.pdf", lines(*(" ".join(n) for n in notes), size=size, font=font, x=20))
    with pdfplumber.open(path) as pdf:
        other = sorted((w["text"], w["x0"]) for w in pdf.pages[0].extract_words(x_tolerance=0.12 * size))
    ours = sorted((w.text, w.x0) for w in read_one(path).words)
    assert [text for text, _ in ours] == [text for text, _ in other]
    assert [x for _, x in ours] == pytest.approx([x for _, x in other], abs=1.0)


def test_bold_type_is_known_by_its_font(tmp_path: Path) -> None:
    sheet = read_one(draw(tmp_path / "a.pdf", both(lines("LEAD", font="Helvetica-Bold"), lines("TEXT", x=200))))
    assert {w.text: w.bold for w in sheet.words} == {"LEAD": True, "TEXT": False}
