"""The vocabulary files are tidy: no spelling stands for two things, every agreed name the types know is there."""

from __future__ import annotations

from collections import defaultdict
from typing import get_args

import pytest

from notelint.language.tokens import cut
from notelint.language.words import look_up_form
from notelint.model import Device
from notelint.trade.vocabulary import column_roles, expand, phrases, plain_words, spellings, with_hyphens


def test_no_spelling_stands_for_two_terms() -> None:
    by_form: dict[tuple[str, ...], set[tuple[str, str]]] = defaultdict(set)
    for spelling in spellings():
        form = tuple(look_up_form(w) for w in cut(spelling.text) if not w.isspace())
        by_form[form].add((spelling.kind, spelling.name))
    assert {form: names for form, names in by_form.items() if len(names) > 1} == {}


def test_every_device_of_the_types_is_spelled() -> None:
    named = {s.name for s in spellings() if s.kind == "device"}
    assert set(get_args(Device)) - {"nailing", "sheathing"} <= named


def test_every_spelling_is_found_as_its_own_term() -> None:
    assert all(s.text == s.text.strip() and s.text for s in spellings())


@pytest.mark.parametrize(
    ("written", "texts"),
    [("{a,b} c", ("a c", "b c")), ("{,top }plate", ("plate", "top plate")), ("{x,y{,.}}", ("x", "y", "y.")), ("plain", ("plain",))],
)
def test_braces_expand(written: str, texts: tuple[str, ...]) -> None:
    assert set(expand(written)) == set(texts)


def test_hyphens_also_read_as_space_or_nothing() -> None:
    assert with_hyphens("hold-down") == ("hold-down", "hold down", "holddown")
    assert with_hyphens("a-clip") == ("a-clip", "aclip")


def test_patterns_match_no_empty_text() -> None:
    assert all(p.pattern.search("") is None for p in phrases())
    assert column_roles()


def test_plain_words_are_lower_case_and_single() -> None:
    assert all(w == w.lower() and " " not in w for w in plain_words())
