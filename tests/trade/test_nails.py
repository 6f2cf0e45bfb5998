"""Nails by penny size, against the published table."""

from __future__ import annotations

import pytest
from hypothesis import given
from hypothesis import strategies as st

from notelint.trade.nails import (
    diameters_of,
    known_pennies,
    nail,
    nail_sizes,
    nails_matching,
    possible_types,
    short_nails,
    size_contradicts,
)

# NDS 2018, Appendix L, Table L4: penny, type, length, shank diameter, head diameter (in).
TABLE_L4 = [
    ("6d", "common", 2.0, 0.113, 0.266),
    ("7d", "common", 2.25, 0.113, 0.266),
    ("8d", "common", 2.5, 0.131, 0.281),
    ("10d", "common", 3.0, 0.148, 0.312),
    ("12d", "common", 3.25, 0.148, 0.312),
    ("16d", "common", 3.5, 0.162, 0.344),
    ("20d", "common", 4.0, 0.192, 0.406),
    ("6d", "box", 2.0, 0.099, 0.266),
    ("7d", "box", 2.25, 0.099, 0.266),
    ("8d", "box", 2.5, 0.113, 0.297),
    ("10d", "box", 3.0, 0.128, 0.312),
    ("12d", "box", 3.25, 0.128, 0.312),
    ("16d", "box", 3.5, 0.135, 0.344),
    ("20d", "box", 4.0, 0.148, 0.375),
    ("7d", "sinker", 2.125, 0.099, 0.250),
    ("8d", "sinker", 2.375, 0.113, 0.266),
    ("10d", "sinker", 2.875, 0.120, 0.281),
    ("12d", "sinker", 3.125, 0.135, 0.312),
    ("16d", "sinker", 3.25, 0.148, 0.344),
    ("20d", "sinker", 3.75, 0.177, 0.375),
]


@pytest.mark.parametrize("penny, kind, length, diameter, head", TABLE_L4, ids=[f"{p}-{t}" for p, t, *_ in TABLE_L4])
def test_nail_has_the_published_size(penny: str, kind: str, length: float, diameter: float, head: float) -> None:
    """NDS 2018 Table L4."""
    row = nail(penny, kind)
    assert row is not None
    assert (row.length_in, row.diameter_in, row.head_in) == (length, diameter, head)
    assert row.verified and row.cite == "NDS 2018, Appendix L, Table L4"


RIGHT = [
    ("full common", "16d", "common", 0.162, 3.5),
    ("untyped, common", "16d", None, 0.162, 3.5),
    ("untyped, box", "16d", None, 0.135, 3.5),
    ("untyped, sinker", "16d", None, 0.148, 3.25),
    ("untyped, diameter alone", "10d", None, 0.128, None),
    ("untyped, length alone", "12d", None, None, 3.125),
    ("nothing stated", "8d", None, None, None),
    ("typed, nothing else", "8d", "common", None, None),
    ("connector nail, IRC R602.6.1", "10d", None, 0.148, 1.5),
    ("connector nail called common", "10d", "common", 0.148, 1.5),
    ("connector nail by length alone", "10d", None, None, 1.5),
    ("short 16d", "16d", None, 0.162, 2.5),
    ("named by its use", "8d", "connector nail", 0.131, 1.5),
    ("metric 3.8 x 76 mm", "10d", "common", 3.8 / 25.4, 76 / 25.4),
    ("metric 3.76 x 38 mm", "10d", None, 3.76 / 25.4, 38 / 25.4),
    ("metric 4.1 x 90 mm", "16d", "common", 4.1 / 25.4, 90 / 25.4),
    ("two places of decimals", "16d", "common", 0.16, 3.5),
    ("word nails in the type", "8d", "common nails", 0.131, 2.5),
    ("capital D", "16D", "Box", 0.135, 3.5),
    ("ring shank is not fixed by penny", "8d", "ring shank", 0.120, 2.5),
]


@pytest.mark.parametrize("penny, kind, diameter, length", [case[1:] for case in RIGHT], ids=[case[0] for case in RIGHT])
def test_size_that_agrees_is_not_contradicted(penny: str, kind: str | None, diameter: float | None, length: float | None) -> None:
    """NDS 2018 Table L4; connector nails keep the shank of their penny size."""
    assert size_contradicts(penny, kind, diameter, length) is None


WRONG = [
    ("10d size called 16d common", "16d", "common", 0.148, 3.0, "0.148 in x 3 in is 10d common"),
    ("sinker size called common", "16d", "common", 0.148, 3.25, "0.148 in x 3-1/4 in is 12d common, 16d sinker"),
    ("common size called box", "16d", "box", 0.162, 3.5, "16d box is 0.135 in x 3-1/2 in"),
    ("gun nail called 10d", "10d", None, 0.131, 3.0, "10d common is 0.148 in x 3 in"),
    ("longer than any of its penny", "10d", None, 0.148, 3.5, "not 0.148 in x 3-1/2 in"),
    ("diameter and length of two types", "16d", None, 0.162, 3.25, "not 0.162 in x 3-1/4 in"),
    ("diameter alone", "8d", None, 0.162, None, "not 0.162 in"),
    ("connector nail of another shank", "10d", None, 0.131, 1.5, "not 0.131 in x 1-1/2 in"),
    ("full nail short of its length", "16d", None, None, 3.0, "not 3 in"),
    ("no such penny", "14d", None, None, None, "14d is no size"),
    ("no such penny with a size", "18d", "common", 0.162, 3.5, "18d is no size"),
    ("no such penny of that type", "60d", "box", None, None, "no 60d box nail"),
]


@pytest.mark.parametrize("penny, kind, diameter, length, says", [case[1:] for case in WRONG], ids=[case[0] for case in WRONG])
def test_size_that_disagrees_is_contradicted(penny: str, kind: str | None, diameter: float | None, length: float | None, says: str) -> None:
    """NDS 2018 Table L4."""
    reason = size_contradicts(penny, kind, diameter, length)
    assert reason is not None
    assert says in reason
    assert "NDS 2018" in reason


def test_connector_nail_may_be_any_shorter_length() -> None:
    assert size_contradicts("16d", None, 0.162, 3.0) is not None
    assert size_contradicts("16d", None, 0.162, 3.0, connector=True) is None
    assert size_contradicts("16d", None, 0.148, 3.0, connector=True) is None  # the shank of a 16d sinker
    assert size_contradicts("16d", None, 0.131, 3.0, connector=True) is not None


@pytest.mark.parametrize(
    "penny, diameter, types",
    [("16d", 0.162, ("common",)), ("16d", 0.135, ("box",)), ("16d", 0.148, ("sinker",)), ("8d", 0.113, ("box", "sinker", "cooler"))],
)
def test_possible_types_follow_from_the_diameter(penny: str, diameter: float, types: tuple[str, ...]) -> None:
    """NDS 2018 Table L4; cooler nails from memory."""
    assert possible_types(penny, diameter, None) == types


def test_nails_matching_finds_a_size_under_every_name() -> None:
    """NDS 2018 Table L4: 0.148 x 3-1/4 is the 12d common and the 16d sinker."""
    assert {(row.penny, row.type) for row in nails_matching(0.148, 3.25)} == {("12d", "common"), ("16d", "sinker")}


def test_diameters_of_a_penny_size_depend_on_its_type() -> None:
    """NDS 2018 Table L4: 16d common 0.162, box 0.135, sinker 0.148; the finish nail from memory."""
    assert diameters_of("16d", "box") == (0.135,)
    assert {0.162, 0.135, 0.148} <= set(diameters_of("16d"))
    assert diameters_of("14d") == ()


def test_reason_names_the_published_source_before_one_from_memory() -> None:
    reason = size_contradicts("14d", None, None, None)
    assert reason is not None and reason.index("NDS 2018") < reason.index("ASTM F1667")


def test_known_pennies_are_in_order_of_size() -> None:
    pennies = known_pennies()
    assert list(pennies) == sorted(pennies, key=lambda penny: int(penny[:-1]))
    assert "11d" not in pennies and {"8d", "10d", "16d"} <= set(known_pennies("common"))


@pytest.mark.parametrize("row", nail_sizes(), ids=lambda row: f"{row.penny}-{row.type}")
def test_every_row_agrees_with_itself(row: object) -> None:
    assert size_contradicts(row.penny, row.type, row.diameter_in, row.length_in) is None  # type: ignore[attr-defined]


@pytest.mark.parametrize("row", short_nails(), ids=lambda row: f"{row.penny}x{row.length_in}")
def test_short_nail_has_the_shank_of_its_penny_size(row: object) -> None:
    assert possible_types(row.penny, row.diameter_in, row.length_in)  # type: ignore[attr-defined]


@given(st.sampled_from(["common", "box", "sinker"]), st.data())
def test_longer_penny_is_never_thinner_or_shorter(kind: str, data: st.DataObject) -> None:
    pennies = known_pennies(kind)
    low = data.draw(st.integers(0, len(pennies) - 2))
    high = data.draw(st.integers(low + 1, len(pennies) - 1))
    small, large = nail(pennies[low], kind), nail(pennies[high], kind)
    assert small and large
    assert small.length_in < large.length_in
    assert small.diameter_in <= large.diameter_in


@given(st.text(max_size=8), st.none() | st.text(max_size=12), st.none() | st.floats(0, 20), st.none() | st.floats(0, 20))
def test_any_words_give_an_answer(penny: str, kind: str | None, diameter: float | None, length: float | None) -> None:
    reason = size_contradicts(penny, kind, diameter, length)
    assert reason is None or reason
