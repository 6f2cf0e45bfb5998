"""Whatever words a sheet holds, layout answers; nothing is invented and no word of a note is lost."""

from __future__ import annotations

import math

import numpy
import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st
from layout_board import Board, read, texts

from notelint.layout import lay_out
from notelint.layout.text import Known, Placed, build
from notelint.model import Box, Sheet, Word

LENGTH = st.floats(-50, 2000, allow_nan=False)
TEXT = st.one_of(
    st.text(min_size=0, max_size=8),
    st.sampled_from(["1.", "A.", "NOTES", "S-1", "MARK", "HD-2", "4/S-5", "\u2022", "-", "12'-6\"", "connec-", "tor", "(E)"]),
)
WORD = st.builds(
    lambda text, x, y, w, h, size, turn, bold: Word(text, x, y, x + w, y + h, size=size, turn=turn, bold=bold),
    TEXT,
    LENGTH,
    LENGTH,
    st.floats(-5, 200),
    st.floats(-5, 40),
    st.sampled_from([0.0, -1.0, 1e-9, 8.0, 10.0, 300.0]),
    st.sampled_from([0, 90, 180, 270]),
    st.booleans(),
)
SEGMENT = st.tuples(LENGTH, LENGTH, LENGTH, LENGTH)
CIRCLE = st.builds(lambda x, y, r: Box(x, y, x + r, y + r), LENGTH, LENGTH, st.floats(0, 90))


def sheet(words: list[Word], segments: object = (), circles: tuple[Box, ...] = (), page: int = 1) -> Sheet:
    lines = numpy.array(segments, dtype=numpy.float32).reshape(-1, 4)
    return Sheet(page=page, width=1728, height=1296, text="vector", words=tuple(words), segments=lines, circles=circles, number="S-1")


@settings(max_examples=60, deadline=None, suppress_health_check=[HealthCheck.too_slow])
@given(st.lists(WORD, max_size=40), st.lists(SEGMENT, max_size=12), st.lists(CIRCLE, max_size=3))
def test_any_words_are_read_and_every_span_fits(words: list[Word], segments: list[tuple[float, ...]], circles: list[Box]) -> None:
    layout = lay_out([sheet(words, segments, tuple(circles)), sheet(words[::-1], page=2)])
    for passage in layout.passages:
        assert passage.text.strip()
        assert all(0 <= s.start <= s.end <= len(passage.text) for s in passage.spots)
        assert all(0 <= c.start <= c.end <= len(passage.text) for c in passage.cells)
    assert len({p.id for p in layout.passages}) == len(layout.passages)


@settings(max_examples=60, deadline=None)
@given(st.lists(st.tuples(st.text(alphabet="abcXYZ-1 ", min_size=1, max_size=6), st.booleans()), max_size=20))
def test_built_text_keeps_every_letter_in_order(parts: list[tuple[str, bool]]) -> None:
    placed = [Placed(Word(text, 0, 0, 1, 1, size=8), 1, first) for text, first in parts]
    built = build(placed, Known(text for text, _ in parts))
    written = "".join(text for text, _ in parts)
    assert built.text.replace(" ", "").replace("-", "") == written.replace(" ", "").replace("-", "")
    assert [built.text[s.start : s.end].replace("-", "") for s in built.spots] == [
        t.replace("-", "") if t.replace("-", "") != t else t for t, _ in parts
    ]


def test_sheets_without_anything() -> None:
    assert lay_out([]).passages == ()
    assert lay_out([sheet([])]).passages == ()


def test_thousands_of_words_on_one_spot_end_soon() -> None:
    words = [Word(f"w{i}", 500.0, 500.0, 520.0, 510.0, size=10.0) for i in range(6000)]
    assert len(lay_out([sheet(words)]).passages) > 0


def test_words_without_extent() -> None:
    words = [Word(text, 100.0 + 5 * i, 100.0, 100.0 + 5 * i, 100.0, size=0.0) for i, text in enumerate(("STUDS", "AT", "16"))]
    assert "".join("".join(texts(lay_out([sheet(words)]), "callout")).split()) == "STUDSAT16"


@pytest.mark.parametrize("value", [math.nan, math.inf, -math.inf, 1e12])
def test_impossible_boxes_are_left_out(value: float) -> None:
    words = [Word("BAD", value, 100, 120, 110, size=10), Word("GOOD WORDS", 100, 100, 160, 110, size=10)]
    assert [p.text for p in lay_out([sheet(words, [(value, 0, 1, 1), (0, 0, 50, 0)])]).passages] == ["GOOD WORDS"]


def test_a_hatched_sheet_keeps_its_notes() -> None:
    board = Board()
    notes = [("1.", "Studs are two by six at sixteen inches on center."), ("2.", "Bolts are five eighths inch in diameter.")]
    board.notes(100, 100, notes, room=300)
    random = numpy.random.default_rng(3)
    hatch = random.uniform([600, 200, 600, 200], [1500, 1200, 1500, 1200], size=(40000, 4))
    hatch[:20000, 2:] = hatch[:20000, :2] + random.uniform(-30, 30, size=(20000, 2))
    hatch[:6000, 3] = hatch[:6000, 1]
    board.segments = [tuple(row) for row in hatch.tolist()]
    assert texts(read(board), "note") == [text for _, text in notes]
