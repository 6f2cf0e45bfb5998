"""Trade tokens are cut as the trade reads them, and nothing is lost."""

from __future__ import annotations

import pytest
from hypothesis import given
from hypothesis import strategies as st

from notelint.language.pipeline import pipeline
from notelint.language.tokens import cut
from notelint.language.words import look_up_form, pieces, singular

TABLE = [
    ("(8) 16d NAILS", ["(", "8", ")", "16d", "NAILS"]),
    ('(3)1/2" DIA.', ["(", "3", ")", "1/2", '"', "DIA", "."]),
    ('10d@6"o.c.', ["10d", "@", "6", '"', "o.c."]),
    ('1/2"x6"', ["1/2", '"', "x6", '"']),
    ("2x6 3-2X12 2-2x10", ["2x6", "3-2X12", "2-2x10"]),
    ("HD-3, HD3 and SW2", ["HD-3", ",", "HD3", "and", "SW2"]),
    ("O.C. A.B. U.N.O.", ["O.C.", "A.B.", "U.N.O."]),
    ("A.B.AT 4'", ["A.B.", "AT", "4", "'"]),
    ("f'c=3,000", ["f'c", "=", "3,000"]),
    ("BOLTSATTYPICAL", ["BOLTS", "AT", "TYPICAL"]),
    ("maker's list", ["maker's", "list"]),
    (".131 x 2-1/2", [".131", "x", "2", "-", "1/2"]),
    ("id cant wont", ["id", "cant", "wont"]),
    ("2x( ) SPF ____", ["2", "x", "(", ")", "SPF", "____"]),
]


@pytest.mark.parametrize(("text", "tokens"), TABLE, ids=[text for text, _ in TABLE])
def test_text_is_cut_into_trade_tokens(text: str, tokens: list[str]) -> None:
    assert [t for t in cut(text) if not t.isspace()] == tokens


@given(st.text(max_size=80))
def test_any_text_comes_back_whole(text: str) -> None:
    assert "".join(cut(text)) == text
    assert pipeline().tokenizer(text).text == text


@pytest.mark.parametrize(
    ("word", "form"),
    [
        ("trusses", "truss"),
        ("STUDS", "stud"),
        ("O.C.", "oc"),
        ("manufacturer's", "manufacturer"),
        ("joists", "joist"),
        ("HDs", "hd"),
        ("assemblies", "assembly"),
    ],
)
def test_words_are_looked_up_in_one_form(word: str, form: str) -> None:
    assert look_up_form(word) == form


@pytest.mark.parametrize(("word", "form"), [("hurricaine", "hurricane"), ("sheating", "sheathing"), ("foundaton", "foundation")])
def test_a_slip_in_a_long_trade_word_is_mended(word: str, form: str) -> None:
    assert look_up_form(word) == form


@pytest.mark.parametrize("word", ["heater", "heading", "plaster", "stain", "shearing", "leader", "rafted", "coating", "strong"])
def test_everyday_words_are_not_taken_for_trade_words(word: str) -> None:
    assert look_up_form(word) == singular(word)


@pytest.mark.parametrize(("word", "form"), [("b0lt", "bolt"), ("h0ldown", "holdown"), ("p1ate", "plate"), ("c1ip", "clip")])
def test_figures_read_for_letters_in_a_scan_are_turned_back(word: str, form: str) -> None:
    assert look_up_form(word, True) == form


@pytest.mark.parametrize("word", ["FOUNDATION", "SHEATHING", "SOUTHWEST", "Residence", "waterproofing", "plywoodish"])
def test_whole_words_are_not_cut(word: str) -> None:
    assert pieces(word) == (word,)
