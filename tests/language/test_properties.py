"""Laws that hold for any text: nothing crashes, spans slice back, fasteners printed in every notation read back."""

from __future__ import annotations

from hypothesis import given, settings
from hypothesis import strategies as st

from notelint.language import read_language, read_passage
from notelint.language.fasteners import find_fasteners
from notelint.language.plain import plain
from notelint.model import Layout
from tests.language.passages import note, row

WORDS = st.sampled_from(
    [
        "strap",
        "straps",
        "each",
        "stud",
        "to",
        "plate",
        "plates",
        "rafter",
        "truss",
        "header",
        "at",
        "32",
        "in.",
        "o.c.",
        "10d",
        "(8)",
        "16d",
        "nails",
        "HD-3",
        "ST-4",
        "hold-down",
        "anchor",
        "bolt",
        "bolts",
        "5/8",
        "x",
        "1-1/2",
        "and",
        "or",
        ",",
        ";",
        ":",
        ".",
        "with",
        "w/",
        "sill",
        "foundation",
        "second",
        "floor",
        "line",
        "existing",
        "(E)",
        "(N)",
        "cut",
        "pipe",
        "per",
        "manufacturer's",
        "instructions",
        "as",
        "required",
        "____",
        "(",
        ")",
        "=",
        "not",
        "required",
        "post",
        "beam",
        "cap",
        "base",
        "hanger",
        "tie",
        "ties",
        "clip",
        "sheathing",
        "laps",
        "rim",
        "7",
        "embedment",
        "12",
        "from",
        "ends",
        "every",
        "other",
        "18",
        "ga.",
        "0.148",
        "screws",
    ]
)
SENTENCES = st.lists(WORDS, min_size=1, max_size=30).map(" ".join)


@settings(max_examples=150, deadline=None)
@given(SENTENCES, st.sampled_from(["note", "callout", "text", "title"]))
def test_quotes_and_terms_slice_back(text: str, kind: str) -> None:
    read = read_passage(note(text, kind))  # type: ignore[arg-type]
    for requirement in read.requirements:
        assert text[requirement.start : requirement.end] == requirement.quote
        assert all(requirement.quote for _ in [0])
    for clause in read.clauses:
        assert 0 <= clause.start < clause.end <= len(text)
        assert all(clause.start <= t.start < t.end <= clause.end for t in clause.terms)
    for mark in read.marks:
        assert text[mark.start : mark.end] == mark.mark


@settings(max_examples=100, deadline=None)
@given(st.text(max_size=120))
def test_no_text_breaks_the_reader(text: str) -> None:
    read = read_passage(note(text))
    assert all(text[r.start : r.end] == r.quote for r in read.requirements)


@settings(max_examples=60, deadline=None)
@given(
    st.lists(
        st.tuples(st.sampled_from(["MARK", "ITEM", "NAILS", "PLACE", "CAPACITY, LB", "", "SPACING"]), SENTENCES), min_size=1, max_size=5
    ),
    SENTENCES,
)
def test_no_row_breaks_the_reader(cells: list[tuple[str, str]], title: str) -> None:
    passage = row({f"{head}{' ' * i}": text for i, (head, text) in enumerate(cells)}, title)
    for requirement in read_passage(passage).requirements:
        assert passage.text[requirement.start : requirement.end] == requirement.quote


@given(
    st.integers(min_value=1, max_value=40),
    st.sampled_from([6, 8, 10, 12, 16, 20]),
    st.sampled_from(["1-1/2", "2-1/2", "3", "3-1/2"]),
    st.sampled_from(
        ["({n}) {p}d x {l} in.", '{n}-{p}d x {l}"', "{n} - {p}D X {l} IN.", '({n}) {p} d x {l}"', "{n} {p}d x {l} nails", "({n}) {p}dx{l}"]
    ),
)
def test_printed_nails_read_back(count: int, penny: int, length: str, form: str) -> None:
    low = plain(form.format(n=count, p=penny, l=length))
    (span,) = find_fasteners(low, 0, len(low), [])
    whole, _, part = length.partition("-")
    inches = int(whole) + (0.5 if part else 0)
    assert (span.fastener.kind, span.fastener.count, span.fastener.penny, span.fastener.length_in) == ("nail", count, f"{penny}d", inches)


@given(
    st.integers(min_value=2, max_value=30),
    st.sampled_from(["0.131", "0.148", "0.162"]),
    st.sampled_from(["({n}) {d} x 3 in. nails", '{n}-{d}" x 3"', "({n}) {d}x3", '{n} - 3" x {d}" nails']),
)
def test_printed_nails_by_size_read_back(count: int, diameter: str, form: str) -> None:
    low = plain(form.format(n=count, d=diameter))
    (span,) = find_fasteners(low, 0, len(low), [])
    assert (span.fastener.kind, span.fastener.count, span.fastener.diameter_in, span.fastener.length_in) == (
        "nail",
        count,
        float(diameter),
        3.0,
    )


@settings(max_examples=25, deadline=None)
@given(st.lists(SENTENCES, max_size=5))
def test_reading_twice_gives_the_same(texts: list[str]) -> None:
    layout = Layout(passages=tuple(note(t, id=f"p{i}") for i, t in enumerate(texts)))
    assert read_language(layout) == read_language(layout)
